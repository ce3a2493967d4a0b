/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_CLONES_H
#define THRUM_METERS_CLONES_H

/* A function that is compiled twice, with and without AVX2; the processor decides at start-up. The clones do the same
 * operations in the same order (no fused multiply-add: -ffp-contract=off), so their bits are the same;
 * tests/meters/same_bits.sh compares them, for which THRUM_METERS_PLAIN leaves the wide one out. */

#if defined(__x86_64__) && !defined(THRUM_METERS_PLAIN)
#define WITH_CLONES __attribute__((target_clones("avx2", "default")))
#else
#define WITH_CLONES
#endif

#endif
