/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/threshold.h"

#include "base/absent.h"

#include <math.h>
#include <stddef.h>

static const struct {
    double hz, threshold_db;
} table[] = {
    { 20, 78.5 },   { 25, 68.7 },  { 31.5, 59.5 }, { 40, 51.1 },    { 50, 44.0 },    { 63, 37.5 },
    { 80, 31.5 },   { 100, 26.5 }, { 125, 22.1 },  { 160, 17.9 },   { 200, 14.4 },   { 250, 11.4 },
    { 315, 8.6 },   { 400, 6.2 },  { 500, 4.4 },   { 630, 3.0 },    { 800, 2.2 },    { 1000, 2.4 },
    { 1250, 3.5 },  { 1600, 1.7 }, { 2000, -1.3 }, { 2500, -4.2 },  { 3150, -6.0 },  { 4000, -5.4 },
    { 5000, -1.5 }, { 6300, 6.0 }, { 8000, 12.6 }, { 10000, 13.9 }, { 12500, 12.3 },
};
#define TABLE_COUNT (sizeof table / sizeof table[0])

double hearing_threshold_db(double hz)
{
    if (!(hz >= table[0].hz) || hz > table[TABLE_COUNT - 1].hz)
        return ABSENT;
    size_t above = 1;
    while (above < TABLE_COUNT - 1 && table[above].hz < hz)
        above++;
    double part = log(hz / table[above - 1].hz) / log(table[above].hz / table[above - 1].hz);
    return table[above - 1].threshold_db + part * (table[above].threshold_db - table[above - 1].threshold_db);
}
