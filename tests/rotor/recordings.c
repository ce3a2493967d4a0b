/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/envelope.h"
#include "rotor/rotor.h"

/* Real recordings by others against the independent estimates in their SOURCE.txt (harmonic fits, not ground truth)
 * where those say that the machine ran steadily. The folder is THRUM_RECORDINGS; each file is skipped where it is not.
 */

struct real {
    struct recording *recording;
    struct pressure pressure;
    struct figures figures;
};

static struct err err;

static bool real_open(struct real *real, const char *name, double start_s, double end_s)
{
    const char *folder = getenv("THRUM_RECORDINGS");
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", folder ? folder : ".", name);
    if (access(path, R_OK) != 0) {
        tap_skip("%s is not there", name);
        return false;
    }
    *real = (struct real){ .recording = recording_open(path, &err) };
    if (!tap_ok(real->recording != NULL, "%s opens %s", name, real->recording ? "" : err.text))
        return false;
    real->pressure = pressure_of(real->recording, 0, 1, start_s, end_s);
    struct sound sound = { .rate_hz = real->pressure.sample_rate_hz, .count = (size_t)real->pressure.frame_count };
    sound.pa = must(calloc(sound.count, sizeof *sound.pa));
    size_t got = 0, filled = 0;
    bool is_ok = pressure_rewind(&real->pressure, NULL, &err);
    while (is_ok && filled < sound.count) {
        is_ok = pressure_read(&real->pressure, sound.pa + filled, sound.count - filled, &got, &err) && got > 0;
        filled += got;
    }
    size_t block = 65536;
    while (5 * (block / 2) > sound.count) /* as the spectrum meter does */
        block /= 2;
    figures_init(&real->figures);
    real->figures.spectrum = sound_spectrum(&sound, block);
    free(sound.pa);
    return tap_ok(is_ok, "%s is read", name);
}

static void real_close(struct real *real)
{
    figures_clear(&real->figures);
    recording_free(real->recording);
}

