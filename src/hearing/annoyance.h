/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_ANNOYANCE_H
#define THRUM_HEARING_ANNOYANCE_H

/* Psychoacoustic annoyance: indices from listening tests on other sounds than rotors, not standards. For ranking sounds
 * against each other (ratios), never "percent annoyed". Any ABSENT input makes the result ABSENT. */

/* Fastl and Zwicker, Psychoacoustics, equations 16.2 to 16.4 (origin: Widmann 1992; from memory):
 * N5 (1 + sqrt(w_S^2 + w_FR^2)), w_S = 0.25 (S - 1.75) lg(N5 + 10) above 1.75 acum, w_FR = 2.18 / N5^0.4 (0.4 F + 0.6
 * R). Silence annoys nobody: 0. */
double annoyance_zwicker(double n5_sone, double sharpness_acum, double roughness_asper, double fluctuation_vacil);

/* Di et al. 2016: as above with w_T^2 under the root, w_T = 6.41 T / N5^0.52 with T the tonality in t.u. (from memory).
 */
double annoyance_with_tonality(double n5_sone, double sharpness_acum, double roughness_asper, double fluctuation_vacil,
                               double tonality_tu);

#endif
