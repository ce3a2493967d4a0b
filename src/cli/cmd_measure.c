/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "base/absent.h"
#include "base/files.h"
#include "base/memory.h"
#include "base/pool.h"
#include "cli/command_line.h"
#include "cli/measure_choices.h"
#include "cli/message.h"
#include "cli/operands.h"
#include "cli/output_folder.h"
#include "cli/progress.h"
#include "cli/result_files.h"
#include "measure/background.h"
#include "measure/campaign_measure.h"
#include "measure/measure.h"
#include "measure/run_json.h"
#include "report/report.h"

#include <limits.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

struct measure_arguments {
    struct rotor_choice rotor;
    double rpm, rpm_tolerance_pct, motor_rpm;
    double full_scale_db, distance_m, reference_distance_m, start_s, end_s;
    char *background, *output;
    int channel, tach_channel, jobs, bands, field;
    double tach_pulses_per_rev;
    bool json, quiet, strict;
};

#define MEASURE_NUMBER(member, name, argument, low, high, help)                                                        \
    VALUE_ROW(VALUE_NUMBER, struct measure_arguments, member, name, 0, argument, low, high, help)
#define MEASURE_COUNT(member, name, letter, low, high, help)                                                           \
    VALUE_ROW(VALUE_COUNT, struct measure_arguments, member, name, letter, "N", low, high, help)
#define MEASURE_TEXT(member, name, letter, argument, help)                                                             \
    VALUE_ROW(VALUE_TEXT, struct measure_arguments, member, name, letter, argument, 0, 4000, help)

static const struct option_row measure_rows[] = {
    MEASURE_NUMBER(full_scale_db, "full-scale-db", "DB", FULL_SCALE_LEAST_DB, FULL_SCALE_MOST_DB,
                   "level of a full-scale sine, dB re 20 µPa; default: none, levels are dBFS"),
    MEASURE_TEXT(background, "background", 0, "FILE", "recording of the background, same gain and channel"),
    MEASURE_NUMBER(distance_m, "distance-m", "M", DISTANCE_LEAST_M, DISTANCE_MOST_M,
                   "from microphone to rotor; default: no correction"),
    MEASURE_NUMBER(reference_distance_m, "reference-distance-m", "M", DISTANCE_LEAST_M, DISTANCE_MOST_M,
                   "distance that levels are told for; default: 1"),
    MEASURE_NUMBER(start_s, "start-s", "S", 0, SECONDS_MOST, "start of the part to use; default: the steady part"),
    MEASURE_NUMBER(end_s, "end-s", "S", 0, SECONDS_MOST, "end of the part to use; default: the steady part"),
    MEASURE_COUNT(channel, "channel", 0, 1, CHANNEL_MOST, "the microphone's channel; default: 1"),
    MEASURE_COUNT(tach_channel, "tach-channel", 0, 1, CHANNEL_MOST, "the tachometer's channel; default: none"),
    MEASURE_NUMBER(tach_pulses_per_rev, "tach-pulses-per-rev", "X", TACH_PULSES_LEAST, TACH_PULSES_MOST,
                   "pulses per turn of the rotor; default: 1"),
    BANDS_ROW(struct measure_arguments),
    FIELD_ROW(struct measure_arguments),
    MEASURE_COUNT(jobs, "jobs", 'j', 1, 1024, "recordings measured side by side; default: the processors there are"),
    MEASURE_TEXT(output, "output", 'o', "DIR", "write one results file a recording into DIR, for report --from"),
    FLAG_ROW(struct measure_arguments, json, "json", 0, "results to standard output instead of the table"),
    FLAG_ROW(struct measure_arguments, strict, "strict", 0, "status 1 when a recording is unusable"),
    FLAG_ROW(struct measure_arguments, quiet, "quiet", 'q', "no table, no progress line"),
};

