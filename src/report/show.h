/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SHOW_H
#define THRUM_REPORT_SHOW_H

/* Figures in words and digits, the same on paper, in HTML and on the terminal: a true minus sign, an en dash for what
 * is absent, units by name. Each returns its buffer. */

#include "report/view.h"

#include <stddef.h>

#define SHOW_MAX 200

struct shown {
    char text[SHOW_MAX];
};

struct shown show(double value, int decimals);
struct shown show_plain(double value, int decimals); /* without zeros at the end */
struct shown show_signed(double value, int decimals);
struct shown show_interval(double low, double high, int decimals);     /* "−4.9 to −3.3", "at most −3.3" */
struct shown show_operating(enum operating_quantity at, double value); /* "3.5 N" */
/* "1.93 N to 2.04 N", "at least 4.2 N", an en dash. */
struct shown show_operating_interval(enum operating_quantity at, double low, double high);
struct shown show_operating_axis(enum operating_quantity at); /* "Thrust, N" */

/* "dB re 20 µPa", "dBFS", or "dB, references differ" for a mixture. */
const char *show_level_unit(const struct results *results);
const char *show_run_unit(const struct run_result *run);

struct quantity_text {
    const char *name;  /* "Fluctuation strength" */
    const char *brief; /* "Fluctuation" */
    const char *unit;  /* NULL: that of levels; "" for a bare number */
    int decimals;
};
struct quantity_text show_quantity(const char *key);
struct shown show_quantity_header(const struct results *results, const char *key); /* "Loudness N5, sone" */

struct shown show_brief_header(const char *key); /* "Fluctuation, vacil" */

struct shown show_hz(double hz);
const char *show_drive(const struct variant *variant);    /* "direct", "belt", "gear" */
struct shown show_variant(const struct variant *variant); /* "slow5 (Five-blade, belt-driven)"; long names alone */
struct shown show_variant_whole(const struct variant *variant); /* for sentences, where there is room */

#endif
