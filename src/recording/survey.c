/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/survey.h"

#include "base/absent.h"
#include "base/memory.h"
#include "recording/channels.h"
#include "recording/judge.h"
#include "recording/steady.h"
#include "recording/steps.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define RUMBLE_LIMIT_HZ 20.0
#define RUMBLE_LEAST_HZ 5.0
#define RUMBLE_MOST_HZ 50.0

double survey_rumble_limit_hz(const struct survey_request *request)
{
    if (!is_given(request->expected_blade_hz))
        return RUMBLE_LIMIT_HZ;
    return fmin(fmax(request->expected_blade_hz / 2, RUMBLE_LEAST_HZ), RUMBLE_MOST_HZ);
}

static bool read_steps(struct recording *recording, int channel, struct steps *steps, struct err *err)
{
    size_t block = RECORDING_BLOCK_FRAMES / steps->box_frames * steps->box_frames, got;
    double *samples = memory_new(block, sizeof *samples);
    if (!samples)
        return err_memory(err);
    bool done = recording_seek(recording, 0, err);
    do {
        done = done && recording_read(recording, &channel, 1, &samples, block, &got, err);
        if (done && !steps_feed(steps, samples, got))
            done = err_memory(err);
    } while (done && got == block);
    if (done && !steps_finish(steps))
        done = err_memory(err);
    free(samples);
    return done;
}

/* The part that the user asked for; its ends may be left open. */
static bool use_as_asked(const struct survey_request *request, const char *path, struct survey *survey, struct err *err)
{
    double start_s = is_given(request->start_s) ? request->start_s : 0;
    double end_s = is_given(request->end_s) ? request->end_s : survey->duration_s;
    /* Logs give times to a hundredth; the end may be told that much too late. */
    if (!(start_s >= 0 && start_s < survey->duration_s))
        return err_file(err, ERR_RANGE, path, "start_s %g lies outside of the recording; it lasts %.2f s", start_s,
                        survey->duration_s);
    if (!(end_s <= survey->duration_s + 0.01))
        return err_file(err, ERR_RANGE, path, "end_s %g lies outside of the recording; it lasts %.2f s", end_s,
                        survey->duration_s);
    if (!(end_s > start_s))
        return err_file(err, ERR_RANGE, path, "end_s %g is not behind start_s %g", end_s, start_s);
    survey->used_start_s = start_s;
    survey->used_end_s = fmin(end_s, survey->duration_s);
    snprintf(survey->used_reason, sizeof survey->used_reason, "as asked for");
    return true;
}

static void use_steady(const struct steady *steady, const struct steps *steps, struct survey *survey)
{
    survey->used_was_found = true;
    survey->used_start_s = steps->step_s * (double)steady->first;
    survey->used_end_s = steady->end == steps->count ? survey->duration_s : steps->step_s * (double)steady->end;
    if (!steady->is_found)
        snprintf(survey->used_reason, sizeof survey->used_reason, "all but silent ends: no part of %g s is steady",
                 STEADY_LEAST_S);
    else if (steady->is_whole)
        snprintf(survey->used_reason, sizeof survey->used_reason, "the whole recording: it is steady within %.1f dB",
                 steady->range_db);
    else
        snprintf(survey->used_reason, sizeof survey->used_reason, "the longest part that is steady, within %.1f dB",
                 steady->range_db);
}

static void find_judged_steps(struct judged *judged)
{
    const struct steps *steps = judged->steps;
    double first = floor(judged->survey->used_start_s / steps->step_s + 1e-6);
    double end = ceil(judged->survey->used_end_s / steps->step_s - 1e-6);
    judged->end = end < (double)steps->count ? (size_t)end : steps->count;
    judged->first = first < (double)judged->end ? (size_t)first : judged->end;
    judged->used_speed_range_pct = steady_speed_range_pct(steps, judged->first, judged->end);
    judged->used_range_db = steady_range_db(steps, judged->first, judged->end);
}

static bool choose_part(const struct survey_request *request, const char *path, const struct steps *steps,
                        struct survey *survey, bool *is_steady, struct err *err)
{
    *is_steady = true;
    if (is_given(request->start_s) || is_given(request->end_s))
        return use_as_asked(request, path, survey, err);
    struct steady steady;
    if (!steady_find(steps, &steady))
        return err_memory(err);
    use_steady(&steady, steps, survey);
    *is_steady = steady.is_found;
    return true;
}

bool survey_recording(struct recording *recording, const struct survey_request *request, struct survey *out,
                      struct findings *findings, struct err *err)
{
    const struct recording_info *info = recording_info(recording);
    struct steps steps;
    struct survey survey = { 0 };
    struct judged judged = { .info = info, .request = request, .survey = &survey, .steps = &steps };
    struct steps_setup setup = { .rate_hz = info->sample_rate_hz,
                                 .frame_count = info->frame_count,
                                 .integer_bits = info->is_float ? 0 : info->bits,
                                 .rumble_limit_hz = survey_rumble_limit_hz(request),
                                 .expected_blade_hz = request->expected_blade_hz };
    bool done = steps_init(&steps, &setup, err);
    done = done && read_steps(recording, request->channel, &steps, err);
    if (done && steps.count == 0)
        done = err_file(err, ERR_AUDIO, recording_path(recording), "holds no sound that can be decoded; copy it again");
    if (done) {
        survey.duration_s = (double)info->frame_count / info->sample_rate_hz;
        done = choose_part(request, recording_path(recording), &steps, &survey, &judged.is_steady, err);
    }
    done = done && channels_compare(recording, request->channel, survey.used_start_s, findings, err);
    if (done) {
        for (size_t i = 0; i < steps.count; i++)
            survey.peak_full_scale = fmax(survey.peak_full_scale, steps.items[i].peak);
        find_judged_steps(&judged);
        judge_file(&judged, findings);
        judge_samples(&judged, findings);
        judge_gain(&judged, findings);
        judge_levels(&judged, findings);
        *out = survey;
        if (findings->failed)
            done = err_memory(err);
    }
    steps_clear(&steps);
    return done;
}
