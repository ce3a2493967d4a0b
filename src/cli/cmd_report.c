/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/memory.h"
#include "base/nearest.h"
#include "base/pool.h"
#include "base/text.h"
#include "cli/command_line.h"
#include "cli/log_doubts.h"
#include "cli/measure_choices.h"
#include "cli/message.h"
#include "cli/output_folder.h"
#include "cli/progress.h"
#include "cli/run_list.h"
#include "compare/results.h"
#include "measure/campaign_measure.h"
#include "report/report.h"

#include <stdlib.h>
#include <string.h>

struct report_arguments {
    char *output, *reference, *formats, *from;
    int jobs, bands, field;
    bool json, quiet, strict;
};

static const struct option_row report_rows[] = {
    VALUE_ROW(VALUE_TEXT, struct report_arguments, output, "output", 'o', "DIR", 0, 4000,
              "folder for the report; default: thrum-report"),
    VALUE_ROW(VALUE_TEXT, struct report_arguments, formats, "formats", 0, "LIST", 0, 40,
              "what to write, of pdf,html,json,csv; default: all four"),
    VALUE_ROW(VALUE_TEXT, struct report_arguments, reference, "reference", 0, "VARIANT", 0, 60,
              "the variant that others are compared with; default: the campaign's"),
    VALUE_ROW(VALUE_TEXT, struct report_arguments, from, "from", 0, "DIR", 0, 4000,
              "take the results of thrum measure --json in DIR in place of the recordings"),
    BANDS_ROW(struct report_arguments),
    FIELD_ROW(struct report_arguments),
    VALUE_ROW(VALUE_COUNT, struct report_arguments, jobs, "jobs", 'j', "N", 1, 1024,
              "recordings measured side by side; default: the processors there are"),
    FLAG_ROW(struct report_arguments, json, "json", 0, "results to standard output instead of the table"),
    FLAG_ROW(struct report_arguments, strict, "strict", 0, "status 1 when a run is unusable"),
    FLAG_ROW(struct report_arguments, quiet, "quiet", 'q', "no table, no progress line"),
};

static const struct option_group report_groups[] = {
    { "Options", report_rows, COUNT_OF(report_rows) },
    { 0 },
};

static bool parse_formats(const char *list, struct report_formats *formats, struct err_list *errors)
{
    static const char *const names[] = { "pdf", "html", "json", "csv" };
    bool *const members[] = { &formats->pdf, &formats->html, &formats->json, &formats->csv };
    *formats = (struct report_formats){ 0 };
    for (const char *at = list;; at++) {
        size_t length = strcspn(at, ","), i = 0;
        while (i < COUNT_OF(names) && (strlen(names[i]) != length || strncmp(at, names[i], length) != 0))
            i++;
        if (i == COUNT_OF(names)) {
            err_list_at(errors, ERR_USAGE, NULL,
                        "--formats knows no \"%.*s\"; it takes pdf, html, json and csv, with commas", (int)length, at);
            return false;
        }
        *members[i] = true;
        at += length;
        if (*at == '\0')
            return true;
    }
}

static bool find_reference(const struct campaign *campaign, const char *name, size_t *index, struct err_list *errors)
{
    *index = campaign->reference;
    if (!name || campaign_find_variant(campaign, name, index))
        return true;
    err_list_at(errors, ERR_NAME, NULL, "--reference: no variant \"%s\" in %s", text_short(name).text,
                campaign->yaml_path);
    return false;
}

static const char *folder_of(const struct report_arguments *arguments)
{
    return arguments->output ? arguments->output : "thrum-report";
}

static bool measure_all(const struct campaign *campaign, const struct report_arguments *arguments,
                        struct run_list *runs, struct err_list *errors)
{
    struct err err;
    struct progress progress;
    const struct measure_progress watch = { progress_done, &progress };
    const struct measure_plan plan = { .bands_per_octave = bands_per_octave(arguments->bands),
                                       .is_diffuse = arguments->field == 1,
                                       .job_count = job_count(arguments->jobs),
                                       .progress = &watch };
    if (arguments->from)
        return run_list_read_folder(arguments->from, campaign, &plan, runs, errors);
    progress_start(&progress, arguments->quiet);
    bool ok = run_list_new(runs, campaign->run_count, &err) && campaign_measure(campaign, &plan, runs->items, &err);
    progress_end(&progress);
    if (!ok)
        err_list_add(errors, &err);
    return ok;
}

