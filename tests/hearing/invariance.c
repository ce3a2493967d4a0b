/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/audibility.h"
#include "hearing/hearing.h"
#include "meters/spectrum_meter.h"
#include "signals.h"

/* A rotor-like sound that is the same at every rate: 300 tones from 30 Hz to 13 kHz, denser where it is low, with
 * random phases, falling by 3 dB an octave, modulated at 6 and at 55 Hz. */
static struct signal rotor_sound(double rate_hz, double level_db)
{
    struct signal signal = signal_new(rate_hz, 4.5);
    uint64_t seed = 77;
    for (int k = 0; k < 300; k++) {
        double hz = 30 * pow(13000.0 / 30, (k + random_unit(&seed)) / 300), phase = 2 * PI * random_unit(&seed);
        /* a rotating phasor, renewed every 1000 samples so that rounding does not add up */
        double re = 0, im = 0, turn_re = cos(2 * PI * hz / rate_hz), turn_im = sin(2 * PI * hz / rate_hz);
        for (size_t i = 0; i < signal.count; i++) {
            if (i % 1000 == 0) {
                re = cos(2 * PI * fmod(hz * (double)i / rate_hz, 1) + phase);
                im = sin(2 * PI * fmod(hz * (double)i / rate_hz, 1) + phase);
            }
            signal.pa[i] += re;
            double next_re = re * turn_re - im * turn_im;
            im = re * turn_im + im * turn_re;
            re = next_re;
        }
    }
    double scale = sqrt(db_to_pa2(level_db) / 150);
    for (size_t i = 0; i < signal.count; i++) {
        double t = (double)i / rate_hz;
        signal.pa[i] *= scale * (1 + 0.5 * sin(2 * PI * 6 * t)) * (1 + 0.5 * sin(2 * PI * 55 * t));
    }
    return signal;
}

static bool run_all(const struct signal *signal, const struct meter_setup *setup, size_t block,
                    struct hearing_figures *hearing, double course[3])
{
    struct figures all;
    figures_init(&all);
    *hearing = all.hearing;
    bool done = true;
    for (size_t m = 0; m < hearing_meter_count && done; m++) {
        struct err err;
        void *state = hearing_meters[m]->create(setup, &err);
        if (!state)
            return false;
        for (size_t from = 0; from < signal->count; from += block)
            hearing_meters[m]->feed(state, signal->pa + from,
                                    from + block < signal->count ? block : signal->count - from);
        done = hearing_meters[m]->finish(state, &all, &err);
        hearing_meters[m]->destroy(state);
    }
    *hearing = all.hearing;
    if (hearing->loudness_count > 0) {
        course[0] = hearing->loudness_sone[0];
        course[1] = hearing->loudness_sone[hearing->loudness_count / 2];
        course[2] = hearing->loudness_sone[hearing->loudness_count - 1];
    }
    hearing->loudness_sone = NULL;
    figures_clear(&all);
    return done;
}

struct named {
    const char *name;
    double value;
};
#define NAMED_COUNT 9
static void name_all(const struct hearing_figures *hearing, struct named out[NAMED_COUNT])
{
    out[0] = (struct named){ "stationary, sone", hearing->loudness_stationary_sone };
    out[1] = (struct named){ "mean, sone", hearing->loudness_mean_sone };
    out[2] = (struct named){ "largest, sone", hearing->loudness_max_sone };
    out[3] = (struct named){ "N5, sone", hearing->loudness_n5_sone };
    out[4] = (struct named){ "N10, sone", hearing->loudness_n10_sone };
    out[5] = (struct named){ "loudness level, phon", hearing->loudness_level_phon };
    out[6] = (struct named){ "sharpness, acum", hearing->sharpness_acum };
    out[7] = (struct named){ "roughness, asper", hearing->roughness_asper };
    out[8] = (struct named){ "fluctuation, vacil", hearing->fluctuation_vacil };
}

