/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signals.h"

#include "base/absent.h"
#include "recording/calibrator.h"

#define WAV16 (SF_FORMAT_WAV | SF_FORMAT_PCM_16)
#define WAV24 (SF_FORMAT_WAV | SF_FORMAT_PCM_24)

/* dB re the rms of a full-scale sine: a sine of amplitude a reads 20 lg a. */
static double amplitude_of(double level_dbfs)
{
    return pow(10, level_dbfs / 20);
}

/* Closed form: the level of a sine is that of its amplitude, at any rate, frequency and place between two lines. */
static void tones_read_their_level(void)
{
    static const int rates_hz[] = { 8000, 11025, 44100, 48000, 96000, 192000 };
    static const double tones_hz[] = { 250, 251.3, 1000, 1000.7, 981, 1017.77 };
    for (size_t r = 0; r < sizeof rates_hz / sizeof rates_hz[0]; r++) {
        for (size_t t = 0; t < sizeof tones_hz / sizeof tones_hz[0]; t++) {
            struct sound sound = sound_new(rates_hz[r], 2.5);
            sound_add_sine(&sound, amplitude_of(-27.4), tones_hz[t], 0.4);
            struct calibrator_figures figures = { 0 };
            struct err err = { 0 };
            double nominal_hz = tones_hz[t] < 500 ? 250 : 1000;
            sound_write(&sound, "tone.wav", WAV24);
            if (tap_ok(calibrator_measure(signals_path("tone.wav"), 0, nominal_hz, &figures, &err),
                       "%g Hz at %d Hz is measured %s", tones_hz[t], rates_hz[r], err.text)) {
                tap_near(figures.level_dbfs, -27.4, 0.01, "level");
                tap_near(figures.frequency_hz, tones_hz[t], 2e-4 * tones_hz[t], "frequency, 0.02 %%");
                tap_ok(figures.start_s == 0 && figures.end_s > 2.2 && figures.steadiness_db < 0.01 &&
                           figures.distortion_pct < 0.1 && figures.noise_db < -50,
                       "steady to %.4f dB from %.1f to %.1f s, distortion %.3f %%, noise %.1f dB",
                       figures.steadiness_db, figures.start_s, figures.end_s, figures.distortion_pct, figures.noise_db);
            }
            sound_free(&sound);
        }
    }
    signals_remove("tone.wav");
}

static bool measure(struct sound *sound, int format, double nominal_hz, struct calibrator_figures *figures,
                    struct err *err)
{
    *err = (struct err){ 0 };
    sound_write(sound, "calibrator.wav", format);
    bool done = calibrator_measure(signals_path("calibrator.wav"), 0, nominal_hz, figures, err);
    signals_remove("calibrator.wav");
    return done;
}

/* Broadband noise does not add to the tone: its part within 7.5 Hz of 24 kHz is 35 dB weaker than the whole. */
static void background_does_not_add(void)
{
    static const double noise_db[] = { -60, -40, -30, -20, -15 };
    for (size_t i = 0; i < sizeof noise_db / sizeof noise_db[0]; i++) {
        struct sound sound = sound_new(48000, 6);
        struct calibrator_figures figures = { 0 };
        struct err err;
        double amplitude = amplitude_of(-20);
        sound_add_sine(&sound, amplitude, 1000.2, 0);
        sound_add_noise(&sound, amplitude / sqrt(2) * pow(10, noise_db[i] / 20), 11 + i);
        if (tap_ok(measure(&sound, WAV24, 1000, &figures, &err), "noise %g dB re the tone %s", noise_db[i], err.text)) {
            /* At -15 dB a piece's noise within 7.5 Hz, in phase with the tone, is 53 dB weaker: 0.019 dB; the mean of
             * 59 pieces that overlap by half scatters by 0.003 dB. */
            tap_near(figures.level_dbfs, -20, 0.01, "level of the tone alone");
            /* 85 of 4800 lines around the tone and its harmonics are left out: 0.08 dB low. */
            tap_near(figures.noise_db, noise_db[i], 0.15, "level of the noise");
        }
        sound_free(&sound);
    }
}

