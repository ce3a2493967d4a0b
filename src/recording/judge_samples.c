/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/judge.h"

#include "base/absent.h"
#include "base/num.h"
#include "base/units.h"

#include <math.h>

/* Flat tops up to one a second and a ten-thousandth of the samples leave levels as they are, but not the peak. */
#define FLAT_TOPS_PER_S 1.0
#define FLAT_SHARE 1e-4
/* Boxes of equal samples are a fault where hardly any box comes near: low noise makes both. */
#define EQUAL_AGAINST_NEAR 4
#define EQUAL_RANGE_CODES 16
#define SILENT_SHARE 0.1
#define OFFSET_SHARE 0.01 /* of full scale */
#define OFFSET_DOUBTFUL_SHARE 0.1
#define DECAY_ONE_WAY 0.7 /* of all the way that half-second means go */
/* Noise of rounding to codes, q^2/12, this far below the sound is no matter. */
#define ROUNDING_BELOW_DB 40.0
#define ROUNDING_NEAR_DB 15.0 /* adds 0.14 dB to the level */
#define FEW_BITS 8

static double used_s(const struct judged *judged)
{
    return judged->survey->used_end_s - judged->survey->used_start_s;
}

static bool is_used(const struct judged *judged, size_t index)
{
    return index >= judged->first && index < judged->end;
}

static void judge_bad_samples(const struct judged *judged, struct findings *findings)
{
    size_t bad = 0;
    for (size_t i = 0; i < judged->steps->count; i++)
        bad += judged->steps->items[i].bad_count;
    if (bad > 0)
        findings_add(
            findings, "non-finite", SEVERITY_UNUSABLE, ABSENT,
            "%zu samples are not numbers or beyond a million times full scale; export the recording again from "
            "the original",
            bad);
}

static void judge_clipping(const struct judged *judged, struct findings *findings)
{
    size_t runs = 0, frames = 0, runs_elsewhere = 0, used_frames = 0;
    for (size_t i = 0; i < judged->steps->count; i++) {
        size_t step_runs = step_flat_runs(judged->steps, i);
        if (is_used(judged, i)) {
            runs += step_runs;
            frames += step_flat_frames(judged->steps, i);
            used_frames += judged->steps->items[i].frame_count;
        } else {
            runs_elsewhere += step_runs;
        }
    }
    const struct ceiling *ceilings = judged->steps->ceilings;
    char height[32];
    num_words(height, sizeof height, amplitude_ratio_to_db(fmax(ceilings[0].value, ceilings[1].value)), 1);
    if (runs > 0) {
        bool matters = (double)runs > fmax(FLAT_TOPS_PER_S * used_s(judged), 1) ||
                       (double)frames > FLAT_SHARE * (double)used_frames;
        findings_add(findings, "clipped", matters ? SEVERITY_UNUSABLE : SEVERITY_DOUBTFUL, ABSENT,
                     "the sound is clipped: %zu flat tops in the used part (%.3g %% of its samples) at %s dB re full "
                     "scale; %s",
                     runs, 100 * (double)frames / (double)used_frames, height,
                     matters ? "lower the gain and record again"
                             : "the peak level is too low, lower the gain next time");
    } else if (runs_elsewhere > 0) {
        findings_add(findings, "clipped", SEVERITY_NOTE, ABSENT,
                     "the sound is clipped outside of the used part (%zu flat tops); lower the gain next time",
                     runs_elsewhere);
    }
}

static void judge_silence(const struct judged *judged, struct findings *findings)
{
    size_t used = 0, elsewhere = 0;
    for (size_t i = 0; i < judged->steps->count; i++)
        if (step_is_silent(&judged->steps->items[i]))
            *(is_used(judged, i) ? &used : &elsewhere) += 1;
    double step_s = judged->steps->step_s;
    if (used > 0) {
        bool matters = (double)used >= SILENT_SHARE * (double)(judged->end - judged->first);
        findings_add(
            findings, "silence", matters ? SEVERITY_UNUSABLE : SEVERITY_DOUBTFUL, ABSENT,
            "%.1f s of the used part are digital silence (samples that never change); check cable, channel and "
            "input, and record again",
            step_s * (double)used);
    } else if (elsewhere > 0) {
        findings_add(findings, "silence", SEVERITY_NOTE, ABSENT,
                     "%.1f s outside of the used part are digital silence (samples that never change); check what the "
                     "recorder did there",
                     step_s * (double)elsewhere);
    }
}

/* Constant boxes of a step that are no drop-out: those of a silence that begins or ends in it, at the recording's ends
 * or beside a silent step. */
static size_t dropped_boxes(const struct judged *judged, size_t index)
{
    const struct steps *steps = judged->steps;
    const struct step *step = &steps->items[index];
    bool is_beside_silence =
        (index > 0 && step_is_silent(step - 1)) || (index + 1 < steps->count && step_is_silent(step + 1));
    if (step_is_silent(step) || is_beside_silence)
        return 0;
    size_t lead = index == 0 ? steps->leading_boxes : 0, trail = index + 1 == steps->count ? steps->trailing_boxes : 0;
    return step->constant_boxes > lead + trail ? step->constant_boxes - lead - trail : 0;
}

