/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/floor.h"
#include "rotor/order.h"
#include "rotor/rotor.h"
#include "rotor/tach.h"
#include "rotor/tone.h"

/* Second passes: tachometer pulses, speed against time, resampling over shaft angle. The courses of speed are made in
 * closed form. */

#define RATE_HZ 48000.0
#define LENGTH_S 6.0

static struct err err;

/* A rotor that speeds up linearly; turns(t) = f0 t + (f1 - f0) t^2 / 2T. */
struct run_up {
    double start_hz, end_hz;
};

static double turns_at(const struct run_up *run_up, double t)
{
    return run_up->start_hz * t + (run_up->end_hz - run_up->start_hz) * t * t / (2 * LENGTH_S);
}

static void add_order(struct sound *sound, const struct run_up *run_up, double order, double rms_pa)
{
    for (size_t i = 0; i < sound->count; i++)
        sound->pa[i] +=
            sqrt(2.0) * rms_pa * sin(2 * PI * fmod(order * turns_at(run_up, (double)i / sound->rate_hz), 1.0) + order);
}

/* Pulses a tenth of a turn wide with edges of a raised cosine, `per_turn` of them. */
static double *pulses(const struct run_up *run_up, size_t count, int per_turn, struct dice *dice)
{
    double *tach = must(calloc(count, sizeof *tach));
    for (size_t i = 0; i < count; i++) {
        double phase = fmod(per_turn * turns_at(run_up, (double)i / RATE_HZ), 1.0);
        double edge = 3 * per_turn * run_up->end_hz / RATE_HZ;
        double value = phase < edge         ? phase / edge
                       : phase < 0.3        ? 1
                       : phase < 0.3 + edge ? (0.3 + edge - phase) / edge
                                            : 0;
        tach[i] = 0.05 + 0.4 * value + 0.002 * dice_normal(dice);
    }
    return tach;
}

static void tachometer(int per_turn, bool with_faults)
{
    struct run_up run_up = { 100, 101 };
    struct dice dice = { 4 };
    struct sound sound = sound_silence(RATE_HZ, LENGTH_S);
    double *tach = pulses(&run_up, sound.count, per_turn, &dice);
    if (with_faults) {
        for (size_t i = 48000; i < 48010; i++) /* a glitch between pulses */
            tach[i + 250] = 0.45;
        for (size_t i = 96000; i < 96480; i++) /* a turn without its pulses */
            tach[i] = 0.05;
    }
    struct sound_file file = sound_file_open(&sound, tach);
    struct track track;
    struct tach_report report;
    tap_ok(track_by_tach(&file.pressure, 1, per_turn, &track, &report, &err), "%d pulses a turn%s are read", per_turn,
           with_faults ? ", some false, some lost," : "");
    tap_near(track.mean_hz, 100.5, 100.5 * 2e-5, "mean speed, Hz (edges as whole samples would step by 0.21 %%)");
    tap_near(track.drift_pct, 100 / 100.5, 0.01, "drift, %%");
    tap_near(track.jitter_pct, 0, 0.01, "jitter, %%");
    printf("# %zu pulses, %zu glitches, %zu lost, %zu points, jitter %.4f\n", report.pulse_count, report.glitch_count,
           report.lost_count, track.count, track.jitter_pct);
    if (with_faults)
        tap_ok(report.glitch_count + report.lost_count > 0, "the faults are noticed");
    track_clear(&track);
    sound_file_close(&file);
    free(tach);
    free(sound.pa);
}

static void tach_without_pulses(void)
{
    struct dice dice = { 6 };
    struct sound sound = sound_silence(RATE_HZ, 3);
    double *tach = must(calloc(sound.count, sizeof *tach));
    sound_add_noise(&sound, 1e-8, &dice);
    struct sound_file file = sound_file_open(&sound, tach);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 32768);
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    struct rotor_log log = { 4200, ABSENT, ABSENT, ABSENT, 1, 1 };
    struct rotor_figures out;
    struct findings findings = { 0 };
    tap_ok(rotor_explain(&variant, &log, &figures, &file.pressure, &out, &findings, &err), "a dead tachometer channel");
    tap_ok(findings_have(&findings, "tach-unusable"), "is a finding");
    tap_ok(!is_given(out.rpm_measured), "and gives no speed");
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(tach);
    free(sound.pa);
}