/* 44.1 to 96 kHz within 1 %. */
static void rates(void)
{
    static const double rate_hz[] = { 48000, 44100, 64000, 88200, 96000 };
    struct named want[NAMED_COUNT], got[NAMED_COUNT];
    double course[3];
    for (size_t r = 0; r < sizeof rate_hz / sizeof rate_hz[0]; r++) {
        struct signal signal = rotor_sound(rate_hz[r], 68);
        struct meter_setup setup = setup_of(&signal);
        struct hearing_figures hearing;
        tap_ok(run_all(&signal, &setup, 8192, &hearing, course), "a rotor-like sound at %g Hz", rate_hz[r]);
        name_all(&hearing, r == 0 ? want : got);
        for (size_t i = 0; i < NAMED_COUNT && r > 0; i++)
            tap_near(got[i].value, want[i].value, 0.01 * want[i].value, "%g Hz against 48 kHz: %s", rate_hz[r],
                     got[i].name);
        free(signal.pa);
    }
}

/* The same bits for any block, with and without a preroll. */
static void blocks(void)
{
    static const size_t block[] = { 1, 37, 384, 4096, 1000000 };
    struct signal signal = rotor_sound(44100, 60);
    struct named want[NAMED_COUNT], got[NAMED_COUNT];
    for (int has_preroll = 0; has_preroll < 2; has_preroll++) {
        struct meter_setup setup = setup_of(&signal);
        setup.preroll_frames = has_preroll ? 44100 : 0;
        setup.frame_count -= setup.preroll_frames;
        double want_course[3] = { 0 }, course[3] = { 0 };
        for (size_t b = 0; b < sizeof block / sizeof block[0]; b++) {
            struct hearing_figures hearing;
            bool done = run_all(&signal, &setup, block[b], &hearing, b == 0 ? want_course : course);
            name_all(&hearing, b == 0 ? want : got);
            if (b == 0)
                continue;
            bool same = done && memcmp(course, want_course, sizeof course) == 0;
            for (size_t i = 0; i < NAMED_COUNT; i++)
                same = same && got[i].value == want[i].value;
            tap_ok(same, "blocks of %zu give the same bits as single samples%s", block[b],
                   has_preroll ? ", with a preroll" : "");
        }
    }
    free(signal.pa);
}

static void silence(void)
{
    struct signal signal = signal_new(48000, 3);
    struct meter_setup setup = setup_of(&signal);
    struct hearing_figures hearing;
    double course[3] = { 1, 1, 1 };
    tap_ok(run_all(&signal, &setup, 4096, &hearing, course), "silence");
    tap_near(hearing.loudness_stationary_sone, 0, 0, "stationary, sone");
    tap_near(hearing.loudness_mean_sone, 0, 0, "mean, sone");
    tap_near(hearing.loudness_n5_sone, 0, 0, "N5, sone");
    tap_near(hearing.loudness_max_sone, 0, 0, "largest, sone");
    tap_near(course[0] + course[1] + course[2], 0, 0, "against time, sone");
    tap_near(hearing.roughness_asper, 0, 0, "roughness, asper");
    tap_near(hearing.fluctuation_vacil, 0, 0, "fluctuation, vacil");
    tap_near(hearing.specific_sone_bark[100], 0, 0, "specific loudness, sone/bark");
    free(signal.pa);
}

static void absence(void)
{
    struct signal signal = signal_new(48000, 2.5);
    add_tone(&signal, 1000, 60);
    struct hearing_figures hearing;
    struct named got[NAMED_COUNT];
    double course[3];
    for (int kind = 0; kind < 2; kind++) {
        struct meter_setup setup = setup_of(&signal);
        setup.is_absolute = kind == 1;
        setup.sample_rate_hz = kind == 1 ? 32000 : 48000;
        tap_ok(run_all(&signal, &setup, 4096, &hearing, course), kind ? "32 kHz" : "relative levels");
        name_all(&hearing, got);
        bool none = hearing.loudness_count == 0 && !is_given(hearing.specific_sone_bark[50]);
        for (size_t i = 0; i < NAMED_COUNT; i++)
            none = none && (!is_given(got[i].value) || (kind == 1 && i == 7));
        const char *reason = hearing_absent_reason(setup.is_absolute, setup.sample_rate_hz, 2.5);
        tap_ok(none && reason != NULL, "no loudness is made up: %s", reason ? reason : "(no reason)");
    }
    free(signal.pa);
}

