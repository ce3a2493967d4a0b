/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "surveyed.h"

#include "base/fft.h"
#include "base/pool.h"

/* Any number of readers at once, good files and bad ones mixed: each gives what it gives alone. */

#define JOBS 48

struct job {
    char path[400];
    double used_end_s, peak;
    enum err_kind kind;
    char codes[200];
};

static void survey_job(void *context, size_t index)
{
    struct job *job = (struct job *)context + index;
    struct survey_request request = request_of(140);
    struct surveyed surveyed = survey_file(job->path, &request);
    job->kind = surveyed.done ? ERR_NONE : surveyed.err.kind;
    job->used_end_s = surveyed.done ? surveyed.survey.used_end_s : 0;
    job->peak = surveyed.done ? surveyed.survey.peak_full_scale : 0;
    for (size_t i = 0; i < surveyed.findings.count; i++) {
        size_t length = strlen(job->codes);
        snprintf(job->codes + length, sizeof job->codes - length, "%s ", surveyed.findings.items[i].code);
    }
    surveyed_clear(&surveyed);
}

static void name_jobs(struct job *jobs)
{
    static const char *const names[] = { "good.flac", "clipped.wav", "text.wav", "cut.wav", "nowhere.wav" };
    for (size_t i = 0; i < JOBS; i++) {
        jobs[i] = (struct job){ .kind = ERR_NONE };
        snprintf(jobs[i].path, sizeof jobs[i].path, "%s", signals_path(names[i % 5]));
    }
}

int main(void)
{
    fft_make_thread_safe();
    if (!signals_begin())
        return tap_done();
    struct sound sound = sound_new(48000, 2);
    sound_add_rotor(&sound, 0.2, 140, 0.3, 5);
    sound_write(&sound, "good.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_24);
    sound_write(&sound, "cut.wav", WAV16);
    for (size_t i = 0; i < sound.count; i++)
        sound.samples[i] *= 4;
    sound_write(&sound, "clipped.wav", WAV16);
    sound_free(&sound);
    signals_write_bytes("text.wav", "no sound", 8);
    tap_ok(signals_cut("cut.wav", 60000), "a cut file");
    static struct job alone[JOBS], together[JOBS];
    name_jobs(alone);
    name_jobs(together);
    pool_run(1, JOBS, survey_job, alone);
    pool_run(8, JOBS, survey_job, together);
    size_t different = 0;
    for (size_t i = 0; i < JOBS; i++)
        different += alone[i].kind != together[i].kind || alone[i].used_end_s != together[i].used_end_s ||
                     alone[i].peak != together[i].peak || strcmp(alone[i].codes, together[i].codes) != 0;
    tap_ok(different == 0, "%d surveys by eight threads are those of one", JOBS);
    tap_ok(alone[0].kind == ERR_NONE && strstr(alone[1].codes, "clipped") && alone[2].kind == ERR_AUDIO &&
               strstr(alone[3].codes, "truncated") && alone[4].kind == ERR_FILE,
           "good, clipped, no sound, cut, missing");
    signals_remove("good.flac");
    signals_remove("cut.wav");
    signals_remove("clipped.wav");
    signals_remove("text.wav");
    return signals_end();
}
