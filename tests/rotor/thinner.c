/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "file.h"

#include "rotor/thinner.h"

/* A sine up to the highest wanted frequency comes through a thinner as the same sine, late by what it says; a sine that
 * would fold onto the wanted part does not. Checked against the sine's closed form. */
enum { SECONDS = 2 };

/* Greatest deviation from amplitude x sin(2 pi hz (t - delay)) behind the first tenth of a second. */
static double worst_deviation(double rate_hz, double hz, double highest_hz, double amplitude, size_t *count)
{
    struct sound sound = { .rate_hz = rate_hz, .count = (size_t)(SECONDS * rate_hz) };
    sound.pa = must(malloc(sound.count * sizeof *sound.pa));
    for (size_t i = 0; i < sound.count; i++)
        sound.pa[i] = sin(2 * PI * hz * (double)i / rate_hz);
    struct sound_file file = sound_file_open(&sound, NULL);
    struct thinner thinner;
    struct err err;
    double block[777], worst = 0;
    size_t got = 0;
    bool ok = thinner_open(&thinner, &file.pressure, highest_hz, &err);
    *count = 0;
    do {
        ok = ok && thinner.source.read(thinner.source.state, block, 777, &got, &err);
        for (size_t i = 0; ok && i < got; i++) {
            double time_s = (double)(*count + i) / thinner.sample_rate_hz;
            double want = amplitude * sin(2 * PI * hz * (time_s - thinner.delay_s));
            if (time_s > 0.1)
                worst = fmax(worst, fabs(block[i] - want));
        }
        *count += ok ? got : 0;
    } while (ok && got > 0);
    thinner_clear(&thinner);
    sound_file_close(&file);
    free(sound.pa);
    return ok ? worst : (double)INFINITY;
}

int main(void)
{
    static const struct {
        double rate_hz, highest_hz, thinned_hz;
    } cases[] = { { 48000, 500, 3000 }, { 44100, 6000, 22050 }, { 8000, 3000, 8000 }, { 192000, 420, 1500 } };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double rate_hz = cases[i].rate_hz, highest_hz = cases[i].highest_hz, thinned_hz = cases[i].thinned_hz;
        size_t count;
        tap_near(worst_deviation(rate_hz, 0.99 * highest_hz, highest_hz, 1, &count), 0, 5e-4,
                 "%g Hz: a sine just below %g Hz stays, in amplitude and phase", rate_hz, highest_hz);
        tap_near((double)count, SECONDS * thinned_hz, 2, "%g Hz becomes %g", rate_hz, thinned_hz);
        tap_near(worst_deviation(rate_hz, highest_hz / 7, highest_hz, 1, &count), 0, 5e-4, "and one far below");
        if (thinned_hz < rate_hz)
            tap_near(worst_deviation(rate_hz, thinned_hz - 0.8 * highest_hz, highest_hz, 0, &count), 0, 1e-4,
                     "one that would fold onto %g Hz is gone", 0.8 * highest_hz);
    }
    return tap_done();
}