/* The whole way: a rotor that speeds up by 3 % with a hum beside it. */
static void moving_rotor(bool with_tach)
{
    struct run_up run_up = { 69, 71.1 };
    double mean_hz = (run_up.start_hz + run_up.end_hz) / 2;
    struct dice dice = { 12 };
    struct sound sound = sound_silence(RATE_HZ, LENGTH_S);
    sound_add_noise(&sound, 1e-8, &dice);
    for (int number = 1; number <= 10; number++)
        add_order(&sound, &run_up, 2 * number, 0.05 / number);
    sound_add_tone(&sound, 150.02, 0.01, 0.5, 0);
    double *tach = with_tach ? pulses(&run_up, sound.count, 1, &dice) : NULL;
    struct sound_file file = sound_file_open(&sound, tach);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 65536);
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    struct rotor_log log = { 4200, ABSENT, ABSENT, ABSENT, with_tach ? 1 : -1, 1 };
    struct rotor_figures out;
    struct findings findings = { 0 };
    tap_ok(rotor_explain(&variant, &log, &figures, &file.pressure, &out, &findings, &err),
           "a rotor that speeds up by 3 %%");
    tap_text(out.rpm_source, with_tach ? "tachometer" : "sound", "source of the speed");
    tap_near(out.rpm_measured, 60 * mean_hz, 60 * mean_hz * 0.0005, "mean speed, rev/min");
    tap_near(out.speed_drift_pct, 100 * 2.1 / mean_hz, 0.1, "drift, %% (from %s)", out.rpm_source);
    int blade_count = 0, mains = 0;
    double widest_hz = 0;
    for (size_t i = 0; i < out.tone_count; i++) {
        bool is_blade = strncmp(out.tones[i].source, "blade", 5) == 0;
        blade_count += is_blade;
        mains += strcmp(out.tones[i].source, "mains 3") == 0;
        if (is_blade)
            widest_hz = fmax(widest_hz, out.tones[i].bandwidth_hz);
        printf("# %.3f Hz %.1f dB %s\n", out.tones[i].hz, out.tones[i].level_db, out.tones[i].source);
    }
    tap_ok(blade_count == 10, "ten blade tones stay sharp over shaft angle: %d, widest %.1f Hz", blade_count,
           widest_hz);
    tap_ok(mains == 1, "the hum, which does not turn with the shaft, is one tone");
    for (size_t i = 0; i < 3 && i < out.blade_passage_count; i++)
        tap_near(out.blade_passages[i].level_db, pa2_to_db(pow(0.05 / (double)(i + 1), 2)), 0.3,
                 "level of blade %zu, dB", i + 1);
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(tach);
    free(sound.pa);
}

/* A speed that wanders to and fro by 0.6 % every 2 s, as a controller hunts: turns(t) = f (t - 0.006 T / 2 pi cos). */
static void wandering_rotor(void)
{
    double shaft_hz = 70, share = 0.006, period_s = 2;
    struct dice dice = { 14 };
    struct sound sound = sound_silence(RATE_HZ, 10);
    sound_add_noise(&sound, 1e-8, &dice);
    for (int number = 1; number <= 10; number++)
        for (size_t i = 0; i < sound.count; i++) {
            double t = (double)i / RATE_HZ;
            double turns = shaft_hz * (t - share * period_s / (2 * PI) * cos(2 * PI * t / period_s));
            sound.pa[i] += sqrt(2.0) * 0.05 / number * sin(2 * PI * fmod(2 * number * turns, 1.0));
        }
    struct sound_file file = sound_file_open(&sound, NULL);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 65536);
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    struct rotor_log log = { 4200, ABSENT, ABSENT, ABSENT, -1, ABSENT };
    struct rotor_figures out;
    struct findings findings = { 0 };
    tap_ok(rotor_explain(&variant, &log, &figures, &file.pressure, &out, &findings, &err), "a rotor that hunts");
    tap_near(out.rpm_measured, 4200, 4200 * 0.0005, "mean speed, rev/min");
    tap_near(out.speed_drift_pct, 0, 0.3, "no drift, %%");
    /* Standard deviation of a sine of 0.6 %; windows of 0.2 s and more flatten it by a tenth at most. */
    tap_within(out.speed_jitter_pct, 0.6 / sqrt(2.0), 0.1, 0.03, "jitter, %%");
    int blade_count = 0;
    for (size_t i = 0; i < out.tone_count; i++)
        blade_count += strncmp(out.tones[i].source, "blade", 5) == 0;
    tap_ok(blade_count == 10 && out.tone_count <= 12, "ten sharp blade tones: %d blade tones of %zu tones", blade_count,
           out.tone_count);
    for (size_t i = 0; i < 4 && i < out.blade_passage_count; i++)
        tap_near(out.blade_passages[i].level_db, pa2_to_db(pow(0.05 / (double)(i + 1), 2)), 0.5,
                 "level of blade %zu, dB", i + 1);
    for (size_t i = 0; i < out.tone_count; i++)
        printf("# %.3f Hz %.1f dB bw %.1f %s\n", out.tones[i].hz, out.tones[i].level_db, out.tones[i].bandwidth_hz,
               out.tones[i].source);
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(sound.pa);
}

