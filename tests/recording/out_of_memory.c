/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "failing_memory.h"
#include "surveyed.h"

static enum err_kind survey_once(void)
{
    struct survey_request request = request_of(140);
    struct surveyed surveyed = survey_file(signals_path("memory.wav"), &request);
    enum err_kind kind = surveyed.done ? ERR_NONE : surveyed.err.kind;
    surveyed_clear(&surveyed);
    return kind;
}

static enum err_kind calibrate_once(void)
{
    struct microphone microphone = { .calibration = { .kind = CALIBRATION_RECORDING,
                                                      .file = (char[]){ "memory.wav" },
                                                      .after_file = (char[]){ "memory.wav" },
                                                      .level_db = 94,
                                                      .frequency_hz = 1000 } };
    struct gain gain;
    struct findings findings = { 0 };
    struct err err = { 0 };
    bool done = gain_of_microphone(&microphone, signals_folder, 0, &gain, &findings, &err);
    /* An after recording that can't be read for want of memory is a finding, and adding one can fail as well. */
    done = done && findings.count == 0 && !findings.failed;
    findings_clear(&findings);
    return done ? ERR_NONE : err.kind == ERR_NONE ? ERR_MEMORY : err.kind;
}

static void every_allocation_fails(enum err_kind (*once)(void), const char *what)
{
    long failed = 0, others = 0, count = 0;
    enum err_kind kind = ERR_MEMORY;
    for (; kind != ERR_NONE && count < 1000; count++) {
        allocations_left = count;
        kind = once();
        bool was_reached = allocations_left == -1;
        allocations_left = -1;
        failed += was_reached && kind == ERR_MEMORY;
        others += kind != ERR_NONE && kind != ERR_MEMORY;
    }
    tap_ok(kind == ERR_NONE && others == 0 && failed == count - 1 && failed > 2,
           "%s: %ld allocations, each failed once and was told", what, failed);
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    struct sound sound = sound_new(48000, 3);
    sound_add_sine(&sound, 0.1, 1000, 0);
    sound_write_channel(&sound, "memory.wav", WAV16, 0, 2);
    sound_free(&sound);
    every_allocation_fails(survey_once, "a survey");
    every_allocation_fails(calibrate_once, "a calibration");
    signals_remove("memory.wav");
    return signals_end();
}
