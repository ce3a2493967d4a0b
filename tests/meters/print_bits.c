/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Every level of every meter of the room for one noise, and the spectrum's lowest lines, as hexadecimal floating point.
 * Built twice, with the functions for wide vectors and without; same_bits.sh compares. FFTW is the same for both. */

#include "rig.h"

#include "meters/band_meter.h"
#include "meters/level_meter.h"
#include "meters/spectrum_meter.h"

#include <stdio.h>

#define LINES_SHOWN 500

static void print_bands(const struct bands *bands)
{
    for (size_t i = 0; i < bands->count; i++)
        printf("%a %a %a\n", bands->items[i].level_db, bands->items[i].fmax_db, bands->items[i].smax_db);
}

int main(void)
{
    struct signal noise = signal_new(44100, 0.4, 3);
    signal_add_noise(&noise, 0.1, 5);
    signal_add_sine(&noise, 140, 1, 0);
    struct figures figures;
    figures_init(&figures);
    rig_run(&level_meter, &noise, 0, 0, &figures);
    rig_run(&third_octave_meter, &noise, 0, 0, &figures);
    rig_run(&fraction_meter, &noise, 12, 0, &figures);
    rig_run(&spectrum_meter, &noise, 0, 0, &figures);
    const struct levels *levels = &figures.levels;
    printf("%a %a %a %a %a %a %a %a\n", levels->laeq_db, levels->lceq_db, levels->lzeq_db, levels->lafmax_db,
           levels->lafmin_db, levels->lasmax_db, levels->lcpeak_db, levels->la50_db);
    print_bands(&figures.third_octave);
    print_bands(&figures.bands);
    for (size_t k = 0; k < LINES_SHOWN && k < figures.spectrum.count; k++)
        printf("%a\n", figures.spectrum.pa2[k]);
    figures_clear(&figures);
    signal_clear(&noise);
    return 0;
}