static struct rotor_figures explain(struct real *real, bool with_pressure, int blades, double log_rpm,
                                    double tolerance_pct, struct findings *findings)
{
    struct variant variant;
    variant_init(&variant);
    variant.blades = blades;
    struct rotor_log log = { log_rpm, tolerance_pct, ABSENT, ABSENT, -1, ABSENT };
    struct rotor_figures out;
    if (!rotor_explain(blades > 0 ? &variant : NULL, &log, &real->figures, with_pressure ? &real->pressure : NULL, &out,
                       findings, &err)) {
        printf("Bail out! %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    return out;
}

/* Shaft speeds: SOURCE.txt's base frequency over the blades assumed here. Where it does not say how many blades there
 * are, the comb is taken as that of one. */
static const struct {
    const char *name;
    double start_s, end_s;
    int blades;
    double base_hz, log_off_pct;
    const char *from;
} steady[] = {
    { "bldc-prop-throttle/motor_m1_prop_40pct_000.wav", 0.2, 2.0, 2, 162.2, 2.5, "80.0 82.1 80.8 81.4 Hz, ~163 Hz" },
    { "drone-heli-field/HELICOPTER_005.wav", 0, 10, 1, 11.94, 1, "comb A 11.93 to 11.95 Hz" },
    { "drone-heli-field/HELICOPTER_018.wav", 0, 10, 1, 25.22, 1, "25.20 to 25.23 Hz" },
    { "drone-heli-field/DRONE_001.wav", 4, 10, 1, 173.3, 1, "173.3 173.3 173.2 Hz at 5, 7, 9 s" },
    { "esc10-helicopter/3-150979-A.wav", 0, 5, 1, 15.96, 1, "15.92 to 15.99 Hz, orders 2..9" },
};

static void base_frequencies(void)
{
    for (size_t i = 0; i < sizeof steady / sizeof *steady; i++) {
        struct real real;
        if (!real_open(&real, steady[i].name, steady[i].start_s, steady[i].end_s))
            continue;
        struct findings findings = { 0 };
        for (int sign = -1; sign <= 1; sign += 2) {
            double log_rpm = 60 * steady[i].base_hz / steady[i].blades * (1 + sign * steady[i].log_off_pct / 100);
            struct rotor_figures out = explain(&real, true, steady[i].blades, log_rpm, 3, &findings);
            tap_near(out.rpm_measured / 60 * steady[i].blades, steady[i].base_hz, steady[i].base_hz * 0.01,
                     "%s: base frequency, log %+.1f %% off (SOURCE.txt: %s)", steady[i].name,
                     sign * steady[i].log_off_pct, steady[i].from);
            printf("# +-%.3f, drift %.2f %% jitter %.2f %%, %zu tones\n", out.rpm_uncertainty / 60 * steady[i].blades,
                   out.speed_drift_pct, out.speed_jitter_pct, out.tone_count);
            rotor_figures_clear(&out);
        }
        findings_clear(&findings);
        real_close(&real);
    }
}

/* Without a log the comb alone must do; its lines are broad. Two blades are SOURCE.txt's own inference. The bound is
 * the range of its estimates about their mean, 2 %. */
static void no_log(void)
{
    static const struct {
        const char *name;
        double shaft_hz;
        const char *from;
    } propellers[] = {
        { "bldc-prop-throttle/motor_m1_prop_30pct_000.wav", 60.45, "59.5 59.9 61.0 61.4 Hz" },
        { "bldc-prop-throttle/motor_m1_prop_40pct_000.wav", 81.08, "80.0 82.1 80.8 81.4 Hz" },
    };
    struct real real;
    for (size_t i = 0; i < sizeof propellers / sizeof *propellers; i++) {
        if (!real_open(&real, propellers[i].name, 0.3, 2.0))
            continue;
        struct findings findings = { 0 };
        struct rotor_figures out = explain(&real, true, 2, ABSENT, ABSENT, &findings);
        tap_near(out.rpm_measured / 60, propellers[i].shaft_hz, 0.02 * propellers[i].shaft_hz,
                 "%s: shaft without a log (SOURCE.txt: %s)", propellers[i].name, propellers[i].from);
        tap_ok(out.blade_passage_count > 1 && out.blade_passages[0].verdict == BLADE_AGREES &&
                   out.blade_passages[1].verdict == BLADE_AGREES,
               "blade 1 and blade 2 are found");
        rotor_figures_clear(&out);
        findings_clear(&findings);
        real_close(&real);
    }
    for (int blades = 1; blades <= 6; blades++) {
        if (!real_open(&real, "drone-heli-field/BACKGROUND_001.wav", 0, 10))
            continue;
        struct findings findings = { 0 };
        struct rotor_figures out = explain(&real, true, blades, ABSENT, ABSENT, &findings);
        tap_ok(!is_given(out.rpm_measured), "BACKGROUND_001, %d blades, no log: no speed", blades);
        rotor_figures_clear(&out);
        findings_clear(&findings);
        real_close(&real);
    }
}

/* No rotor is in it, but tones of some machine are: none of 200 made-up logs may agree but by chance, 5 %. */
static void background(void)
{
    struct real real;
    if (!real_open(&real, "drone-heli-field/BACKGROUND_001.wav", 0, 10))
        return;
    struct dice dice = { 20 };
    int agreed = 0;
    for (int i = 0; i < 200; i++) {
        struct findings findings = { 0 };
        double log_rpm = exp(dice_between(&dice, log(900), log(14000)));
        struct rotor_figures out = explain(&real, false, dice_whole(&dice, 2, 6), log_rpm, ABSENT, &findings);
        bool agrees = false;
        for (size_t n = 0; n < out.blade_passage_count; n++)
            agrees |= out.blade_passages[n].verdict == BLADE_AGREES;
        agreed += agrees;
        rotor_figures_clear(&out);
        findings_clear(&findings);
    }
    tap_ok(agreed <= 10, "BACKGROUND_001: %d of 200 made-up logs find a blade line that agrees (at most 10)", agreed);
    real_close(&real);
}

/* Vibration of rolling bearings with known faults at 1500 rev/min; the fault frequencies are fields of the files, the
 * geometry is the one commonly quoted for them. */
static const struct {
    const char *name, *source;
    double published_hz;
} faults[] = {
    { "mfpt-bearing/InnerRaceFault_vload_7_g_float32.wav", "bearing rig inner 1", 118.875 },
    { "mfpt-bearing/OuterRaceFault_vload_1_g_float32.wav", "bearing rig outer 1", 81.125 },
};

static void bearing_faults(void)
{
    char name[] = "rig";
    struct bearing rig = {
        .name = name, .shaft = SHAFT_ROTOR, .balls = 8, .ball_mm = 0.235 * 25.4, .pitch_mm = 1.245 * 25.4
    };
    struct variant variant;
    variant_init(&variant);
    variant.bearings = &rig;
    variant.bearing_count = 1;
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct real real;
        if (!real_open(&real, faults[i].name, 0, 3))
            continue;
        struct lines lines = { 0 };
        struct envelope_report report;
        bool is_ok = drive_lines(&variant, 1500, 1, 2000, &lines, &err);
        struct envelope_question question = { &lines, 25, 1 };
        is_ok = is_ok && envelope_listen(&real.pressure, &question, &report, &err);
        if (tap_ok(is_ok && report.heard_count > 0, "%s: a part is heard in %.0f to %.0f Hz, kurtosis %.1f",
                   faults[i].name, report.low_hz, report.high_hz, report.kurtosis)) {
            tap_text(report.heard[0].source, faults[i].source, "the part");
            tap_near(report.heard[0].hz, faults[i].published_hz, 0.02 * faults[i].published_hz,
                     "its line, %.1f dB high, %d multiples (published value in the file)", report.heard[0].height_db,
                     report.heard[0].multiples);
            for (size_t n = 1; n < report.heard_count; n++)
                printf("# also %s %.2f Hz %.1f dB\n", report.heard[n].source, report.heard[n].hz,
                       report.heard[n].height_db);
        }
        lines_clear(&lines);
        real_close(&real);
    }
}

int main(void)
{
    bearing_faults();
    base_frequencies();
    no_log();
    background();
    return tap_done();
}
