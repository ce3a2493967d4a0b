/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo-synth.h"

#include "base/fft.h"
#include "base/memory.h"
#include "base/units.h"

#include <complex.h>
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NOISE_LOWEST_HZ 10.0
#define NOISE_HIGHEST_HZ 20000.0
#define RUN_SCATTER_DB 0.25  /* standard deviation between repeats, the whole rotor */
#define TONE_SCATTER_DB 0.15 /* and of each tone beside that */
#define STAND_SCATTER 0.003  /* relative, of thrust and power as read */
#define CALIBRATOR_NOISE_DB 45.0
#define CALIBRATOR_DISTORTION_DB 42.0

#define SEED_RUNS 2026100300U
#define SEED_BACKGROUND 2026100401U
#define SEED_CALIBRATOR 2026100501U

void demo_random_seed(struct demo_random *random, uint64_t seed)
{
    /* One round of splitmix64, so that neighbouring seeds have nothing in common. */
    uint64_t z = seed + 0x9e3779b97f4a7c15U;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
    random->state = (z ^ (z >> 31)) | 1;
}

double demo_random_uniform(struct demo_random *random)
{
    uint64_t x = random->state;
    x ^= x >> 12;
    x ^= x << 25;
    x ^= x >> 27;
    random->state = x;
    return (double)((x * 0x2545f4914f6cdd1dU) >> 11) * 0x1p-53;
}

double demo_random_normal(struct demo_random *random)
{
    double radius = sqrt(-2 * log(1 - demo_random_uniform(random)));
    return radius * cos(2 * PI * demo_random_uniform(random));
}

double demo_pa_per_full_scale(double gain_db)
{
    return sqrt(2 * db_to_pa2(DEMO_FULL_SCALE_SINE_DB - gain_db));
}

static bool holds_tone(const struct demo_made *made, double hz, double line_hz)
{
    for (size_t i = 0; i < made->tone_count; i++)
        if (fabs(made->tones[i].hz - hz) < 0.5 * line_hz)
            return true;
    return false;
}

/* One period of the sum of the haystacks; the lines that hold a tone are left free for it. */
static void make_noise(struct fft *fft, const struct demo_haystack *haystacks, size_t haystack_count,
                       const struct demo_made *made, struct demo_random *random)
{
    double line_hz = DEMO_SAMPLE_RATE_HZ / (double)fft->size;
    memset(fft->lines, 0, fft->line_count * sizeof *fft->lines);
    for (size_t k = 1; k < fft->line_count; k++) {
        double hz = (double)k * line_hz, phase = 2 * PI * demo_random_uniform(random);
        if (hz < NOISE_LOWEST_HZ || hz > NOISE_HIGHEST_HZ || holds_tone(made, hz, line_hz))
            continue;
        double pa2 = demo_density_pa2_hz(haystacks, haystack_count, hz) * line_hz;
        fft->lines[k] = CMPLX(sqrt(pa2 / 2) * cos(phase), sqrt(pa2 / 2) * sin(phase));
    }
    fft_backward(fft);
}

static void add_tones(double *pressure_pa, size_t frame_count, const struct demo_made *made, struct demo_random *random)
{
    for (size_t i = 0; i < made->tone_count; i++) {
        double amplitude_pa = sqrt(2 * db_to_pa2(made->tones[i].level_db));
        double cycles_per_frame = made->tones[i].hz / DEMO_SAMPLE_RATE_HZ, phase = 2 * PI * demo_random_uniform(random);
        for (size_t n = 0; n < frame_count; n++)
            pressure_pa[n] += amplitude_pa * sin(2 * PI * fmod(cycles_per_frame * (double)n, 1) + phase);
    }
}

/* A raised cosine over DEMO_FADE_S, where something stands before the one period. */
static double fade(const struct demo_made *made, size_t frame)
{
    double part = (double)frame / (DEMO_FADE_S * DEMO_SAMPLE_RATE_HZ);
    return made->start_frame == 0 || part >= 1 ? 1 : 0.5 - 0.5 * cos(PI * part);
}

/* The file from its period, in 16 bits at the gain of the recording; counts what does not fit. */
static bool quantise(const double *period_pa, struct demo_made *out, struct err *err)
{
    double steps_per_pa = -(double)INT16_MIN / demo_pa_per_full_scale(out->gain_db);
    out->samples = memory_new(out->frame_count, sizeof *out->samples);
    if (!out->samples)
        return err_memory(err);
    size_t shift = out->period_frames - out->start_frame;
    for (size_t n = 0; n < out->frame_count; n++) {
        double value = rint(period_pa[(n + shift) % out->period_frames] * fade(out, n) * steps_per_pa);
        if (value > INT16_MAX || value < INT16_MIN) {
            out->clipped_frames++;
            value = value > 0 ? INT16_MAX : INT16_MIN;
        }
        out->samples[n] = (int16_t)value;
    }
    return true;
}

