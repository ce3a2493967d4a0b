/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_LANES_H
#define THRUM_HEARING_LANES_H

#include "base/clones.h"

/* Four doubles abreast (vector types of gcc and clang), for functions that are compiled WITH_CLONES. A
 * comparison of lanes is all ones where it is true. */

#define LANES 4
typedef double lanes __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));
typedef long long lanes_mask __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));

#define LANES_SELECT(mask, yes, no) ((lanes)(((mask) & (lanes_mask)(yes)) | (~(mask) & (lanes_mask)(no))))

#endif
