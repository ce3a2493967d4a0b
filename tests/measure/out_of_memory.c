/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "failing_memory.h"
#include "tap.h"

#include "base/absent.h"
#include "base/units.h"
#include "measure/campaign_measure.h"
#include "measure/run_json.h"

#include <gsl/gsl_errno.h>
#include <sndfile.h>
#include <unistd.h>

#define RATE_HZ 48000

/* A two-blade rotor at 4200 rev/min, or a calibrator's tone. */
static bool write_wav(const char *folder, const char *name, double seconds, bool is_calibrator)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    SF_INFO info = { .samplerate = RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return false;
    unsigned state = 1;
    for (long n = 0; n < (long)(seconds * RATE_HZ); n++) {
        state = state * 1664525u + 1013904223u;
        double noise = (double)(state >> 8) / 16777216.0 - 0.5, phase = 2 * PI * (double)n / RATE_HZ;
        double value =
            is_calibrator ? 0.1 * sin(1000 * phase) : 0.05 * sin(140 * phase) + 0.02 * sin(280 * phase) + 0.01 * noise;
        sf_write_double(file, &value, 1);
    }
    return sf_close(file) == 0;
}

static enum err_kind measure_all(const struct campaign *campaign)
{
    struct run_result run;
    struct err err = { 0 };
    const struct measure_plan plan = { .bands_per_octave = 1, .job_count = 1 };
    run_result_init(&run);
    bool ok = campaign_measure(campaign, &plan, &run, &err);
    /* A recording that could not be opened for want of memory is told in its result, a background as a finding. */
    bool is_whole = ok && !run.error[0] && !findings_have(&run.findings, "background-unusable");
    run_result_clear(&run);
    return ok ? is_whole ? ERR_NONE : ERR_AUDIO : err.kind;
}

int main(void)
{
    gsl_set_error_handler_off();
    char folder[] = "/tmp/thrum-memory-XXXXXX";
    if (!mkdtemp(folder) || !write_wav(folder, "run.wav", 2.5, false) || !write_wav(folder, "quiet.wav", 1.5, false) ||
        !write_wav(folder, "calibrator.wav", 1.5, true))
        return EXIT_FAILURE;
    struct microphone microphone = { .name = (char[]){ "main" },
                                     .distance_m = 1,
                                     .angle_deg = ABSENT,
                                     .height_m = ABSENT,
                                     .source_height_m = ABSENT,
                                     .background = (char[]){ "quiet.wav" },
                                     .calibration = { .kind = CALIBRATION_RECORDING,
                                                      .file = (char[]){ "calibrator.wav" },
                                                      .level_db = 94,
                                                      .frequency_hz = 1000 } };
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    variant.name = (char[]){ "stock2" };
    struct run_note note = { (char[]){ "nut" }, (char[]){ "2 Nm" } };
    struct run run = { .file = (char[]){ "run.wav" },
                       .row = 2,
                       .rpm = 4200,
                       .rpm_tolerance_pct = 2,
                       .motor_rpm = ABSENT,
                       .thrust_n = 3,
                       .power_w = ABSENT,
                       .throttle_pct = ABSENT,
                       .voltage_v = ABSENT,
                       .start_s = ABSENT,
                       .end_s = ABSENT,
                       .tach_channel = -1,
                       .notes = &note,
                       .note_count = 1,
                       .current_a = ABSENT };
    struct campaign campaign = { .folder = folder,
                                 .reference_distance_m = 1,
                                 .air = { ABSENT, ABSENT, ABSENT, ABSENT },
                                 .microphones = &microphone,
                                 .microphone_count = 1,
                                 .variants = &variant,
                                 .variant_count = 1,
                                 .runs = &run,
                                 .run_count = 1 };
    tap_ok(measure_all(&campaign) == ERR_NONE, "with memory it is measured");
    /* The first hundred one by one, then a growing stride: late ones differ only in the tone they belong to. */
    long failed = 0, told = 0, at = 0;
    for (;; at += 1 + at / 100) {
        allocations_left = at;
        enum err_kind kind = measure_all(&campaign);
        bool was_reached = allocations_left < 0;
        allocations_left = -1;
        if (!was_reached)
            break;
        failed++;
        told += kind != ERR_NONE;
        if (kind == ERR_NONE)
            printf("# allocation %ld failed and nobody said so\n", at);
    }
    tap_ok(failed > 100 && told == failed, "%ld of %ld failed allocations (of some %ld) are told", told, failed, at);
    char path[128];
    static const char *const names[] = { "run.wav", "quiet.wav", "calibrator.wav" };
    for (size_t i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    rmdir(folder);
    return tap_done();
}
