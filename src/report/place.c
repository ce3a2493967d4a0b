/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/place.h"

void placer_init(struct placer *placer, struct box area)
{
    placer->area = area;
    placer->count = 0;
}

void placer_take(struct placer *placer, struct box box)
{
    if (placer->count < PLACER_MAX)
        placer->taken[placer->count++] = box;
}

static bool overlap(struct box a, struct box b)
{
    return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

bool placer_is_free(const struct placer *placer, struct box box)
{
    const struct box *area = &placer->area;
    if (box.x < area->x || box.y < area->y || box.x + box.width > area->x + area->width ||
        box.y + box.height > area->y + area->height)
        return false;
    if (placer->count == PLACER_MAX)
        return false;
    for (size_t i = 0; i < placer->count; i++)
        if (overlap(box, placer->taken[i]))
            return false;
    return true;
}

bool placer_near(struct placer *placer, double x, double y, double width, double height, struct box *out)
{
    static const struct {
        double across; /* of the width, from the label's left to x */
        double up;     /* of the height, from the label's bottom to y */
    } steps[] = {
        { 0.5, 0.35 }, { 0.0, 0.35 }, { 1.0, 0.35 }, { -0.1, -0.4 }, { 1.1, -0.4 }, { 0.5, 1.4 }, { 0.0, 1.4 },
        { 1.0, 1.4 },  { 0.5, 2.5 },  { 0.0, 2.5 },  { 1.0, 2.5 },   { 0.5, 3.6 },  { 0.0, 3.6 }, { 1.0, 3.6 },
        { 0.5, 4.8 },  { 0.2, 4.8 },  { 0.8, 4.8 },  { 0.5, 6.0 },   { 0.5, 7.2 },
    };
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        struct box box = { x - steps[i].across * width, y - (steps[i].up + 1) * height, width, height };
        if (!placer_is_free(placer, box))
            continue;
        placer_take(placer, box);
        *out = box;
        return true;
    }
    return false;
}
