/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_LEVEL_METER_H
#define THRUM_METERS_LEVEL_METER_H

/* Fills figures.levels (IEC 61672-1:2013): LAeq, LCeq, LZeq, LAE, LAFmax, LAFmin, LASmax, LCpeak, and LA10, LA50, LA90
 * from the F level taken at least 100 times a second. Also figures.highest_hz.
 *
 * Energies are summed in half-millisecond hops; F and S are driven by the hops of the used part and start with it
 * (detector.h tells the rule for the start): what a meter that ran before would still hold of a knock that was cut off
 * is no sound of the used part. The preroll only settles the weightings. The first 0.5 s of what is fed, preroll
 * included, are left out of LCeq, LZeq and LCpeak (but never more than half of the used part): a recording's beginning
 * is a step to weightings that let low frequencies through. Minimum and percentiles are ABSENT when the used part is
 * shorter than 0.125 s. Bits do not depend on the length of the blocks that are fed. */

#include "meters/meter.h"

extern const struct meter_kind level_meter;

#endif
