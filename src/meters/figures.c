/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/figures.h"

#include "base/absent.h"

#include <stdlib.h>

void figures_init(struct figures *figures)
{
    *figures = (struct figures){
        .levels = { ABSENT, ABSENT, ABSENT, ABSENT, ABSENT, ABSENT, ABSENT, ABSENT, ABSENT, ABSENT, ABSENT },
        .hearing = { .loudness_stationary_sone = ABSENT,
                     .loudness_mean_sone = ABSENT,
                     .loudness_max_sone = ABSENT,
                     .loudness_n5_sone = ABSENT,
                     .loudness_n10_sone = ABSENT,
                     .loudness_level_phon = ABSENT,
                     .sharpness_acum = ABSENT,
                     .roughness_asper = ABSENT,
                     .fluctuation_vacil = ABSENT,
                     .annoyance = ABSENT,
                     .annoyance_tonal = ABSENT },
        .highest_hz = ABSENT,
    };
    for (size_t i = 0; i < SPECIFIC_LOUDNESS_COUNT; i++)
        figures->hearing.specific_sone_bark[i] = ABSENT;
}

void figures_clear(struct figures *figures)
{
    free(figures->third_octave.items);
    free(figures->bands.items);
    free(figures->spectrum.pa2);
    free(figures->hearing.loudness_sone);
    figures_init(figures);
}
