/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SCALE_H
#define THRUM_REPORT_SCALE_H

/* One axis of a chart: its range, its label (always with the unit), where values lie on it and which ticks it has. */

#include <stdbool.h>
#include <stddef.h>

enum scale_kind {
    SCALE_LINEAR,
    SCALE_FREQUENCY, /* lg of Hz; ticks at the third-octave mid-frequencies of IEC 61260-1, named nominally */
    SCALE_CATEGORY,  /* item i is at i + 0.5 of `name_count` */
};

#define SCALE_NAME_MAX 32
struct scale {
    enum scale_kind kind;
    double low, high;
    char label[96];                /* quantity and unit: "Thrust, N" */
    char (*names)[SCALE_NAME_MAX]; /* of categories; owned by the axis */
    size_t name_count, name_capacity;
};

#define TICKS_MAX 80
struct ticks {
    struct {
        double value;
        char text[SCALE_NAME_MAX]; /* empty: a tick without a label */
        int rank;                  /* 0: labelled first; larger ranks give way where there is no room */
    } items[TICKS_MAX];
    size_t count;
};

/* False when memory is out. */
bool scale_add_name(struct scale *scale, const char *name);
void scale_clear(struct scale *scale);

/* 0 at the low end, 1 at the high end. */
double scale_place(const struct scale *scale, double value);

/* At most `most` labelled ticks on a linear axis; all of them on the others, to be thinned by room. */
void scale_ticks(const struct scale *scale, int most, struct ticks *out);

/* Widens [low, high] to whole steps around the values and at least `least` wide. */
void scale_fit(struct scale *scale, double low, double high, double least);

/* The nominal name of the third-octave band nearest to `hz`: "31.5", "1k", "12.5k". */
void scale_nominal_text(double hz, char *out, size_t size);

#endif
