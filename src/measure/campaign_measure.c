/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/campaign_measure.h"

#include "base/absent.h"
#include "base/files.h"
#include "base/memory.h"
#include "base/pool.h"
#include "base/text.h"
#include "campaign/text_check.h"
#include "measure/background.h"
#include "measure/measure.h"
#include "measure/run_json.h"

#include <pthread.h>
#include <stdlib.h>

/* A microphone as recorded on one channel. */
struct chain {
    size_t microphone;
    int channel;
    struct gain gain;
    struct findings findings;
    struct figures background;
    bool has_background, failed;
    struct err err;
};

struct work {
    const struct campaign *campaign;
    const struct measure_plan *plan;
    size_t count; /* runs to measure */
    struct chain *chains;
    size_t chain_count;
    struct run_result *runs;
    struct err *errors; /* of each run; kind ERR_NONE where all is well */
    pthread_mutex_t progress_lock;
    size_t done_count;
};

static const struct run *selected(const struct work *work, size_t index)
{
    const size_t *selection = work->plan->selection;
    return &work->campaign->runs[selection ? selection[index] : index];
}

static struct chain *chain_of(struct work *work, const struct run *run)
{
    for (size_t i = 0; i < work->chain_count; i++)
        if (work->chains[i].microphone == run->microphone && work->chains[i].channel == run->channel)
            return &work->chains[i];
    return NULL;
}

static bool find_chains(struct work *work, struct err *err)
{
    work->chains = memory_new(work->count, sizeof *work->chains);
    if (!work->chains)
        return err_memory(err);
    for (size_t i = 0; i < work->count; i++) {
        const struct run *run = selected(work, i);
        if (!chain_of(work, run))
            work->chains[work->chain_count++] =
                (struct chain){ .microphone = run->microphone, .channel = run->channel };
    }
    return true;
}

static void measure_chain(void *context, size_t index)
{
    struct work *work = context;
    struct chain *chain = &work->chains[index];
    const struct microphone *microphone = &work->campaign->microphones[chain->microphone];
    const char *folder = work->campaign->folder;
    figures_init(&chain->background);
    chain->failed =
        !gain_of_microphone(microphone, folder, chain->channel, &chain->gain, &chain->findings, &chain->err);
    if (chain->failed || !microphone->background)
        return;
    chain->has_background = background_of_microphone(work->campaign, chain->microphone, chain->channel, &chain->gain,
                                                     &chain->background, &chain->findings, &chain->err);
    chain->failed = !chain->has_background && (chain->err.kind == ERR_MEMORY || chain->err.kind == ERR_INTERNAL);
    /* Levels without the background taken off are better than none. */
    if (!chain->has_background && !chain->failed)
        findings_add(&chain->findings, "background-unusable", SEVERITY_DOUBTFUL, ABSENT,
                     "the background recording %s can't be used, so no background is taken off: %s",
                     text_short(microphone->background).text, chain->err.text);
    if (chain->findings.failed)
        chain->failed = !err_memory(&chain->err);
}

static bool copy_text(char **to, const char *from, struct err *err)
{
    if (from && !(*to = memory_copy_text(from)))
        return err_memory(err);
    return true;
}

static bool copy_settings(const struct campaign *campaign, const struct measure_plan *plan, size_t index,
                          struct settings *out, struct err *err)
{
    settings_add_run(out, campaign, index);
    settings_add(out, "bands_per_octave", excerpt_number(plan->bands_per_octave, 3).text);
    settings_add(out, "field", plan->is_diffuse ? "diffuse" : "free");
    return !out->failed || err_memory(err);
}

bool run_result_identify(const struct campaign *campaign, const struct measure_plan *plan, size_t index,
                         struct run_result *out, struct err *err)
{
    const struct run *run = &campaign->runs[index];
    const struct variant *variant = &campaign->variants[run->variant];
    out->row = run->row;
    out->rpm_given = run->rpm;
    out->rpm_tolerance_pct = run->rpm_tolerance_pct;
    out->motor_rpm = run->motor_rpm;
    out->throttle_pct = run->throttle_pct;
    out->thrust_n = run->thrust_n;
    out->power_w = run->power_w;
    if (!copy_text(&out->file, run->file, err) || !copy_text(&out->variant, variant->name, err) ||
        !copy_text(&out->microphone, campaign->microphones[run->microphone].name, err) ||
        !copy_text(&out->note, run->note, err) || !copy_settings(campaign, plan, index, &out->settings, err))
        return false;
    if (run->note_count > 0 && !(out->notes = memory_new(run->note_count, sizeof *out->notes)))
        return err_memory(err);
    for (size_t i = 0; i < run->note_count; i++) {
        out->note_count = i + 1;
        if (!copy_text(&out->notes[i].column, run->notes[i].column, err) ||
            !copy_text(&out->notes[i].value, run->notes[i].value, err))
            return false;
    }
    return true;
}