static void distortion_is_told(void)
{
    static const double percent[] = { 0.5, 1, 3, 8 };
    for (size_t i = 0; i < sizeof percent / sizeof percent[0]; i++) {
        struct sound sound = sound_new(48000, 3);
        struct calibrator_figures figures = { 0 };
        struct err err;
        sound_add_sine(&sound, 0.1, 1000, 0);
        sound_add_sine(&sound, 0.1 * percent[i] / 100 * 0.8, 2000, 1);
        sound_add_sine(&sound, 0.1 * percent[i] / 100 * 0.6, 3000, 2);
        if (tap_ok(measure(&sound, WAV24, ABSENT, &figures, &err), "two harmonics of %g %% together", percent[i])) {
            tap_near(figures.distortion_pct, percent[i], 0.01 * percent[i] + 0.01, "distortion, their rms");
            tap_near(figures.level_dbfs, -20, 0.01, "the level is that of the tone");
        }
        sound_free(&sound);
    }
}

/* Silence, a knock, the tone swelling on, 6 s of it, and off again. */
static void the_steady_part_is_found(void)
{
    struct sound sound = sound_new(48000, 12), tone = sound_new(48000, 12);
    sound_add_noise(&sound, 1e-4, 21);
    sound_add_sine(&tone, 0.2, 1000, 0);
    for (size_t i = 0; i < sound.count; i++) {
        double t = (double)i / 48000;
        double gain = t < 3 ? 0 : t < 4 ? t - 3 : t < 10 ? 1 : t < 10.5 ? 1 - 2 * (t - 10) : 0;
        sound.samples[i] += gain * tone.samples[i];
        if (t > 1.5 && t < 1.8)
            sound.samples[i] += 0.5 * exp(-(t - 1.5) * 30) * sin(TWO_PI * 90 * t);
    }
    struct calibrator_figures figures = { 0 };
    struct err err;
    if (tap_ok(measure(&sound, WAV16, 1000, &figures, &err), "a calibrator put on and taken off %s", err.text)) {
        tap_within(figures.start_s, 4, 0.2, 0.2, "steady from");
        tap_within(figures.end_s, 10, 0.2, 0.2, "steady to");
        tap_near(figures.level_dbfs, 20 * log10(0.2), 0.01, "level");
        tap_ok(figures.steadiness_db <= CALIBRATOR_STEADY_DB, "steady within %.3f dB", figures.steadiness_db);
    }
    sound_free(&sound);
    sound_free(&tone);
}

static void refused(struct sound *sound, double nominal_hz, const char *word, const char *what)
{
    struct calibrator_figures figures = { .level_dbfs = 7 };
    struct err err;
    bool done = measure(sound, WAV16, nominal_hz, &figures, &err);
    tap_ok(!done && err.kind == ERR_AUDIO && strstr(err.text, word) && figures.level_dbfs == 7, "%s is refused: %s",
           what, err.text);
    sound_free(sound);
}

static struct sound tone(double amplitude, double hz, double duration_s)
{
    struct sound sound = sound_new(48000, duration_s);
    sound_add_sine(&sound, amplitude, hz, 0);
    return sound;
}

static void swell(struct sound *sound, double db, double hz)
{
    for (size_t i = 0; i < sound->count; i++)
        sound->samples[i] *= pow(10, db / 20 * sin(TWO_PI * hz * (double)i / sound->rate_hz));
}

/* A tone of `first_db` re amplitude 0.1 up to `switch_s`, of `second_db` from there on. */
static struct sound switched(double first_db, double second_db, double switch_s)
{
    struct sound sound = tone(0.1, 1000, 16);
    for (size_t i = 0; i < sound.count; i++)
        sound.samples[i] *= pow(10, ((double)i / 48000 < switch_s ? first_db : second_db) / 20);
    return sound;
}

