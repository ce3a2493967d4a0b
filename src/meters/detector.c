/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/detector.h"

#include <math.h>

void detector_init(struct detector *detector, double constant_s, double hop_s)
{
    *detector =
        (struct detector){ .constant_s = constant_s, .hop_s = hop_s, .keep = exp(-hop_s / constant_s), .unheard = 1 };
}