static void judge_dropouts(const struct judged *judged, struct findings *findings)
{
    size_t equal = 0, near = 0, first = 0;
    double range = 0, boxes = 0;
    for (size_t i = judged->first; i < judged->end; i++) {
        const struct step *step = &judged->steps->items[i];
        size_t dropped = dropped_boxes(judged, i);
        if (dropped > 0 && equal == 0)
            first = i;
        equal += dropped;
        near += step->nearly_constant_boxes;
        range += step->box_range * (double)(step->box_count - step->constant_boxes);
        boxes += (double)(step->box_count - step->constant_boxes);
    }
    double code = steps_code(judged->steps);
    if (equal == 0 || equal < EQUAL_AGAINST_NEAR * near || range < EQUAL_RANGE_CODES * code * boxes)
        return;
    double box_s = judged->steps->step_s / (double)judged->steps->step_boxes;
    findings_add(
        findings, "drop-out", SEVERITY_UNUSABLE, ABSENT,
        "the recording drops out: about %.0f ms of the used part hold equal samples where the sound goes on, the "
        "first at %.1f s; use a faster card or a larger buffer, and record again",
        1000 * box_s * (double)equal, judged->steps->step_s * (double)first);
}

/* Mean of the steps' means, silent ones too. */
static double mean_of(const struct judged *judged, size_t first, size_t end)
{
    double sum = 0, frames = 0;
    for (size_t i = first; i < end; i++) {
        double n = (double)judged->steps->items[i].frame_count;
        sum += judged->steps->items[i].mean * n;
        frames += n;
    }
    return frames > 0 ? sum / frames : 0;
}

/* Shares are of full scale, or of the peak where float samples go beyond it. */
static void judge_offset(const struct judged *judged, struct findings *findings)
{
    size_t half_second = (size_t)fmax(round(0.5 / judged->steps->step_s), 1);
    double full_scale = fmax(judged->survey->peak_full_scale, 1);
    double offset = mean_of(judged, judged->first, judged->end) / full_scale;
    char from[32], to[32];
    if (fabs(offset) > OFFSET_SHARE)
        findings_add(
            findings, "dc-offset", fabs(offset) > OFFSET_DOUBTFUL_SHARE ? SEVERITY_DOUBTFUL : SEVERITY_NOTE, ABSENT,
            "the samples are off zero by %s %% of full scale, which A-levels do not see but headroom does; use "
            "the recorder's low-cut filter or another input",
            num_words(from, sizeof from, 100 * offset, 1));
    double start = 0, end = 0, way = 0;
    for (size_t first = judged->first, k = 0; first + half_second <= judged->end; first += half_second, k++) {
        double mean = mean_of(judged, first, first + half_second) / full_scale;
        start = k == 0 ? mean : start;
        way += k == 0 ? 0 : fabs(mean - end);
        end = mean;
    }
    /* A decay goes one way; rumble goes to and fro. */
    if (fabs(end - start) > OFFSET_SHARE && fabs(end - start) > DECAY_ONE_WAY * way)
        findings_add(findings, "dc-decay", SEVERITY_DOUBTFUL, ABSENT,
                     "the samples' offset from zero drifts from %s to %s %% of full scale in the used part, which adds "
                     "sound below 20 Hz that was not there; start recording some seconds earlier, or set start_s",
                     num_words(from, sizeof from, 100 * start, 1), num_words(to, sizeof to, 100 * end, 1));
}

static void judge_resolution(const struct judged *judged, struct findings *findings)
{
    double code = steps_code(judged->steps), sum = 0, count = 0;
    for (size_t i = judged->first; i < judged->end; i++) {
        if (step_is_silent(&judged->steps->items[i]))
            continue;
        sum += judged->steps->items[i].mean_square;
        count++;
    }
    if (code == 0 || count == 0)
        return;
    double above_db = fmax(power_ratio_to_db(sum / count / (code * code / 12)), 0);
    if (code >= ldexp(1, 1 - FEW_BITS))
        findings_add(findings, "low-resolution", SEVERITY_DOUBTFUL, ABSENT,
                     "samples of %.0f bits put rounding noise only %.0f dB below the sound; record with 24 bits",
                     1 - log2(code), above_db);
    else if (above_db < ROUNDING_BELOW_DB)
        findings_add(
            findings, "low-resolution", above_db < ROUNDING_NEAR_DB ? SEVERITY_DOUBTFUL : SEVERITY_NOTE, ABSENT,
            "the recording is so quiet that rounding noise lies only %.0f dB below the sound; raise the gain or "
            "record with 24 bits",
            above_db);
}

void judge_samples(const struct judged *judged, struct findings *findings)
{
    judge_bad_samples(judged, findings);
    judge_clipping(judged, findings);
    judge_silence(judged, findings);
    judge_dropouts(judged, findings);
    judge_offset(judged, findings);
    judge_resolution(judged, findings);
}
