/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_LANES_H
#define THRUM_METERS_LANES_H

/* Four numbers abreast. Arithmetic is lane by lane, so the bits are those of scalar code on every processor. Aligned
 * like a double, so that they may live in any memory. */

#include <limits.h>

#define LANES 4

typedef double lanes __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));
typedef long long lanes_mask __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));

/* Lane by lane; a macro, since what vectors are passed in depends on the processor. */
#define LANES_SELECT(mask, yes, no) ((lanes)(((mask) & (lanes_mask)(yes)) | (~(mask) & (lanes_mask)(no))))
#define LANES_LARGER(one, other) LANES_SELECT((one) > (other), one, other)
#define LANES_MAGNITUDE(values) ((lanes)((lanes_mask)(values)&LLONG_MAX))

#endif
