/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_CLONES_H
#define THRUM_BASE_CLONES_H

/* A function that is compiled twice, with and without AVX2, or three times, where the 32 registers of AVX-512 pay; the
 * right one is taken when the program starts. The clones do the same operations in the same order (no fused
 * multiply-add: -ffp-contract=off), so their bits are the same; tests of meters and hearing compare them, for which
 * THRUM_PLAIN leaves the plain one only. clang 14 does not link clones of static functions and gets the plain one. */

#if defined(__x86_64__) && !defined(__clang__) && !defined(THRUM_PLAIN)
#define WITH_CLONES __attribute__((target_clones("avx2", "default")))
#define WITH_THREE_CLONES __attribute__((target_clones("arch=x86-64-v4", "avx2", "default")))
#else
#define WITH_CLONES
#define WITH_THREE_CLONES
#endif

#endif
