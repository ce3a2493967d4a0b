/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_FIGURES_H
#define THRUM_METERS_FIGURES_H

/* What the meters say of one recording. Plain data, owned: figures_clear frees it. Levels are dB re 20 uPa, or dBFS
 * where the gain is not absolute. A figure that can't be given is ABSENT; silence is -INFINITY. */

#include <stddef.h>
#include <stdint.h>

/* IEC 61672-1:2013 quantities of the used part. Percentiles are of the F-weighted A-level: exceeded N % of the time. */
struct levels {
    double laeq_db, lceq_db, lzeq_db;
    double lafmax_db, lafmin_db, lasmax_db;
    double lcpeak_db;
    double lae_db;
    double la10_db, la50_db, la90_db;
};

/* IEC 61260-1:2014, base ten. */
struct band {
    int index; /* x of the standard: 0 is the band at 1 kHz (odd fractions) */
    double nominal_hz, exact_hz, low_hz, high_hz;
    double level_db, fmax_db, smax_db; /* Leq, and the largest F and S level */
};

struct bands {
    int per_octave; /* 1, 3, 6, 12 or 24 */
    struct band *items;
    size_t count; /* only the bands that fit the rate, from low to high */
};

/* Averaged one-sided narrow-band spectrum: Hann window, half overlap. pa2[k] is the mean square of the line at
 * k * step_hz corrected for the window's coherent power gain such that a steady tone's whole power is the sum of its
 * lines divided by `enbw_lines` (1.5 for Hann), and noise density is pa2[k] / (enbw_lines * step_hz): i.e. a sine that
 * falls on a line shows its mean square in that line. */
struct spectrum {
    double step_hz, sample_rate_hz;
    double enbw_lines;
    size_t block_frames; /* of one transform */
    size_t block_count;  /* averaged */
    double *pa2;
    size_t count; /* lines from 0 Hz on */
};

/* Zwicker and related figures, src/hearing/ fills them; all ABSENT without an absolute gain. */
#define SPECIFIC_LOUDNESS_COUNT 240 /* every 0.1 bark, 0.1 to 24 */
struct hearing_figures {
    int is_diffuse; /* sound field: 0 free, 1 diffuse */
    double loudness_stationary_sone, loudness_mean_sone, loudness_max_sone, loudness_n5_sone, loudness_n10_sone;
    double loudness_level_phon;
    double sharpness_acum, roughness_asper, fluctuation_vacil;
    double annoyance, annoyance_tonal;
    double specific_sone_bark[SPECIFIC_LOUDNESS_COUNT]; /* mean over time; ABSENT where there is none */
    double *loudness_sone;                              /* against time, decimated */
    size_t loudness_count;
    double loudness_step_s;
};

struct figures {
    struct levels levels;
    struct bands third_octave;
    struct bands bands; /* the other fraction that was asked for; count 0 when none was */
    struct spectrum spectrum;
    struct hearing_figures hearing;
    double highest_hz; /* what part of the audible range the rate holds */
};

void figures_init(struct figures *figures); /* everything ABSENT, nothing owned */
void figures_clear(struct figures *figures);

#endif