/* Writes the report, and into `out` what goes to standard output. */
static bool write_all(const struct results *results, const struct report_arguments *arguments,
                      const struct report_formats *formats, struct text *out, struct err *err)
{
    struct text paths = { 0 };
    bool ok = report_write(results, formats, folder_of(arguments), &paths, err);
    if (ok && arguments->json)
        ok = report_json(results, out, err);
    else if (ok && !arguments->quiet)
        report_terminal(results, out);
    if (ok && !arguments->json && !arguments->quiet && paths.length > 0)
        text_addf(out, "\nwritten:\n%s", paths.data);
    text_clear(&paths);
    return ok;
}

static bool any_unusable(const struct results *results)
{
    for (size_t i = 0; i < results->run_count; i++)
        if (run_result_verdict(&results->runs[i]) == SEVERITY_UNUSABLE)
            return true;
    return false;
}

static enum exit_status report_campaign(const struct campaign *campaign, const struct report_arguments *arguments,
                                        const struct report_formats *formats)
{
    struct err_list errors = { 0 };
    struct err err = { 0 };
    struct run_list runs = { 0 };
    struct results results = { .campaign = campaign };
    struct text out = { 0 };
    bool ok = find_reference(campaign, arguments->reference, &results.reference, &errors) &&
              (output_folder_check(folder_of(arguments), &err) || (err_list_add(&errors, &err), false));
    ok = ok && measure_all(campaign, arguments, &runs, &errors);
    for (size_t i = 0; ok && i < runs.count; i++)
        ok = log_doubts_add(campaign, i, &runs.items[i].findings, &err) || (err_list_add(&errors, &err), false);
    results.runs = runs.items;
    results.run_count = runs.count;
    if (ok) {
        results.is_absolute = results_are_absolute(runs.items, runs.count);
        const struct compare_request request = { campaign, results.reference };
        ok = (compare_runs(&request, runs.items, runs.count, &results.comparisons, &err) &&
              write_all(&results, arguments, formats, &out, &err)) ||
             (err_list_add(&errors, &err), false);
    }
    enum exit_status status = STATUS_DONE;
    if (!ok) {
        message_errors(&errors);
        status = errors.count ? status_of(errors.items[0].kind) : STATUS_FAILED;
    } else if (!print_text(&out)) {
        status = STATUS_FAILED;
    } else if (arguments->strict && any_unusable(&results)) {
        message("a run is unusable, and --strict was given");
        status = STATUS_FAILED;
    }
    text_clear(&out);
    comparisons_clear(&results.comparisons);
    run_list_clear(&runs);
    return status;
}

static enum exit_status run(const struct command *command, int argc, char **argv)
{
    struct report_arguments arguments = { .bands = BANDS_DEFAULT };
    struct report_formats formats = { true, true, true, true };
    struct operands operands;
    struct err_list errors = { 0 };
    struct campaign campaign = { 0 };
    enum exit_status status;
    if (command_line_take(command, argc, argv, &arguments, NULL, &operands, &status)) {
        if ((arguments.formats && !parse_formats(arguments.formats, &formats, &errors)) ||
            !campaign_read(operands.items[0], arguments.from != NULL, &campaign, &errors))
            status = message_wrong_use(&errors);
        else
            status = report_campaign(&campaign, &arguments, &formats);
    }
    campaign_clear(&campaign);
    free(arguments.output);
    free(arguments.reference);
    free(arguments.formats);
    free(arguments.from);
    return status;
}

const struct command command_report = {
    .name = "report",
    .arguments = "CAMPAIGN [-o DIR]",
    .takes = "one campaign",
    .least_operands = 1,
    .most_operands = 1,
    .summary = "measure every run of a campaign, compare the variants, write the report",
    .groups = report_groups,
    .examples = "  thrum report reed-bed -o reed-bed-report\n"
                "  thrum report reed-bed/campaign.yaml --reference stock2 --formats pdf,csv\n",
    .run = run,
};
