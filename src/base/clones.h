/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_CLONES_H
#define THRUM_BASE_CLONES_H

/* A function that is compiled twice, with and without AVX2; the right one is taken when the program starts. The clones
 * do the same operations in the same order (no fused multiply-add: -ffp-contract=off), so their bits are the same;
 * tests of meters and hearing compare them, for which THRUM_PLAIN leaves the wide one out. clang 14 does not link
 * clones of static functions and gets the plain one. */

#if defined(__x86_64__) && !defined(__clang__) && !defined(THRUM_PLAIN)
#define WITH_CLONES __attribute__((target_clones("avx2", "default")))
#else
#define WITH_CLONES
#endif

#endif
