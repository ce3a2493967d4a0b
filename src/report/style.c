/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/style.h"

#include <math.h>
#include <stdio.h>

const struct colour style_ink = { 0.11, 0.13, 0.15 };
const struct colour style_quiet = { 0.36, 0.39, 0.42 };
const struct colour style_faint = { 0.62, 0.65, 0.68 };
const struct colour style_grid = { 0.87, 0.89, 0.90 };
const struct colour style_accent = { 0.04, 0.38, 0.42 };
const struct colour style_paper = { 1.0, 1.0, 1.0 };
const struct colour style_tint = { 0.945, 0.965, 0.965 };

static const double long_dash[] = { 7, 2.5 };
static const double dash_dot[] = { 7, 2, 1.5, 2 };
static const double short_dash[] = { 3, 2 };
static const double dots[] = { 1.2, 2 };
static const double double_dot[] = { 8, 2, 1.5, 2, 1.5, 2 };

static const struct look looks[LOOK_COUNT + 1] = {
    { { 0.07, 0.22, 0.42 }, NULL, 0, MARKER_CIRCLE, HATCH_SOLID },
    { { 0.82, 0.33, 0.08 }, long_dash, 2, MARKER_SQUARE, HATCH_RISING },
    { { 0.10, 0.62, 0.50 }, dash_dot, 4, MARKER_TRIANGLE, HATCH_EMPTY },
    { { 0.90, 0.66, 0.12 }, short_dash, 2, MARKER_DIAMOND, HATCH_LEVEL },
    { { 0.53, 0.36, 0.62 }, dots, 2, MARKER_CROSS, HATCH_CROSSED },
    { { 0.40, 0.25, 0.10 }, double_dot, 6, MARKER_PLUS, HATCH_FALLING },
    { { 0.70, 0.72, 0.75 }, NULL, 0, MARKER_CIRCLE, HATCH_EMPTY }, /* LOOK_OTHERS */
};

struct look look_of(size_t index)
{
    return looks[index < LOOK_COUNT ? index : LOOK_OTHERS];
}

static unsigned to_byte(double part)
{
    return (unsigned)lround(part * 255);
}

void colour_hex(struct colour colour, char *out)
{
    snprintf(out, 8, "#%02x%02x%02x", to_byte(colour.red) & 255U, to_byte(colour.green) & 255U,
             to_byte(colour.blue) & 255U);
}