/* What the campaign says of a run, as a request; `path` is borrowed. */
static struct measure_request request_of(struct work *work, const struct run *run, const char *path)
{
    const struct campaign *campaign = work->campaign;
    const struct microphone *microphone = &campaign->microphones[run->microphone];
    const struct chain *chain = chain_of(work, run);
    return (struct measure_request){ .path = path,
                                     .variant = &campaign->variants[run->variant],
                                     .gain = chain->gain,
                                     .gain_findings = &chain->findings,
                                     .background = chain->has_background ? &chain->background : NULL,
                                     .distance_m = microphone->distance_m,
                                     .reference_distance_m = campaign->reference_distance_m,
                                     .height_m = microphone->height_m,
                                     .source_height_m = microphone->source_height_m,
                                     .air = campaign->air,
                                     .log = { .rpm = run->rpm,
                                              .rpm_tolerance_pct = run->rpm_tolerance_pct,
                                              .motor_rpm = run->motor_rpm,
                                              .voltage_v = run->voltage_v,
                                              .tach_channel = run->tach_channel,
                                              .tach_pulses_per_rev = run->tach_pulses_per_rev },
                                     .channel = run->channel,
                                     .start_s = run->start_s,
                                     .end_s = run->end_s,
                                     .bands_per_octave = work->plan->bands_per_octave,
                                     .is_diffuse = work->plan->is_diffuse };
}

static bool measure_one(struct work *work, size_t index, struct err *err)
{
    const struct campaign *campaign = work->campaign;
    const struct run *run = selected(work, index);
    struct run_result *out = &work->runs[index];
    if (!run_result_identify(campaign, work->plan, (size_t)(run - campaign->runs), out, err))
        return false;
    char *path = files_join(campaign->folder, run->file);
    if (!path)
        return err_memory(err);
    struct measure_request request = request_of(work, run, path);
    bool ok = measure_recording(&request, out, err);
    free(path);
    return ok && run_result_settle(out, err);
}

static void measure_run(void *context, size_t index)
{
    struct work *work = context;
    if (!measure_one(work, index, &work->errors[index]) && work->errors[index].kind == ERR_NONE)
        err_set(&work->errors[index], ERR_INTERNAL, "a run failed without saying why");
    pthread_mutex_lock(&work->progress_lock);
    work->done_count++;
    const struct measure_progress *progress = work->plan->progress;
    if (progress && progress->done)
        progress->done(progress->context, work->done_count, work->count, selected(work, index)->file);
    pthread_mutex_unlock(&work->progress_lock);
}

static bool first_error(const struct work *work, struct err *err)
{
    for (size_t i = 0; i < work->count; i++) {
        if (work->errors[i].kind != ERR_NONE) {
            *err = work->errors[i];
            return false;
        }
    }
    return true;
}

bool campaign_measure(const struct campaign *campaign, const struct measure_plan *plan, struct run_result *runs,
                      struct err *err)
{
    struct work work = { .campaign = campaign,
                         .plan = plan,
                         .count = plan->selection ? plan->selection_count : campaign->run_count,
                         .runs = runs };
    work.errors = memory_new(work.count, sizeof *work.errors);
    bool ok = (work.errors || err_memory(err)) && find_chains(&work, err);
    if (ok) {
        pool_run(plan->job_count, work.chain_count, measure_chain, &work);
        for (size_t i = 0; ok && i < work.chain_count; i++) {
            if (work.chains[i].failed) {
                *err = work.chains[i].err;
                ok = false;
            }
        }
    }
    if (ok) {
        pthread_mutex_init(&work.progress_lock, NULL);
        pool_run(plan->job_count, work.count, measure_run, &work);
        pthread_mutex_destroy(&work.progress_lock);
        ok = first_error(&work, err);
    }
    for (size_t i = 0; i < work.chain_count; i++) {
        findings_clear(&work.chains[i].findings);
        figures_clear(&work.chains[i].background);
    }
    free(work.chains);
    free(work.errors);
    return ok;
}
