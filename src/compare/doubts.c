/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/doubts.h"

#include "base/absent.h"
#include "compare/axis.h"
#include "compare/collect.h"
#include "compare/operating.h"
#include "compare/words.h"

#include <math.h>
#include <stdio.h>

static const char *worst_code(const struct run_result *run)
{
    for (size_t i = 0; i < run->findings.count; i++)
        if (run->findings.items[i].severity == SEVERITY_UNUSABLE)
            return run->findings.items[i].code;
    return "unreadable";
}

bool doubts_tell_runs(const struct compare_job *job)
{
    for (size_t i = 0; i < job->source.run_count; i++) {
        const struct run_result *run = &job->source.runs[i];
        const char *file = run->file ? run->file : "a run";
        if (!run_is_usable(run)) {
            if (!collect_remark(job->out, job->err, "Left out as unusable: %s (row %d, %s): %s.", file, run->row,
                                run->variant ? run->variant : "", worst_code(run)))
                return false;
        } else if (operating_log_was_wrong(run)) {
            if (!collect_remark(job->out, job->err,
                                "%s (row %d): the sound contradicts the log's %.4g rev/min; by speed it is compared "
                                "at the measured %.5g rev/min.",
                                file, run->row, run->rpm_given, run->rotor.rpm_measured))
                return false;
        }
    }
    return true;
}

bool doubts_tell_missing(const struct compare_job *job, enum operating_quantity at)
{
    const struct campaign *campaign = job->source.campaign;
    for (size_t variant = 0; variant < campaign->variant_count; variant++) {
        double low, high;
        if (!axis_range(&job->source, variant, at, &low, &high) &&
            !collect_remark(job->out, job->err, "%s%s has no usable run with a %s: %s.",
                            variant == job->reference ? "The reference " : "", campaign->variants[variant].name,
                            operating_name(at),
                            variant == job->reference ? "nothing is compared by it" : "it is not compared by it"))
            return false;
    }
    return true;
}

bool doubts_any_doubtful(const struct grid_source *source)
{
    for (size_t i = 0; i < source->run_count; i++)
        if (run_is_usable(&source->runs[i]) && run_is_doubtful(&source->runs[i]))
            return true;
    return false;
}

static size_t run_count(const struct grid *grid, const struct pairing *pairing)
{
    const struct cell *ours = pairing_variant_cell(grid, pairing), *theirs = pairing_reference_cell(grid, pairing);
    return (ours ? ours->count : 0) + (theirs ? theirs->count : 0);
}

static void interval_text(const struct difference *difference, char *buffer, size_t size)
{
    char value[40], low[40], high[40];
    words_signed(difference->value, 1, value, sizeof value);
    words_signed(difference->low, 1, low, sizeof low);
    words_signed(difference->high, 1, high, sizeof high);
    if (!is_given(difference->low))
        snprintf(buffer, size, "%s dB", value);
    else if (!isfinite(difference->low))
        snprintf(buffer, size, "%s dB (at most %s)", value, high);
    else if (!isfinite(difference->high))
        snprintf(buffer, size, "%s dB (at least %s)", value, low);
    else
        snprintf(buffer, size, "%s dB (%s to %s)", value, low, high);
}

bool doubts_tell_without(const struct compare_job *job, const struct grid *with, const struct grid *without,
                         enum doubt doubt, const struct pairing *pairing, const struct place_of_comparison *place)
{
    const struct campaign *campaign = job->source.campaign;
    size_t left_out = run_count(with, pairing) - run_count(without, pairing);
    struct difference all, rest;
    if (left_out == 0)
        return true;
    if (!pair_difference(job, with, pairing, place, &all) || !pair_difference(job, without, pairing, place, &rest))
        return false;
    if (!all.is_given)
        return true;
    char before[160], after[160];
    interval_text(&all, before, sizeof before);
    interval_text(&rest, after, sizeof after);
    const char *variant = campaign->variants[pairing->variant].name;
    const char *reference = campaign->variants[pairing->reference].name;
    char microphone[132], where[152] = "";
    pairing_microphones(campaign, pairing, microphone, sizeof microphone);
    if (campaign->microphone_count > 1)
        snprintf(where, sizeof where, ", microphone %s", microphone);
    char runs[60];
    snprintf(runs, sizeof runs, "%zu %s%s%s", left_out, doubt == DOUBT_FINDING ? "doubtful " : "",
             left_out == 1 ? "run" : "runs", doubt == DOUBT_FAR_OFF ? " far off" : "");
    if (rest.is_given)
        return collect_remark(job->out, job->err, "%s against %s at %.4g %s%s: %s with %s, %s without.", variant,
                              reference, place->value, operating_unit(with->at), where, before, runs, after);
    return collect_remark(job->out, job->err,
                          "%s against %s at %.4g %s%s: %s leans on %s; without them there is no answer (%s).", variant,
                          reference, place->value, operating_unit(with->at), where, before, runs, rest.reason);
}