/* Along the exact course an order keeps its level; straight interpolation would lose 0.2 to 2 dB of these. */
static void resampling(void)
{
    struct run_up run_up = { 50, 80 };
    double mean_hz = 65;
    struct sound sound = sound_silence(RATE_HZ, LENGTH_S);
    add_order(&sound, &run_up, 20, 0.1);
    add_order(&sound, &run_up, 100, 0.1);
    struct sound_file file = sound_file_open(&sound, NULL);
    struct track track = { .duration_s = LENGTH_S,
                           .course = { mean_hz, (run_up.end_hz - run_up.start_hz) / 2 },
                           .course_degree = 1,
                           .mean_hz = mean_hz };
    tap_near(track_turns(&track, 2.5), turns_at(&run_up, 2.5), 1e-9, "turns of a straight course");
    struct spectrum spectrum;
    tap_ok(order_spectrum(&file.pressure, &track, 65536, &spectrum, &err), "the sound over shaft angle");
    static const double orders[] = { 20, 100 };
    for (size_t i = 0; i < 2; i++) {
        size_t middle = (size_t)(orders[i] * mean_hz / spectrum.step_hz + 0.5);
        double sum = 0;
        for (size_t k = middle - 4; k <= middle + 4; k++)
            sum += spectrum.pa2[k] / spectrum.enbw_lines;
        /* Up to 8 kHz: a seventh of the rate, where the window's pass band is flat to 0.001 dB. */
        tap_near(power_ratio_to_db(sum / 0.01), 0, 0.01, "order %.0f from %.0f to %.0f Hz: level, dB re what was made",
                 orders[i], orders[i] * run_up.start_hz, orders[i] * run_up.end_hz);
    }
    free(spectrum.pa2);
    sound_file_close(&file);
    free(sound.pa);
}

/* Noise that passes for a tone tells a few speeds in a part of the recording. Whatever they are, the course through
 * them turns forwards and stays near them, and the sound along it ends. */
static void course_through_noise(void)
{
    double worst = 0;
    for (uint32_t seed = 1; seed <= 200; seed++) {
        struct track track = { .duration_s = 1.5 };
        uint32_t state = seed;
        for (int i = 0; i < 9; i++) {
            state = state * 1664525u + 1013904223u; /* Numerical Recipes */
            if (!track_add(&track, 0.1 + 0.1 * i, 200 + 8 * ((state >> 8) / 8388608.0 - 1), 2))
                exit(EXIT_FAILURE);
        }
        if (!track_fit(&track, &err))
            exit(EXIT_FAILURE);
        for (int i = 0; i <= 300; i++)
            worst = fmax(worst, fabs(track_hz(&track, i / 200.0) - 200));
        track_clear(&track);
    }
    /* Points within 8 Hz, and the range of the points beyond them. */
    tap_near(worst, 0, 8 + 16, "200 courses through 0.9 s of chance speeds in 1.5 s: furthest off, Hz");
}

static void course_that_turns_back(void)
{
    struct sound sound = sound_silence(RATE_HZ, LENGTH_S);
    struct sound_file file = sound_file_open(&sound, NULL);
    struct track track = { .duration_s = LENGTH_S, .course = { 50, -100 }, .course_degree = 1, .mean_hz = 50 };
    struct spectrum spectrum;
    tap_ok(order_spectrum(&file.pressure, &track, 1024, &spectrum, &err), "a course that turns back comes to an end");
    free(spectrum.pa2);
    sound_file_close(&file);
    free(sound.pa);
}

int main(void)
{
    course_through_noise();
    course_that_turns_back();
    tachometer(1, false);
    tachometer(1, true);
    tachometer(6, false);
    tach_without_pulses();
    resampling();
    moving_rotor(false);
    moving_rotor(true);
    wandering_rotor();
    return tap_done();
}
