/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_PLACE_H
#define THRUM_REPORT_PLACE_H

/* A small label placer: keeps the boxes that are taken and finds a free one near a point. A label that finds no room is
 * not drawn, so labels never lie over each other; captions say where all of them are listed. */

#include <stdbool.h>
#include <stddef.h>

struct box {
    double x, y, width, height;
};

#define PLACER_MAX 512
struct placer {
    struct box area; /* labels stay inside */
    struct box taken[PLACER_MAX];
    size_t count;
};

void placer_init(struct placer *placer, struct box area);
void placer_take(struct placer *placer, struct box box);
bool placer_is_free(const struct placer *placer, struct box box);

/* Where a label of that size near (x, y) has room, tried above first, then beside and further up, left and right; the
 * box is then taken. */
bool placer_near(struct placer *placer, double x, double y, double width, double height, struct box *out);

#endif
