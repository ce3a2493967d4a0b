/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signals.h"

#include "base/absent.h"
#include "recording/gain.h"
#include "recording/pressure.h"

#define WAV24 (SF_FORMAT_WAV | SF_FORMAT_PCM_24)
#define REFERENCE_PA 20e-6

/* Level of a part of a file through the gain: 20 lg of the rms of the pressure over 20 uPa (ISO 1683). */
static double level_of(const char *name, double start_s, double end_s, const struct gain *gain)
{
    struct err err;
    struct recording *recording = recording_open(signals_path(name), &err);
    if (!recording)
        return NAN;
    struct pressure pressure = pressure_of(recording, 0, gain->pa_per_full_scale, start_s, end_s);
    double block[5000], sum = 0;
    size_t got = 1, count = 0;
    bool done = pressure_rewind(&pressure, NULL, &err);
    while (done && got > 0) {
        done = pressure_read(&pressure, block, 5000, &got, &err);
        for (size_t i = 0; i < got; i++)
            sum += block[i] * block[i];
        count += got;
    }
    recording_free(recording);
    return done ? 20 * log10(sqrt(sum / (double)count) / REFERENCE_PA) : ABSENT;
}

static void write_tone(const char *name, double amplitude, double hz, double duration_s)
{
    struct sound sound = sound_new(48000, duration_s);
    sound_add_sine(&sound, amplitude, hz, 0);
    sound_write(&sound, name, WAV24);
    sound_free(&sound);
}

static bool gain_of(const struct calibration *calibration, int meter_class, struct gain *gain,
                    struct findings *findings)
{
    struct microphone microphone = { .calibration = *calibration, .meter_class = meter_class };
    struct err err = { 0 };
    return tap_ok(gain_of_microphone(&microphone, signals_folder, 0, gain, findings, &err), "a gain %s", err.text);
}

/* Calibrators in use: 94, 104, 114 and 124 dB, 250 Hz and 1 kHz (reference table of calibrators, market practice). */
static void a_calibrator_recording_calibrates_itself(void)
{
    static const double levels_db[] = { 94, 104, 114, 124 }, tones_hz[] = { 250, 1000 };
    for (size_t l = 0; l < 4; l++) {
        for (size_t t = 0; t < 2; t++) {
            struct gain gain;
            struct findings findings = { 0 };
            struct calibration calibration = { .kind = CALIBRATION_RECORDING,
                                               .file = (char[]){ "calibrator.wav" },
                                               .level_db = levels_db[l],
                                               .frequency_hz = tones_hz[t] };
            write_tone("calibrator.wav", 0.03, tones_hz[t] * 1.0013, 4);
            if (gain_of(&calibration, 0, &gain, &findings)) {
                tap_near(level_of("calibrator.wav", 0.5, 3.5, &gain), levels_db[l], 0.01, "reads itself");
                tap_near(gain.full_scale_sine_db, levels_db[l] - 20 * log10(0.03), 0.01, "a full-scale sine");
                tap_near(gain.frequency_hz, tones_hz[t] * 1.0013, 0.05, "its frequency");
                tap_ok(gain.is_absolute && findings.count == 0 && !is_given(gain.drift_db), "no finding: %s",
                       gain.source);
            }
            findings_clear(&findings);
        }
    }
    signals_remove("calibrator.wav");
}

/* GUM 4.3.7: a rectangle of half width a has the standard uncertainty a/sqrt(3). IEC 60942:2017 table 1: class 2
 * 0.40 dB, class 1 0.25 dB (from memory). */
static void drift_and_uncertainty(void)
{
    static const struct {
        double drift_db;
        int meter_class;
        bool is_found;
    } rows[] = { { 0, 2, false },   { 0.3, 2, false }, { -0.45, 1, false },
                 { 0.55, 0, true }, { -0.6, 2, true }, { 2, 1, true } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct gain gain;
        struct findings findings = { 0 };
        struct calibration calibration = { .kind = CALIBRATION_RECORDING,
                                           .file = (char[]){ "before.wav" },
                                           .after_file = (char[]){ "after.wav" },
                                           .level_db = 94,
                                           .frequency_hz = ABSENT };
        write_tone("before.wav", 0.05, 1000, 3);
        write_tone("after.wav", 0.05 * pow(10, rows[i].drift_db / 20), 1000, 3);
        if (gain_of(&calibration, rows[i].meter_class, &gain, &findings)) {
            tap_near(gain.drift_db, rows[i].drift_db, 0.01, "drift");
            tap_ok(findings_have(&findings, "calibration-drift") == rows[i].is_found, "0.5 dB are the limit");
            tap_near(level_of("before.wav", 0.5, 2.5, &gain), 94, 0.01, "the gain is the one before");
            double limit_db = rows[i].meter_class == 1 ? 0.25 : 0.40;
            tap_near(gain.standard_uncertainty_db,
                     sqrt((limit_db * limit_db + rows[i].drift_db * rows[i].drift_db) / 3), 0.002,
                     "standard uncertainty, class %d", rows[i].meter_class);
        }
        findings_clear(&findings);
    }
    signals_remove("before.wav");
    signals_remove("after.wav");
}

