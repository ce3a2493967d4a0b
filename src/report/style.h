/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_STYLE_H
#define THRUM_REPORT_STYLE_H

/* How things look, in one place. Each variant has a look: a colour that colour-blind readers tell from its neighbours
 * (blue, vermilion, bluish green, amber, purple, brown: the first five by hues of the palette that Okabe and Ito
 * published for this), of a lightness of its own so that it survives a grey print, and beside the colour a dash, a
 * marker and a hatch. */

#include <stddef.h>

struct colour {
    double red, green, blue;
};

enum marker { MARKER_CIRCLE, MARKER_SQUARE, MARKER_TRIANGLE, MARKER_DIAMOND, MARKER_CROSS, MARKER_PLUS };
enum hatch { HATCH_SOLID, HATCH_RISING, HATCH_EMPTY, HATCH_LEVEL, HATCH_CROSSED, HATCH_FALLING };

struct look {
    struct colour colour;
    const double *dash_pt; /* lengths of dash and gap; NULL: solid */
    int dash_count;
    enum marker marker;
    enum hatch hatch;
};

#define LOOK_COUNT 6
#define LOOK_OTHERS LOOK_COUNT /* grey: variants that are not told apart */
#define LOOK_NONE ((size_t)-1)
struct look look_of(size_t index);

extern const struct colour style_ink, style_quiet, style_faint, style_grid, style_accent, style_paper, style_tint;

#define STYLE_FONT "Open Sans, DejaVu Sans"

/* "#rrggbb" into a buffer of at least 8. */
void colour_hex(struct colour colour, char *out);

#endif
