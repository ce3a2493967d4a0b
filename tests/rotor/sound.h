/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_SOUND_H
#define THRUM_TESTS_ROTOR_SOUND_H

/* Sounds made for the tests of this room: tones with any course of frequency, noise of known density from a fixed seed,
 * and their averaged Hann spectrum in the form of meters/figures.h. Shares no code with what is tested but the FFT,
 * which has its own test against the direct sum. */

#include "base/fft.h"
#include "base/units.h"
#include "meters/figures.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct dice {
    uint64_t state;
};

static inline double dice_uniform(struct dice *dice) /* splitmix64, 0 to below 1 */
{
    uint64_t z = dice->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static inline double dice_between(struct dice *dice, double low, double high)
{
    return low + (high - low) * dice_uniform(dice);
}

static inline int dice_whole(struct dice *dice, int low, int high)
{
    return low + (int)(dice_uniform(dice) * (high - low + 1));
}

static inline double dice_normal(struct dice *dice) /* Box and Muller */
{
    double radius = sqrt(-2 * log(1 - dice_uniform(dice)));
    return radius * cos(2 * PI * dice_uniform(dice));
}

struct sound {
    double rate_hz;
    size_t count;
    double *pa;
};

static inline void *must(void *memory)
{
    if (!memory) {
        fprintf(stderr, "out of memory\n");
        exit(EXIT_FAILURE);
    }
    return memory;
}

static inline struct sound sound_silence(double rate_hz, double seconds)
{
    struct sound sound = { .rate_hz = rate_hz, .count = (size_t)(rate_hz * seconds) };
    sound.pa = must(calloc(sound.count, sizeof *sound.pa));
    return sound;
}

/* White noise of `pa2_per_hz`. */
static inline void sound_add_noise(struct sound *sound, double pa2_per_hz, struct dice *dice)
{
    double rms_pa = sqrt(pa2_per_hz * sound->rate_hz / 2);
    for (size_t i = 0; i < sound->count; i++)
        sound->pa[i] += rms_pa * dice_normal(dice);
}

struct phasor {
    double real, imaginary;
};

static inline struct phasor phasor_at(double turns)
{
    return (struct phasor){ cos(2 * PI * turns), sin(2 * PI * turns) };
}

static inline struct phasor phasor_times(struct phasor a, struct phasor b)
{
    return (struct phasor){ a.real * b.real - a.imaginary * b.imaginary, a.real * b.imaginary + a.imaginary * b.real };
}

/* A tone that drifts linearly by `drift` of its frequency from start to end, `hz` its mean over time. Its phase is a
 * parabola of the frame number, so that it turns by a step which itself turns evenly; rounding grows to below 1e-9 in a
 * minute. */
static inline void sound_add_tone(struct sound *sound, double hz, double rms_pa, double phase, double drift)
{
    double amplitude = sqrt(2.0) * rms_pa, length = (double)sound->count, per_frame = hz / sound->rate_hz;
    struct phasor now = phasor_at(phase / (2 * PI));
    struct phasor step = phasor_at(per_frame * (1 - drift / 2 + drift / (2 * length)));
    const struct phasor bend = phasor_at(per_frame * drift / length);
    for (size_t i = 0; i < sound->count; i++) {
        sound->pa[i] += amplitude * now.imaginary;
        now = phasor_times(now, step);
        step = phasor_times(step, bend);
    }
}

/* As the spectrum meter is to make it: Hann, half overlap, a steady sine on a line shows its mean square there. */
static inline struct spectrum sound_spectrum(const struct sound *sound, size_t block_frames)
{
    struct err err = { 0 };
    struct fft *fft = must(fft_new(block_frames, &err));
    double *window = must(malloc(block_frames * sizeof *window));
    fft_hann(window, block_frames);
    double sum = 0, squares = 0;
    for (size_t i = 0; i < block_frames; i++) {
        sum += window[i];
        squares += window[i] * window[i];
    }
    struct spectrum spectrum = { .step_hz = sound->rate_hz / (double)block_frames,
                                 .sample_rate_hz = sound->rate_hz,
                                 .enbw_lines = (double)block_frames * squares / (sum * sum),
                                 .block_frames = block_frames,
                                 .count = fft->line_count };
    spectrum.pa2 = must(calloc(spectrum.count, sizeof *spectrum.pa2));
    for (size_t start = 0; start + block_frames <= sound->count; start += block_frames / 2) {
        for (size_t i = 0; i < block_frames; i++)
            fft->signal[i] = sound->pa[start + i] * window[i];
        fft_forward(fft);
        for (size_t k = 0; k < spectrum.count; k++) {
            double size = cabs(fft->lines[k]) / sum;
            spectrum.pa2[k] += (k > 0 && k + 1 < spectrum.count ? 2 : 1) * size * size;
        }
        spectrum.block_count++;
    }
    for (size_t k = 0; k < spectrum.count; k++)
        spectrum.pa2[k] /= (double)spectrum.block_count;
    free(window);
    fft_free(fft);
    return spectrum;
}

#endif