static void a_bad_calibration_is_told(void)
{
    struct gain gain;
    struct findings findings = { 0 };
    struct calibration calibration = { .kind = CALIBRATION_RECORDING,
                                       .file = (char[]){ "bad.wav" },
                                       .after_file = (char[]){ "nowhere.wav" },
                                       .level_db = 94,
                                       .frequency_hz = 1000 };
    struct sound sound = sound_new(48000, 4);
    sound_add_sine(&sound, 0.1, 1000, 0);
    sound_add_sine(&sound, 0.005, 2000, 0);
    sound_add_noise(&sound, 0.01, 3);
    sound_write(&sound, "bad.wav", WAV24);
    if (gain_of(&calibration, 0, &gain, &findings)) {
        tap_ok(findings_have(&findings, "calibrator-distortion"), "5 %% of distortion are told");
        tap_ok(findings_have(&findings, "calibrator-noise"), "noise 17 dB below the tone is told");
        tap_ok(findings_have(&findings, "calibration-after"), "an after recording that is not there is told");
        tap_ok(findings.count == 3 && findings_worst(&findings) == SEVERITY_DOUBTFUL, "and nothing else");
    }
    struct microphone microphone = {
        .calibration = { .kind = CALIBRATION_RECORDING, .file = (char[]){ "nowhere.wav" }, .level_db = 94 }
    };
    struct err err;
    tap_ok(!gain_of_microphone(&microphone, signals_folder, 0, &gain, &findings, &err) && err.kind == ERR_FILE,
           "without its recording there is no gain: %s", err.text);
    findings_clear(&findings);
    signals_remove("bad.wav");
    sound_free(&sound);
}

static void stated_gains(void)
{
    struct gain gain;
    struct findings findings = { 0 };
    write_tone("sine.wav", 0.5, 1000, 2);
    struct calibration calibration = { .kind = CALIBRATION_FULL_SCALE, .full_scale_db = 121.4 };
    if (gain_of(&calibration, 2, &gain, &findings)) {
        tap_near(level_of("sine.wav", 0, 2, &gain), 121.4 + 20 * log10(0.5), 0.001,
                 "half of full scale, stated 121.4 dB");
        tap_ok(gain.is_absolute && !is_given(gain.standard_uncertainty_db), "%s", gain.source);
    }
    /* 1 Pa rms through 12.6 mV/Pa is 12.6 mV rms, a sine of 17.82 mV peak: of 1 V full scale 0.01782. It reads 93.98
     * dB. */
    write_tone("pascal.wav", 0.0126 * sqrt(2), 1000, 2);
    calibration = (struct calibration){ .kind = CALIBRATION_SENSITIVITY, .sensitivity_mv_pa = 12.6, .full_scale_v = 1 };
    if (gain_of(&calibration, 2, &gain, &findings))
        tap_near(level_of("pascal.wav", 0, 2, &gain), 93.979, 0.001, "1 Pa through a stated sensitivity: %s",
                 gain.source);
    calibration = (struct calibration){ .kind = CALIBRATION_NONE };
    if (gain_of(&calibration, 2, &gain, &findings)) {
        tap_near(level_of("sine.wav", 0, 2, &gain), 20 * log10(0.5), 0.001, "dBFS: half of a full-scale sine");
        tap_ok(!gain.is_absolute && gain.full_scale_sine_db == 0, "%s", gain.source);
    }
    tap_ok(findings.count == 0, "nothing to find");
    signals_remove("sine.wav");
    signals_remove("pascal.wav");
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    a_calibrator_recording_calibrates_itself();
    drift_and_uncertainty();
    a_bad_calibration_is_told();
    stated_gains();
    return signals_end();
}