/* A recording with both levels of a calibrator's switch, 94 and 114 dB, does not say which of them is stated. */
static void two_levels_are_refused(void)
{
    struct calibrator_figures figures;
    struct err err;
    struct sound sound = switched(-20, 0, 7);
    refused(&sound, 1000, "−20.0 dBFS from 7.0 to 16.0 s and of −40.0 dBFS from 0.0 to 7.0 s", "94, then 114 dB");
    sound = switched(0, -20, 9);
    refused(&sound, 1000, "two steady tones", "114, then 94 dB");
    sound = switched(-1.5, 0, 2);
    refused(&sound, 1000, "two steady tones", "pressed home after 2 s, 1.5 dB more");
    sound = switched(-20, 0, 0.8);
    tap_ok(measure(&sound, WAV24, 1000, &figures, &err), "0.8 s of the other level are no steady tone");
    tap_near(figures.level_dbfs, -20, 0.01, "level");
    sound_free(&sound);
    sound = switched(-35, 0, 4);
    tap_ok(measure(&sound, WAV24, 1000, &figures, &err), "35 dB less: it lay beside the microphone");
    tap_near(figures.level_dbfs, -20, 0.01, "level");
    sound_free(&sound);
}

static void what_is_no_calibrator_is_refused(void)
{
    struct calibrator_figures figures;
    struct err err;
    struct sound sound = tone(0.1, 1019, 3);
    tap_ok(measure(&sound, WAV16, 1000, &figures, &err), "1.9 %% off its frequency is taken");
    sound_free(&sound);
    sound = tone(0.1, 1021.5, 3);
    refused(&sound, 1000, "1021.5 Hz", "2.15 % off its frequency");
    sound = tone(0.1, 250, 3);
    refused(&sound, 1000, "250.0 Hz", "a tone of another calibrator");
    sound = tone(0.1, 1000, 0.8);
    refused(&sound, 1000, "steady", "0.8 s");
    sound = tone(0.1, 1000, 0.1);
    refused(&sound, 1000, "short", "0.1 s");
    sound = tone(1.4, 1000, 3);
    refused(&sound, 1000, "clipped", "a clipped tone");
    sound = tone(0.1, 1000, 5);
    swell(&sound, 0.05, 1);
    tap_ok(measure(&sound, WAV16, 1000, &figures, &err), "a tone that moves by +-0.05 dB is taken");
    sound_free(&sound);
    sound = tone(0.1, 1000, 5);
    swell(&sound, 0.3, 0.9);
    refused(&sound, 1000, "steady", "a tone that moves by +-0.3 dB");
    sound = sound_new(48000, 3);
    refused(&sound, 1000, "silent", "silence");
    sound = sound_new(48000, 3);
    sound_add_noise(&sound, 0.1, 31);
    refused(&sound, 1000, "no tone", "noise");
    sound = tone(0.1, 1000, 3);
    tap_ok(!measure(&sound, WAV16, 30, &figures, &err) && err.kind == ERR_AUDIO, "a nominal 30 Hz: %s", err.text);
    sound_write(&sound, "mono.wav", WAV16);
    tap_ok(calibrator_measure(signals_path("mono.wav"), 1, 1000, &figures, &err),
           "a mono recording is that of a microphone on channel 2 too");
    tap_ok(sound_write_channel(&sound, "stereo.wav", WAV16, 1, 2) &&
               calibrator_measure(signals_path("stereo.wav"), 1, 1000, &figures, &err) &&
               !calibrator_measure(signals_path("stereo.wav"), 2, 1000, &figures, &err) && err.kind == ERR_AUDIO,
           "but a stereo one has no channel 3: %s", err.text);
    signals_remove("stereo.wav");
    tap_ok(!calibrator_measure(signals_path("nowhere.wav"), 0, 1000, &figures, &err) && err.kind == ERR_FILE,
           "a file that is not there: %s", err.text);
    signals_remove("mono.wav");
    sound_free(&sound);
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    tones_read_their_level();
    background_does_not_add();
    distortion_is_told();
    the_steady_part_is_found();
    two_levels_are_refused();
    what_is_no_calibrator_is_refused();
    return signals_end();
}
