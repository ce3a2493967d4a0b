/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_LANES_H
#define THRUM_BASE_LANES_H

/* Four numbers abreast, for functions compiled WITH_CLONES. Arithmetic is lane by lane, so the bits are those of scalar
 * code on every processor. Aligned like a double, so that they may live in any memory. A comparison of lanes is all
 * ones where it is true. */

#include <limits.h>

#define LANES 4

typedef double lanes __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));
typedef long long lanes_mask __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));

/* Macros, since what vectors are passed in depends on the processor. LARGER and SMALLER give `other` where a lane is no
 * number. */
#define LANES_SELECT(mask, yes, no) ((lanes)(((mask) & (lanes_mask)(yes)) | (~(mask) & (lanes_mask)(no))))
#define LANES_LARGER(one, other) LANES_SELECT((one) > (other), one, other)
#define LANES_SMALLER(one, other) LANES_SELECT((one) < (other), one, other)
#define LANES_MAGNITUDE(values) ((lanes)((lanes_mask)(values)&LLONG_MAX))

/* The same of single numbers, which fmax and fmin are not: they never give what is no number, and cost a call. */
static inline double larger_of(double one, double other)
{
    return one > other ? one : other;
}

static inline double smaller_of(double one, double other)
{
    return one < other ? one : other;
}

#endif