static const struct option_row speed_rows[] = {
    SPEED_ROW(struct measure_arguments, rpm, "rpm", "rotor speed, rev/min; default: from the sound"),
    MEASURE_NUMBER(rpm_tolerance_pct, "rpm-tolerance", "PCT", RPM_TOLERANCE_LEAST_PCT, RPM_TOLERANCE_MOST_PCT,
                   "how far the speed may be off, %; default: 2"),
    SPEED_ROW(struct measure_arguments, motor_rpm, "motor-rpm", "motor speed where the drive has a ratio"),
    MEASURE_TEXT(rotor.campaign_path, "campaign", 0, "CAMPAIGN",
                 "measure recordings as this campaign's files say: speed, calibration, background, part"),
    MEASURE_TEXT(rotor.variant_name, "variant", 0, "NAME", "take only the rotor from the campaign"),
};

static const struct option_group measure_groups[] = {
    { "Options", measure_rows, COUNT_OF(measure_rows) },
    { "Speed, or a campaign that knows it", speed_rows, COUNT_OF(speed_rows) },
    { 0 },
};

/* Single recordings, side by side. */
struct batch {
    char **files;
    const struct measure_arguments *arguments;
    const struct variant *variant;
    struct gain gain;
    const struct figures *background;
    struct findings findings;
    struct run_result *runs;
    struct err *errors;
    size_t count, done_count;
    struct progress progress;
    pthread_mutex_t progress_lock;
};

static void measure_one(void *context, size_t index)
{
    struct batch *batch = context;
    const struct measure_arguments *arguments = batch->arguments;
    struct run_result *out = &batch->runs[index];
    struct measure_request request;
    measure_request_init(&request);
    request.path = batch->files[index];
    request.variant = batch->variant;
    request.gain = batch->gain;
    request.gain_findings = &batch->findings;
    request.background = batch->background;
    request.distance_m = arguments->distance_m;
    request.reference_distance_m = is_given(arguments->distance_m) ? arguments->reference_distance_m : ABSENT;
    request.log.rpm = out->rpm_given = arguments->rpm;
    request.log.rpm_tolerance_pct = out->rpm_tolerance_pct = arguments->rpm_tolerance_pct;
    request.log.motor_rpm = out->motor_rpm = arguments->motor_rpm;
    request.log.tach_channel = arguments->tach_channel - 1;
    request.log.tach_pulses_per_rev = arguments->tach_pulses_per_rev;
    request.channel = arguments->channel - 1;
    request.start_s = arguments->start_s;
    request.end_s = arguments->end_s;
    request.bands_per_octave = bands_per_octave(arguments->bands);
    request.is_diffuse = arguments->field == 1;
    struct err *err = &batch->errors[index];
    if (!(out->file = memory_copy_text(batch->files[index])) ||
        (batch->variant && batch->variant->name && !(out->variant = memory_copy_text(batch->variant->name))))
        err_memory(err);
    else if (measure_recording(&request, out, err) && run_result_settle(out, err))
        *err = (struct err){ 0 };
    pthread_mutex_lock(&batch->progress_lock);
    progress_done(&batch->progress, ++batch->done_count, batch->count, request.path);
    pthread_mutex_unlock(&batch->progress_lock);
}

static bool measure_files(const struct measure_arguments *arguments, const struct variant *variant,
                          const struct operands *files, struct run_list *runs, struct err *err)
{
    struct figures background;
    figures_init(&background);
    struct batch batch = { .files = files->items,
                           .arguments = arguments,
                           .variant = variant,
                           .gain = gain_of_full_scale(arguments->full_scale_db) };
    bool ok = run_list_new(runs, (size_t)files->count, err);
    batch.runs = runs->items;
    if (ok && !(batch.errors = memory_new(runs->count, sizeof *batch.errors)))
        ok = err_memory(err);
    if (ok && arguments->background) {
        ok = background_measure(arguments->background, arguments->channel - 1, &batch.gain, &background,
                                &batch.findings, err);
        batch.background = &background;
    }
    if (ok) {
        batch.count = runs->count;
        progress_start(&batch.progress, arguments->quiet);
        pthread_mutex_init(&batch.progress_lock, NULL);
        pool_run(job_count(arguments->jobs), runs->count, measure_one, &batch);
        pthread_mutex_destroy(&batch.progress_lock);
        progress_end(&batch.progress);
    }
    for (size_t i = 0; ok && i < runs->count; i++) {
        if (batch.errors[i].kind != ERR_NONE) {
            *err = batch.errors[i];
            ok = false;
        }
    }
    findings_clear(&batch.findings);
    figures_clear(&background);
    free(batch.errors);
    return ok;
}

