/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_GRID_H
#define THRUM_COMPARE_GRID_H

/* One quantity against one operating quantity for every variant at every microphone: samples, laws, and the scatter
 * that they share. Built from the usable runs; owned by the caller, grid_clear frees it. */

#include "compare/compare.h"
#include "compare/gum.h"
#include "compare/law.h"
#include "compare/quantity.h"
#include "compare/skirts.h"

#include <stdbool.h>
#include <stddef.h>

/* What scatter.c found of the grid: how far one run lies from its law, and which law. */
struct scatter {
    bool is_pooled;            /* one scatter for all cells */
    struct uncertainty pooled; /* of one run; 0 degrees of freedom: none can be had */
    bool lacks_fit; /* runs lie further off their laws than repeats scatter: scatters are those of points' means */
    bool knows_curvature; /* something is left about the parabolas, so that law_doubt has a meaning */
};

struct cell {
    size_t variant, microphone; /* indices in the campaign */
    struct sample *samples;     /* sorted by value; upper bounds too */
    size_t count;
    size_t clean_count; /* samples that are no upper bounds */
    struct law clean;   /* through those only */
    struct law all;     /* through all of them */
    double repeat_squares, repeat_degrees;
    bool has_tones;           /* third octaves: tones hold a noticeable part of the band in some run */
    double shaft_hz;          /* speed at the place, placed grids only; else 0, and where not known */
    struct uncertainty speed; /* of the speed at the place, relative; 0 where not placed (placing.h) */
    char veil[200];           /* why runs could not be placed; empty: none was left out */
};

struct grid {
    enum operating_quantity at;
    struct quantity quantity;
    struct cell *cells; /* variant by variant in the campaign's order, in it microphone by microphone */
    size_t cell_count;
    struct scatter scatter;
};

struct grid_source {
    const struct campaign *campaign;
    const struct run_result *runs;
    size_t run_count;
    const struct skirts_set *skirts;
    const size_t *run_variant, *run_microphone; /* of each run, by index in the campaign; SIZE_MAX: not known */
    bool without_doubtful;
    const bool *left_out; /* of each run; NULL: none */
};

bool run_is_usable(const struct run_result *run);

/* Doubtful as a whole: a finding of that severity which does not concern one band only. */
bool run_is_doubtful(const struct run_result *run);

bool grid_build(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                struct grid *out, struct err *err) MUST_CHECK;
/* Third octaves as they would be with each run's tones where they lie at `value`: placing.h. */
bool grid_build_placed(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                       double value, struct grid *out, struct err *err) MUST_CHECK;

/* The same without laws: for points that coincide near `value`. The scatter is that of repeats. */
bool grid_build_lawless(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                        double value, struct grid *out, struct err *err) MUST_CHECK;
void grid_clear(struct grid *grid);

const struct cell *grid_cell(const struct grid *grid, size_t variant, size_t microphone);    /* NULL: no runs there */
const struct cell *grid_cell_at(const struct grid *grid, size_t variant, size_t microphone); /* with or without runs */

/* The fitted value of a cell at an operating value. */
struct estimate {
    bool is_given;
    bool is_upper_bound; /* the truth is at most y */
    bool is_curved;
    bool is_of_law; /* else the mean of repeats */
    double y;
    double leverage;          /* variance of y in units of the variance of one run */
    double background_per_db; /* change of y per dB of background */
    double placing;           /* standard uncertainty of y from where tones lie and how strong they are; else 0 */
    double curvature;         /* law_doubt there */
    double slope;             /* dy / d lg(value) */
    int run_count;
    char reason[200];
};

void grid_estimate(const struct grid *grid, const struct cell *cell, double value, struct estimate *out);

#endif
