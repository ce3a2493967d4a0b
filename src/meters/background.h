/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BACKGROUND_H
#define THRUM_METERS_BACKGROUND_H

/* Background correction K1 of ISO 3744:2010, 8.2.3: none above 15 dB difference, -10 lg(1 - 10^(-0.1 D)) from 6 to 15
 * dB, and 1.3 dB below 6 dB, where the result is an upper bound (thresholds from memory). */

#include <stdbool.h>

struct background_correction {
    double k1_db; /* to be subtracted; 0 when the background is ABSENT */
    bool is_upper_bound;
};

struct background_correction background_correct(double level_db, double background_db);

#endif
