/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/scale.h"

#include "base/memory.h"
#include "base/num.h"
#include "base/units.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool scale_add_name(struct scale *scale, const char *name)
{
    void *names = scale->names;
    if (!memory_grow(&names, &scale->name_capacity, scale->name_count + 1, sizeof *scale->names))
        return false;
    scale->names = names;
    snprintf(scale->names[scale->name_count++], SCALE_NAME_MAX, "%s", name);
    scale->low = 0;
    scale->high = (double)scale->name_count;
    return true;
}

void scale_clear(struct scale *scale)
{
    free(scale->names);
    scale->names = NULL;
    scale->name_count = scale->name_capacity = 0;
}

double scale_place(const struct scale *scale, double value)
{
    if (scale->kind == SCALE_FREQUENCY)
        return log(value / scale->low) / log(scale->high / scale->low);
    return (value - scale->low) / (scale->high - scale->low);
}

/* 1, 2 or 5 times a power of ten, at least `least`. */
static double round_step(double least)
{
    double decade = floor(log10(least));
    double unit = db_to_power_ratio(10 * decade);
    double ratio = least / unit;
    return unit * (ratio <= 1.0000001 ? 1 : ratio <= 2.0000001 ? 2 : ratio <= 5.0000001 ? 5 : 10);
}

static int step_decimals(double step)
{
    int decimals = 0;
    while (decimals < 6 && fabs(num_round(step, decimals) - step) > step * 1e-6)
        decimals++;
    return decimals;
}

static void add_tick(struct ticks *out, double value, int rank, const char *text)
{
    if (out->count == TICKS_MAX)
        return;
    out->items[out->count].value = value;
    out->items[out->count].rank = rank;
    snprintf(out->items[out->count].text, SCALE_NAME_MAX, "%s", text);
    out->count++;
}

static void linear_ticks(const struct scale *scale, int most, struct ticks *out)
{
    double step = round_step((scale->high - scale->low) / (most < 1 ? 1 : most));
    int decimals = step_decimals(step);
    double first = ceil(scale->low / step - 1e-6), last = floor(scale->high / step + 1e-6);
    for (double i = first; i <= last; i++) {
        char number[SCALE_NAME_MAX - 4], text[SCALE_NAME_MAX];
        num_format(number, sizeof number, i * step, decimals);
        bool negative = number[0] == '-';
        snprintf(text, sizeof text, "%s%s", negative ? "\xe2\x88\x92" : "", number + negative);
        add_tick(out, i * step, 0, text);
    }
}

/* The ten preferred numbers of a decade, ISO 266 (R 10). */
static const char *const nominal_digits[10] = { "1", "1.25", "1.6", "2", "2.5", "3.15", "4", "5", "6.3", "8" };
static const double nominal_values[10] = { 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8 };

static void nominal_of_index(int index, char *out, size_t size)
{
    int from_one = index + 30; /* bands from 1 Hz on */
    int decade = from_one / 10, digit = from_one % 10;
    if (decade == 0)
        snprintf(out, size, "%s", nominal_digits[digit]);
    else if (decade >= 3)
        snprintf(out, size, "%gk", nominal_values[digit] * (decade == 3 ? 1 : decade == 4 ? 10 : 100));
    else
        snprintf(out, size, "%g", nominal_values[digit] * (decade == 1 ? 10 : 100));
    char *comma = strchr(out, ',');
    if (comma)
        *comma = '.';
}

void scale_nominal_text(double hz, char *out, size_t size)
{
    if (!(hz >= 0.9 && hz < 9e5)) {
        snprintf(out, size, "?");
        return;
    }
    nominal_of_index((int)lround(power_ratio_to_db(hz / 1000)), out, size);
}

/* Octave mid-frequencies are named first, then the rest. Index -15 is 31.5 Hz: octaves are whole threes from 0. */
static void frequency_ticks(const struct scale *scale, struct ticks *out)
{
    int first = (int)ceil(power_ratio_to_db(scale->low / 1000) - 1e-6);
    int last = (int)floor(power_ratio_to_db(scale->high / 1000) + 1e-6);
    for (int index = first < -29 ? -29 : first; index <= last; index++) {
        char text[SCALE_NAME_MAX];
        nominal_of_index(index, text, sizeof text);
        add_tick(out, 1000 * db_to_power_ratio(index), index % 3 == 0 ? 0 : 1, text);
    }
}

void scale_ticks(const struct scale *scale, int most, struct ticks *out)
{
    out->count = 0;
    switch (scale->kind) {
    case SCALE_LINEAR:
        linear_ticks(scale, most, out);
        break;
    case SCALE_FREQUENCY:
        frequency_ticks(scale, out);
        break;
    case SCALE_CATEGORY:
        for (size_t i = 0; i < scale->name_count; i++)
            add_tick(out, (double)i + 0.5, i % 3 == 0 ? 0 : 1, scale->names[i]);
        break;
    }
}

void scale_fit(struct scale *scale, double low, double high, double least)
{
    if (high - low < least) {
        double middle = (low + high) / 2;
        low = middle - least / 2;
        high = middle + least / 2;
    }
    double step = round_step((high - low) / 8);
    scale->low = floor(low / step) * step;
    scale->high = ceil(high / step) * step;
    if (!(scale->high > scale->low))
        scale->high = scale->low + step;
}
