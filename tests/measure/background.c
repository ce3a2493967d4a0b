/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Backgrounds that can't be used: the run is measured without, and that is told. */
#include "tap.h"

#include "base/absent.h"
#include "base/units.h"
#include "measure/campaign_measure.h"

#include <sndfile.h>
#include <unistd.h>

#define RATE_HZ 48000
#define BLADE_HZ 125.0 /* two blades, 3750 rev/min */

/* Tones at multiples 1 to `count` of `hz`, each 3 dB weaker than the one before, and noise. */
static bool write_wav(const char *folder, const char *name, double hz, int count, double rms, double noise_rms)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    SF_INFO info = { .samplerate = RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return false;
    sf_command(file, SFC_SET_CLIPPING, NULL, SF_TRUE);
    unsigned state = 1;
    for (long n = 0; n < 6L * RATE_HZ; n++) {
        double value = 0, uniform_rms = sqrt(1 / 12.0);
        for (int k = 1; k <= count; k++)
            value += rms * sqrt(2) * pow(10, -3.0 * (k - 1) / 20) * sin(2 * PI * fmod(k * hz * (double)n / RATE_HZ, 1));
        state = state * 1664525u + 1013904223u;
        value += noise_rms * ((double)(state >> 8) / 16777216.0 - 0.5) / uniform_rms;
        sf_write_double(file, &value, 1);
    }
    return sf_close(file) == 0;
}

/* Measures run.wav with this background; `word` NULL: it is taken off, else it is not and the finding says so. */
static void with_background(const char *folder, const char *background, const char *word, const char *what)
{
    char name[64];
    snprintf(name, sizeof name, "%s", background);
    struct microphone microphone = { .name = (char[]){ "main" },
                                     .distance_m = 1,
                                     .angle_deg = ABSENT,
                                     .height_m = ABSENT,
                                     .source_height_m = ABSENT,
                                     .background = name,
                                     .calibration = { .kind = CALIBRATION_FULL_SCALE, .full_scale_db = 110 } };
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    variant.name = (char[]){ "stock2" };
    struct run logged = { .file = (char[]){ "run.wav" },
                          .row = 2,
                          .rpm = 60 * BLADE_HZ / 2,
                          .rpm_tolerance_pct = 2,
                          .motor_rpm = ABSENT,
                          .thrust_n = ABSENT,
                          .power_w = ABSENT,
                          .throttle_pct = ABSENT,
                          .voltage_v = ABSENT,
                          .start_s = ABSENT,
                          .end_s = ABSENT,
                          .tach_channel = -1,
                          .current_a = ABSENT };
    char own[64];
    snprintf(own, sizeof own, "%s", folder);
    struct campaign campaign = { .folder = own,
                                 .reference_distance_m = 1,
                                 .air = { ABSENT, ABSENT, ABSENT, ABSENT },
                                 .microphones = &microphone,
                                 .microphone_count = 1,
                                 .variants = &variant,
                                 .variant_count = 1,
                                 .runs = &logged,
                                 .run_count = 1 };
    const struct measure_plan plan = { .bands_per_octave = 3, .job_count = 1 };
    struct run_result run;
    struct err err = { 0 };
    run_result_init(&run);
    if (tap_ok(campaign_measure(&campaign, &plan, &run, &err), "%s: the run is measured %s", what, err.text)) {
        const struct finding *told = NULL;
        for (size_t i = 0; i < run.findings.count; i++)
            if (strcmp(run.findings.items[i].code, "background-unusable") == 0)
                told = &run.findings.items[i];
        tap_ok(is_given(run.at_reference.laeq_db) &&
                   is_given(run.at_reference.background_correction_db) == (word == NULL),
               "the background is %s", word ? "left out" : "taken off");
        tap_ok(word ? told && told->severity == SEVERITY_DOUBTFUL && strstr(told->text, word) : told == NULL,
               "it is said: %s", told ? told->text : "nothing");
    }
    run_result_clear(&run);
}

int main(void)
{
    char folder[] = "/tmp/thrum-background-XXXXXX", path[128];
    if (!mkdtemp(folder))
        return EXIT_FAILURE;
    tap_ok(write_wav(folder, "run.wav", BLADE_HZ, 6, 0.05, 0.02) && write_wav(folder, "quiet.wav", 50, 0, 0, 0.001) &&
               write_wav(folder, "hum.wav", 50, 24, 0.004, 0.001) && write_wav(folder, "dead.wav", 50, 0, 0, 0) &&
               write_wav(folder, "clipped.wav", 97.3, 1, 1.5, 0.001) &&
               write_wav(folder, "other.wav", 1.01 * BLADE_HZ, 5, 0.004, 0.001) &&
               write_wav(folder, "slower.wav", 0.8 * BLADE_HZ + 1.7, 5, 0.004, 0.001),
           "recordings");
    with_background(folder, "quiet.wav", NULL, "noise");
    /* Every second multiple of the blade frequency, 125 Hz, is one of 50 Hz. */
    with_background(folder, "hum.wav", NULL, "mains hum with 24 multiples");
    with_background(folder, "slower.wav", NULL, "tones of no rotor in the log");
    with_background(folder, "dead.wav", "silence", "silence");
    with_background(folder, "clipped.wav", "clipped", "a clipped one");
    with_background(folder, "nowhere.wav", "nowhere.wav", "one that is not there");
    with_background(folder, "other.wav", "a rotor is running in it", "the rotor, 1 % faster");
    with_background(folder, "run.wav", "row 2", "the run itself");
    static const char *const names[] = { "run.wav",     "quiet.wav", "hum.wav",   "dead.wav",
                                         "clipped.wav", "other.wav", "slower.wav" };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    tap_ok(rmdir(folder) == 0, "nothing is left in the temporary folder");
    return tap_done();
}