/* A reason is given exactly when a figure is absent: about the lengths that roughness, audibility and fluctuation
 * strength need, with and without a preroll, at rates whose blocks of time do not divide them evenly. */
static void short_sound(double rate_hz, double used_s, double preroll_s)
{
    struct signal signal = signal_new(rate_hz, used_s + preroll_s);
    add_am_tone(&signal, 1000, 60, 4, 0.9);
    struct meter_setup setup = setup_of(&signal);
    setup.preroll_frames = (uint64_t)llround(preroll_s * rate_hz);
    setup.frame_count -= setup.preroll_frames;
    struct hearing_figures hearing;
    struct figures figures;
    double course[3];
    bool done = run_all(&signal, &setup, 4096, &hearing, course);
    done = run_meter(&spectrum_meter, &setup, &signal, 4096, &figures) && done;
    const struct {
        const char *name;
        bool is_present;
    } parts[] = { { "no roughness", is_given(hearing.roughness_asper) },
                  { "no audibility", audibility_can_rate(&figures.spectrum) },
                  { "no fluctuation", is_given(hearing.fluctuation_vacil) } };
    const char *reason = hearing_absent_reason(true, rate_hz, (double)setup.frame_count / rate_hz);
    bool are_told = true;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        are_told = are_told && parts[i].is_present == !(reason && strstr(reason, parts[i].name));
    tap_ok(done && are_told && is_given(hearing.loudness_n5_sone) && is_given(hearing.sharpness_acum),
           "%g s at %g Hz, preroll of %g s: what is absent is told: %s", used_s, rate_hz, preroll_s,
           reason ? reason : "nothing");
    figures_clear(&figures);
    free(signal.pa);
}

static void short_sounds(void)
{
    static const double rate_hz[] = { 44100, 48000, 88200 },
                        used_s[] = { 0.19, 0.2, 0.6, 0.62, 0.64, 0.7, 2.1, 2.299, 2.3, 2.5 };
    for (size_t r = 0; r < sizeof rate_hz / sizeof rate_hz[0]; r++)
        for (size_t i = 0; i < sizeof used_s / sizeof used_s[0]; i++)
            for (int has_preroll = 0; has_preroll < 2; has_preroll++)
                short_sound(rate_hz[r], used_s[i], has_preroll ? 0.5 : 0);
    const char *reason = hearing_absent_reason(false, 48000, 0.5);
    tap_ok(strstr(reason, "no calibration") && strstr(reason, "no audibility"), "two things at once: %s", reason);
    reason = hearing_absent_reason(true, 16000, 0.1);
    tap_ok(strstr(reason, "12.5 kHz") && strstr(reason, "no audibility") && strstr(reason, "no roughness"),
           "and three: %s", reason);
}

/* The course of loudness stays bounded and keeps its mean, whatever the length. */
static void course(void)
{
    struct signal signal = signal_new(48000, 11);
    add_am_tone(&signal, 1000, 60, 2, 0.5);
    struct figures figures;
    struct meter_setup setup = setup_of(&signal);
    tap_ok(run_meter(hearing_meters[0], &setup, &signal, 8192, &figures), "eleven seconds");
    const struct hearing_figures *hearing = &figures.hearing;
    double sum = 0;
    for (size_t i = 0; i < hearing->loudness_count; i++)
        sum += hearing->loudness_sone[i];
    tap_ok(hearing->loudness_count >= 1000 && hearing->loudness_count <= 2000, "%zu points", hearing->loudness_count);
    tap_near(hearing->loudness_step_s, 0.008, 1e-12, "each of 8 ms");
    tap_near((double)hearing->loudness_count * hearing->loudness_step_s, 11 - 0.3, 0.02,
             "and all of the time after settling");
    tap_near(sum / (double)hearing->loudness_count, hearing->loudness_mean_sone, 0.01 * hearing->loudness_mean_sone,
             "with the same mean");
    figures_clear(&figures);
    free(signal.pa);
}

int main(void)
{
    rates();
    blocks();
    silence();
    absence();
    short_sounds();
    course();
    return tap_done();
}