/* The rows of the log that a file on the command line means: its name as in the log, or its path. */
static bool rows_of_file(const struct campaign *campaign, const char *file, size_t *selection, size_t *count,
                         struct err *err)
{
    size_t before = *count;
    char *real = realpath(file, NULL);
    for (size_t i = 0; i < campaign->run_count; i++) {
        char *path = files_join(campaign->folder, campaign->runs[i].file);
        char *real_run = path ? realpath(path, NULL) : NULL;
        if (strcmp(campaign->runs[i].file, file) == 0 || (real && real_run && strcmp(real, real_run) == 0))
            selection[(*count)++] = i;
        free(path);
        free(real_run);
    }
    free(real);
    return *count > before ||
           err_file(err, ERR_NAME, file, "not in the run log of this campaign; add a row, or use --variant");
}

static bool measure_rows_of_campaign(const struct measure_arguments *arguments, const struct campaign *campaign,
                                     const struct operands *files, struct run_list *runs, struct err *err)
{
    size_t *selection = memory_new(campaign->run_count * (size_t)files->count, sizeof *selection), count = 0;
    bool ok = selection || err_memory(err);
    for (int i = 0; ok && i < files->count; i++)
        ok = rows_of_file(campaign, files->items[i], selection, &count, err);
    struct progress progress;
    progress_start(&progress, arguments->quiet);
    const struct measure_progress watch = { progress_done, &progress };
    const struct measure_plan plan = { .selection = selection,
                                       .selection_count = count,
                                       .bands_per_octave = bands_per_octave(arguments->bands),
                                       .is_diffuse = arguments->field == 1,
                                       .job_count = job_count(arguments->jobs),
                                       .progress = &watch };
    ok = ok && run_list_new(runs, count, err) && campaign_measure(campaign, &plan, runs->items, err);
    progress_end(&progress);
    free(selection);
    return ok;
}

static enum exit_status show(const struct run_list *runs, const struct measure_arguments *arguments)
{
    struct err err;
    struct text out = { 0 };
    enum exit_status status = STATUS_DONE;
    bool ok = !arguments->output || result_files_write(runs, arguments->output, &err);
    if (ok && arguments->json)
        ok = run_list_write(runs->items, runs->count, &out, &err);
    else if (ok && !arguments->quiet)
        report_terminal_runs(runs->items, runs->count, &out);
    if (!ok)
        message_err(&err);
    if (!ok || !print_text(&out))
        status = STATUS_FAILED;
    for (size_t i = 0; i < runs->count; i++) {
        if (runs->items[i].error[0]) {
            message("%s: %s", runs->items[i].file, runs->items[i].error);
            status = STATUS_FAILED;
        } else if (arguments->strict && run_result_verdict(&runs->items[i]) == SEVERITY_UNUSABLE) {
            message("%s: unusable, and --strict was given", runs->items[i].file);
            status = STATUS_FAILED;
        }
    }
    text_clear(&out);
    return status;
}

/* What a row of the log is measured by stands in the campaign's files, and nowhere else. */
static bool row_alone_tells(const struct measure_arguments *arguments, struct err_list *errors)
{
    const struct {
        const char *name;
        bool is_given;
    } options[] = {
        { "full-scale-db", is_given(arguments->full_scale_db) },
        { "background", arguments->background },
        { "distance-m", is_given(arguments->distance_m) },
        { "reference-distance-m", is_given(arguments->reference_distance_m) },
        { "start-s", is_given(arguments->start_s) },
        { "end-s", is_given(arguments->end_s) },
        { "channel", arguments->channel > 0 },
        { "tach-channel", arguments->tach_channel > 0 },
        { "tach-pulses-per-rev", is_given(arguments->tach_pulses_per_rev) },
        { "rpm", is_given(arguments->rpm) },
        { "rpm-tolerance", is_given(arguments->rpm_tolerance_pct) },
        { "motor-rpm", is_given(arguments->motor_rpm) },
    };
    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        if (options[i].is_given)
            err_list_at(errors, ERR_USAGE, NULL,
                        "--%s does nothing with --campaign, whose files tell it; write it there, or add --variant to "
                        "take only the rotor from them",
                        options[i].name);
    return errors->count == 0;
}