/* Noise, tones and quantisation of a recording whose tones and lengths are already set. */
static bool make_sound(const struct demo_haystack *haystacks, size_t haystack_count, struct demo_random *random,
                       struct demo_made *out, struct err *err)
{
    struct fft *fft = fft_new(out->period_frames, err);
    if (!fft)
        return false;
    make_noise(fft, haystacks, haystack_count, out, random);
    add_tones(fft->signal, out->period_frames, out, random);
    bool made = quantise(fft->signal, out, err);
    fft_free(fft);
    return made;
}

/* A recording that is one period long. */
static struct demo_made one_period(int period_s)
{
    size_t frames = (size_t)(period_s * DEMO_SAMPLE_RATE_HZ);
    return (struct demo_made){ .frame_count = frames, .period_frames = frames };
}

static void add_hum(struct demo_made *made)
{
    for (int i = 0; i < DEMO_HUM_HARMONICS; i++) {
        if (demo_hum_db[i] <= 0)
            continue;
        struct demo_tone *tone = &made->tones[made->tone_count++];
        snprintf(tone->source, sizeof tone->source, "mains %d", i + 1);
        tone->hz = (i + 1) * DEMO_MAINS_HZ;
        tone->level_db = demo_hum_db[i];
    }
}

bool demo_make_run(size_t index, struct demo_made *out, struct err *err)
{
    const struct demo_run *run = &demo_runs[index];
    const struct demo_variant *variant = &demo_variants[run->variant];
    struct demo_random random;
    demo_random_seed(&random, SEED_RUNS + index);
    *out = (struct demo_made){ .gain_db = run->fault == DEMO_CLIPPED ? DEMO_CLIPPED_GAIN_DB : 0,
                               .frame_count = (size_t)(DEMO_END_S * DEMO_SAMPLE_RATE_HZ),
                               .start_frame = (size_t)(DEMO_START_S * DEMO_SAMPLE_RATE_HZ),
                               .period_frames = DEMO_PERIOD_S * DEMO_SAMPLE_RATE_HZ };
    out->scatter_db = RUN_SCATTER_DB * demo_random_normal(&random);
    out->thrust_n = demo_thrust_n(variant, run->true_rpm) * (1 + STAND_SCATTER * demo_random_normal(&random));
    out->power_w = demo_power_w(variant, run->true_rpm) * (1 + STAND_SCATTER * demo_random_normal(&random));
    out->tone_count = demo_tones_at(variant, run->true_rpm, out->tones);
    for (size_t i = 0; i < out->tone_count; i++)
        out->tones[i].level_db += out->scatter_db + TONE_SCATTER_DB * demo_random_normal(&random);
    if (run->fault == DEMO_HUM)
        add_hum(out);
    struct demo_haystack noise[DEMO_NOISES];
    demo_noise_at(variant, run->true_rpm, out->scatter_db, noise);
    return make_sound(noise, DEMO_NOISES, &random, out, err);
}

bool demo_make_background(struct demo_made *out, struct err *err)
{
    struct demo_random random;
    demo_random_seed(&random, SEED_BACKGROUND);
    *out = one_period(DEMO_BACKGROUND_S);
    return make_sound(demo_background, 2, &random, out, err);
}

bool demo_make_calibrator(bool is_after, struct demo_made *out, struct err *err)
{
    /* Flat enough over the range to be called white: a haystack whose flanks are level. */
    const struct demo_haystack hiss = { CALIBRATOR_NOISE_DB - power_ratio_to_db(NOISE_HIGHEST_HZ), 1000, 0, 0 };
    struct demo_random random;
    demo_random_seed(&random, SEED_CALIBRATOR + is_after);
    *out = one_period(DEMO_CALIBRATOR_S);
    out->gain_db = is_after ? DEMO_GAIN_AFTER_DB : DEMO_GAIN_BEFORE_DB;
    out->tone_count = 2;
    out->tones[0] = (struct demo_tone){ "calibrator", DEMO_CALIBRATOR_HZ, DEMO_CALIBRATOR_DB };
    out->tones[1] = (struct demo_tone){ "calibrator 2", 2 * DEMO_CALIBRATOR_HZ, CALIBRATOR_DISTORTION_DB };
    return make_sound(&hiss, 1, &random, out, err);
}

void demo_made_clear(struct demo_made *made)
{
    free(made->samples);
    *made = (struct demo_made){ 0 };
}

bool demo_write_wav(const char *path, const struct demo_made *made, struct err *err)
{
    SF_INFO info = { .samplerate = DEMO_SAMPLE_RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return err_file(err, ERR_FILE, path, "can't be written");
    sf_count_t wanted = (sf_count_t)made->frame_count, written = sf_writef_short(file, made->samples, wanted);
    if (sf_close(file) != 0 || written != wanted)
        return err_file(err, ERR_FILE, path, "only %lld of %lld frames could be written", (long long)written,
                        (long long)wanted);
    return true;
}
