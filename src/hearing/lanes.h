/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_LANES_H
#define THRUM_HEARING_LANES_H

/* Four doubles abreast (vector types of gcc and clang). A function marked LANES_CLONES is compiled once for AVX2 and
 * once for any processor, and the right one is taken when the program starts; both give the same bits, since products
 * are never contracted (-ffp-contract=off). A comparison of lanes is all ones where it is true. */

#define LANES 4
typedef double lanes __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));
typedef long long lanes_mask __attribute__((vector_size(LANES * sizeof(double)), aligned(sizeof(double))));

#ifndef LANES_CLONES /* a test sets it to nothing and compares the bits */
#define LANES_CLONES __attribute__((target_clones("avx2", "default")))
#endif
#define LANES_SELECT(mask, yes, no) ((lanes)(((mask) & (lanes_mask)(yes)) | (~(mask) & (lanes_mask)(no))))

#endif
