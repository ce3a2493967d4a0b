/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Recordings that nobody plans: any rate and length, narrow noises, tones that slide and waver, gaps, steps, offsets,
 * silence, with any rotor told of them. Whatever they hold, measuring ends, and the figures keep what their definitions
 * promise (IEC 61672-1, IEC 61260-1; shares add up by construction; loudness percentiles are in order).
 *     odd_sounds [COUNT [SEED]]        default 40, seed 1: the suite's
 * A recording that takes a minute ends the program. */
#include "tap.h"

#include "base/absent.h"
#include "base/num.h"
#include "base/units.h"
#include "measure/measure.h"
#include "measure/run_json.h"
#include "meters/percentile.h"

#include <sndfile.h>
#include <stdint.h>
#include <unistd.h>

#define LONGEST_S 6
#define LARGEST_RATE_HZ 96000

struct random {
    uint64_t state;
};

/* splitmix64 (Steele, Lea and Flood, OOPSLA 2014), to [0, 1). */
static double uniform(struct random *random)
{
    uint64_t z = random->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static double between(struct random *random, double low, double high)
{
    return low + (high - low) * uniform(random);
}

static bool chance(struct random *random, double share)
{
    return uniform(random) < share;
}

static double normal(struct random *random)
{
    return sqrt(-2 * log(1 - uniform(random))) * cos(2 * PI * uniform(random));
}

static double between_by_ratio(struct random *random, double low, double high)
{
    return low * pow(high / low, uniform(random));
}

struct sound {
    double rate_hz;
    size_t count;
    double *values;
};

static void add_noise(struct sound *sound, struct random *random)
{
    double rms = between_by_ratio(random, 1e-5, 0.1);
    for (size_t n = 0; n < sound->count; n++)
        sound->values[n] += rms * normal(random);
}

/* Noise through a resonance of two poles. */
static void add_narrow_noise(struct sound *sound, struct random *random)
{
    double hz = between_by_ratio(random, 10, sound->rate_hz / 2.1), width_hz = hz * between_by_ratio(random, 1e-3, 0.3);
    double radius = exp(-PI * width_hz / sound->rate_hz), one = 0, two = 0;
    double first = 2 * radius * cos(2 * PI * hz / sound->rate_hz), second = -radius * radius;
    double size = between_by_ratio(random, 1e-3, 0.3) * (1 - radius);
    for (size_t n = 0; n < sound->count; n++) {
        double value = normal(random) + first * one + second * two;
        two = one;
        one = value;
        sound->values[n] += size * value;
    }
}

static void add_sliding_tone(struct sound *sound, struct random *random)
{
    double hz = between_by_ratio(random, 10, sound->rate_hz / 2.2), size = between_by_ratio(random, 1e-4, 0.3);
    double slide = chance(random, 0.5) ? 0 : between(random, -0.5, 0.5), waver = chance(random, 0.5) ? 0 : 0.02;
    double waver_hz = between(random, 0.2, 5), phase = 0;
    for (size_t n = 0; n < sound->count; n++) {
        double t = (double)n / sound->rate_hz, along = (double)n / (double)sound->count;
        phase = fmod(phase + hz * (1 + slide * along + waver * sin(2 * PI * waver_hz * t)) / sound->rate_hz, 1);
        sound->values[n] += size * sin(2 * PI * phase);
    }
}

static void spoil(struct sound *sound, struct random *random)
{
    static const double steps[] = { 0, 1e-3, 3 };
    if (chance(random, 0.2)) {
        double step = steps[(size_t)between(random, 0, 3)];
        for (size_t n = (size_t)(uniform(random) * (double)sound->count); n < sound->count; n++)
            sound->values[n] *= step;
    }
    if (chance(random, 0.2)) {
        double offset = between(random, -0.5, 0.5), rate = between(random, 0.1, 5);
        for (size_t n = 0; n < sound->count; n++)
            sound->values[n] += offset * exp(-rate * (double)n / sound->rate_hz);
    }
    if (chance(random, 0.08)) {
        double level = (double)(int)between(random, 0, 3) / 2;
        for (size_t n = 0; n < sound->count; n++)
            sound->values[n] = level;
    }
}

static void make(struct sound *sound, struct random *random)
{
    static const double rates_hz[] = { 8000, 16000, 22050, 24000, 32000, 44100, 48000, LARGEST_RATE_HZ };
    static const double durations_s[] = { 0.05, 0.3, 0.8, 1.5, 3, LONGEST_S };
    sound->rate_hz = rates_hz[(size_t)between(random, 0, 8)];
    sound->count = (size_t)(sound->rate_hz * durations_s[(size_t)between(random, 0, 6)]);
    memset(sound->values, 0, sound->count * sizeof *sound->values);
    add_noise(sound, random);
    for (int left = (int)between(random, 0, 6); left > 0; left--)
        add_narrow_noise(sound, random);
    for (int left = (int)between(random, 0, 8); left > 0; left--)
        add_sliding_tone(sound, random);
    spoil(sound, random);
    for (size_t n = 0; n < sound->count; n++)
        sound->values[n] = fmin(fmax(sound->values[n], -1), 1);
}

static bool write_wav(const char *path, const struct sound *sound)
{
    SF_INFO info = { .samplerate = (int)sound->rate_hz, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    return file && sf_write_double(file, sound->values, (sf_count_t)sound->count) == (sf_count_t)sound->count &&
           sf_close(file) == 0;
}

static void imagine_rotor(struct variant *variant, struct rotor_log *log, struct random *random)
{
    variant_init(variant);
    variant->blades = 1 + (int)between(random, 0, 6);
    if (chance(random, 0.3)) {
        variant->drive = DRIVE_BELT;
        variant->motor_pulley_teeth = 12;
        variant->rotor_pulley_teeth = 60;
        variant->belt_teeth = 130;
    }
    if (chance(random, 0.4)) {
        log->rpm = between_by_ratio(random, 100, 30000);
        log->rpm_tolerance_pct = 2;
    }
}

static bool is_ordered(double low, double high, double tolerance)
{
    return !is_given(low) || !is_given(high) || low <= high + tolerance;
}

/* An empty string when all is as the definitions say. */
static const char *what_is_wrong(const struct run_result *run)
{
    const struct levels *levels = &run->figures.levels;
    const double class_db = PERCENTILE_CLASS_DB; /* a percentile is known within it */
    if (!is_ordered(levels->lafmin_db, levels->la90_db, class_db) || !is_ordered(levels->la90_db, levels->la50_db, 0) ||
        !is_ordered(levels->la50_db, levels->la10_db, 0) || !is_ordered(levels->la10_db, levels->lafmax_db, class_db))
        return "percentiles out of order";
    if (!is_ordered(levels->lceq_db, levels->lcpeak_db, 0))
        return "a peak below the mean";
    double lae_db = levels->laeq_db + power_ratio_to_db(run->used_end_s - run->used_start_s);
    if (is_given(levels->lae_db) && isfinite(lae_db) && !(fabs(levels->lae_db - lae_db) < 0.01))
        return "LAE is not LAeq over the used time";
    const struct hearing_figures *hearing = &run->figures.hearing;
    if (!is_ordered(hearing->loudness_n10_sone, hearing->loudness_n5_sone, 0) ||
        !is_ordered(hearing->loudness_n5_sone, hearing->loudness_max_sone, 0))
        return "loudness percentiles out of order";
    for (size_t i = 1; i < run->rotor.tone_count; i++)
        if (run->rotor.tones[i].hz < run->rotor.tones[i - 1].hz)
            return "tones out of order";
    if (is_given(run->rotor.rpm_measured) && !(run->rotor.rpm_measured > 0 && run->rotor.rpm_uncertainty >= 0))
        return "a speed that turns backwards";
    return "";
}

static void check_shares(const struct shares *shares, uint64_t seed)
{
    if (!is_given(shares->broadband_pct))
        return;
    double sum_pct = shares->blade_pct + shares->named_pct + shares->unexplained_pct + shares->broadband_pct;
    double least_pct =
        fmin(fmin(shares->blade_pct, shares->named_pct), fmin(shares->unexplained_pct, shares->broadband_pct));
    tap_ok(fabs(sum_pct - 100) < 1e-6 && least_pct > -1e-9, "recording %llu: shares of %.9g %%, least %.3g %%",
           (unsigned long long)seed, sum_pct, least_pct);
}

static void check_one(const char *path, struct sound *sound, uint64_t seed)
{
    struct random random = { seed * 1000003u };
    make(sound, &random);
    if (!write_wav(path, sound))
        exit(EXIT_FAILURE);
    struct variant variant;
    struct measure_request request;
    struct run_result run;
    struct err err = { 0 };
    measure_request_init(&request);
    request.path = path;
    request.gain = gain_of_full_scale(114);
    imagine_rotor(&variant, &request.log, &random);
    if (chance(&random, 0.8))
        request.variant = &variant;
    run_result_init(&run);
    run.file = strdup("odd.wav");
    alarm(60);
    bool is_ok = run.file && measure_recording(&request, &run, &err);
    alarm(0);
    const char *wrong = is_ok ? what_is_wrong(&run) : err.text;
    tap_ok(!*wrong, "recording %llu, %.0f Hz, %.2f s: %s", (unsigned long long)seed, sound->rate_hz,
           (double)sound->count / sound->rate_hz, *wrong ? wrong : "as defined");
    if (is_ok) {
        check_shares(&run.rotor.shares, seed);
        tap_ok(run_result_settle(&run, &err), "recording %llu: its results are written and read again %s",
               (unsigned long long)seed, err.text);
    }
    run_result_clear(&run);
    variant_clear(&variant);
    unlink(path);
}

int main(int argc, char **argv)
{
    double count = 40, seed = 1;
    if ((argc > 1 && !num_parse(argv[1], &count)) || (argc > 2 && !num_parse(argv[2], &seed)))
        return 2;
    char path[] = "/tmp/thrum-odd-XXXXXX";
    int file = mkstemp(path);
    struct sound sound = { .values = malloc(LARGEST_RATE_HZ * LONGEST_S * sizeof(double)) };
    if (file < 0 || close(file) != 0 || !sound.values)
        return EXIT_FAILURE;
    for (uint64_t i = 0; i < (uint64_t)count; i++)
        check_one(path, &sound, (uint64_t)seed + i);
    free(sound.values);
    return tap_done();
}
