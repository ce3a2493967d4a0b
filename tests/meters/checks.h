/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_METERS_CHECKS_H
#define THRUM_TESTS_METERS_CHECKS_H

/* The checks that docs/conformance.md is made of. */

#include "sheet.h"

#include <stdbool.h>

void check_weightings(struct sheet *sheet);
void check_bursts(struct sheet *sheet);
void check_c_peak(struct sheet *sheet);
void check_linearity(struct sheet *sheet);
void check_band_table(struct sheet *sheet);
void check_band_masks(struct sheet *sheet);
void check_band_sweeps(struct sheet *sheet);
void check_air_absorption(struct sheet *sheet);
void check_background_corrections(struct sheet *sheet);

/* One line of the protocol; what the program that holds the counters does with it (conformance.c). */
bool check_within(double got, double goal, double below, double above, const char *label);

/* The rates that IEC 61672-1 and IEC 61260-1 are checked at. Under sanitizers, which look for other faults and take
 * seven times as long, only one of them; the page is made and compared without. */
#ifdef CHECK_ONE_RATE
#define CHECK_RATE_COUNT 1
#else
#define CHECK_RATE_COUNT 6
#endif
extern const double check_rates_hz[CHECK_RATE_COUNT];
extern const char *const check_rate_names[CHECK_RATE_COUNT];

#endif