static void fill_defaults(struct measure_arguments *arguments)
{
    if (!is_given(arguments->rpm_tolerance_pct))
        arguments->rpm_tolerance_pct = 2;
    if (!is_given(arguments->reference_distance_m))
        arguments->reference_distance_m = 1;
    if (!is_given(arguments->tach_pulses_per_rev))
        arguments->tach_pulses_per_rev = 1;
    if (arguments->channel == 0)
        arguments->channel = 1;
}

/* What can be known to go wrong before anything is measured. */
static bool can_begin(const struct measure_arguments *arguments, bool by_rows, const struct operands *files,
                      struct err *err)
{
    if (!operands_are_text(files, err))
        return false;
    return !arguments->output ||
           ((by_rows || result_files_are_apart(files, err)) && output_folder_check(arguments->output, err));
}

static enum exit_status measure(struct measure_arguments *arguments, const struct operands *files)
{
    struct err_list errors = { 0 };
    struct err err = { 0 };
    struct campaign campaign = { 0 };
    struct run_list runs = { 0 };
    bool has_campaign = false;
    const struct variant *variant = NULL;
    bool by_rows = arguments->rotor.campaign_path && !arguments->rotor.variant_name;
    if ((by_rows && !row_alone_tells(arguments, &errors)) ||
        !rotor_choice_resolve(&arguments->rotor, false, &campaign, &has_campaign, &variant, &errors)) {
        campaign_clear(&campaign);
        return message_wrong_use(&errors);
    }
    fill_defaults(arguments);
    bool ok = can_begin(arguments, by_rows, files, &err) &&
              (by_rows ? measure_rows_of_campaign(arguments, &campaign, files, &runs, &err)
                       : measure_files(arguments, variant, files, &runs, &err));
    if (!ok)
        message_err(&err);
    enum exit_status status = ok ? show(&runs, arguments) : status_of(err.kind);
    run_list_clear(&runs);
    campaign_clear(&campaign);
    return status;
}

static enum exit_status run(const struct command *command, int argc, char **argv)
{
    struct measure_arguments arguments = { .rpm = ABSENT,
                                           .rpm_tolerance_pct = ABSENT,
                                           .motor_rpm = ABSENT,
                                           .full_scale_db = ABSENT,
                                           .distance_m = ABSENT,
                                           .reference_distance_m = ABSENT,
                                           .start_s = ABSENT,
                                           .end_s = ABSENT,
                                           .bands = BANDS_DEFAULT,
                                           .tach_pulses_per_rev = ABSENT };
    rotor_choice_init(&arguments.rotor);
    struct operands operands;
    enum exit_status status;
    if (command_line_take(command, argc, argv, &arguments, &arguments.rotor, &operands, &status))
        status = measure(&arguments, &operands);
    rotor_choice_clear(&arguments.rotor);
    free(arguments.background);
    free(arguments.output);
    return status;
}

const struct command command_measure = {
    .name = "measure",
    .arguments = "FILE... [--campaign CAMPAIGN]",
    .takes = "at least one recording",
    .least_operands = 1,
    .most_operands = INT_MAX,
    .summary = "measure single recordings, no campaign needed",
    .groups = measure_groups,
    .takes_rotor = true,
    .examples = "  thrum measure hover.wav --blades 2 --rpm 4200 --full-scale-db 121.4\n"
                "  thrum measure --campaign reed-bed --json reed-bed/stock2-4200-a.wav >stock2-4200-a.json\n",
    .run = run,
};
