/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/files.h"
#include "base/memory.h"
#include "base/num.h"
#include "base/text.h"
#include "base/units.h"
#include "campaign/campaign.h"
#include "cli/command_line.h"
#include "cli/json_text.h"
#include "cli/log_doubts.h"
#include "cli/message.h"
#include "cli/operands.h"
#include "measure/background.h"
#include "measure/json_fields.h"
#include "meters/ground.h"
#include "recording/gain.h"
#include "recording/survey.h"

#include <jansson.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

struct check_arguments {
    bool json, quiet;
};

static const struct option_row check_rows[] = {
    FLAG_ROW(struct check_arguments, json, "json", 0, "findings to standard output as JSON"),
    FLAG_ROW(struct check_arguments, quiet, "quiet", 'q', "nothing but the exit status"),
};

static const struct option_group check_groups[] = {
    { "Options", check_rows, COUNT_OF(check_rows) },
    { 0 },
};

/* What was found of one recording. */
struct checked {
    char *name; /* as the user named it */
    int row;
    struct survey survey;
    struct findings findings;
};

struct check {
    struct checked *items;
    size_t count;
};

static void check_clear(struct check *check)
{
    for (size_t i = 0; i < check->count; i++) {
        free(check->items[i].name);
        findings_clear(&check->items[i].findings);
    }
    free(check->items);
    *check = (struct check){ 0 };
}

/* Surveys one file; what can't be read is a finding of it too. */
static bool survey_file(const char *path, const struct survey_request *request, struct checked *out, struct err *err)
{
    struct err why;
    struct recording *recording = recording_open(path, &why);
    bool ok = recording != NULL;
    if (ok && request->channel >= recording_info(recording)->channel_count)
        ok = err_file(&why, ERR_AUDIO, path, "has no channel %d, only %d", request->channel + 1,
                      recording_info(recording)->channel_count);
    ok = ok && survey_recording(recording, request, &out->survey, &out->findings, &why);
    recording_free(recording);
    if (!ok && why.kind == ERR_MEMORY)
        return err_memory(err);
    if (!ok)
        findings_add(&out->findings, "unreadable", SEVERITY_UNUSABLE, ABSENT, "could not be read: %s", why.text);
    return !out->findings.failed || err_memory(err);
}

static struct survey_request request_of(int channel, const struct gain *gain)
{
    return (struct survey_request){ .channel = channel,
                                    .start_s = ABSENT,
                                    .end_s = ABSENT,
                                    .gain = *gain,
                                    .expected_blade_hz = ABSENT,
                                    .lowest_band_hz = 20 };
}

static bool check_files(char *const *files, size_t count, struct check *check, struct err *err)
{
    if (!(check->items = memory_new(count, sizeof *check->items)))
        return err_memory(err);
    const struct gain gain = gain_of_full_scale(ABSENT);
    const struct survey_request request = request_of(0, &gain);
    for (size_t i = 0; i < count; i++) {
        struct checked *item = &check->items[check->count++];
        if (!(item->name = memory_copy_text(files[i])))
            return err_memory(err);
        if (!survey_file(files[i], &request, item, err))
            return false;
    }
    return true;
}

/* A microphone as recorded on one channel. */
struct chain {
    struct gain gain;
    struct figures background;
    bool has_background;
};

/* A calibration or background that can't be used is told as a finding of the microphone's own line. */
static bool check_microphone(const struct campaign *campaign, size_t index, int channel, struct check *check,
                             struct chain *chain, struct err *err)
{
    const struct microphone *microphone = &campaign->microphones[index];
    struct checked *item = &check->items[check->count++];
    struct text name = { 0 };
    struct err why;
    text_addf(&name, "microphone %s", microphone->name);
    if (channel > 0)
        text_addf(&name, ", channel %d", channel + 1);
    if (name.failed)
        return err_memory(err);
    item->name = name.data;
    if (!gain_of_microphone(microphone, campaign->folder, channel, &chain->gain, &item->findings, &why)) {
        findings_add(&item->findings, "calibration-unusable", SEVERITY_UNUSABLE, ABSENT, "%s: %s", why.file, why.text);
        chain->gain = gain_of_full_scale(ABSENT);
    }
    if (!microphone->background)
        return true;
    chain->has_background =
        background_of_microphone(campaign, index, channel, &chain->gain, &chain->background, &item->findings, &why);
    if (!chain->has_background && why.kind == ERR_MEMORY)
        return err_memory(err);
    if (!chain->has_background)
        findings_add(&item->findings, "background-unusable", SEVERITY_UNUSABLE, ABSENT,
                     "the background recording %s can't be used: %s", text_short(microphone->background).text,
                     why.text);
    return !item->findings.failed || err_memory(err);
}

/* How far the part that would be used stands above its background, where both can be used. */
static bool compare_background(const struct campaign *campaign, const struct run *run, const struct chain *chain,
                               const char *path, struct checked *item, struct err *err)
{
    struct err why;
    const struct reference_conditions conditions = { .distance_m = campaign->microphones[run->microphone].distance_m,
                                                     .reference_distance_m = campaign->reference_distance_m,
                                                     .air = campaign->air,
                                                     .background = &chain->background };
    if (!chain->has_background || findings_worst(&item->findings) == SEVERITY_UNUSABLE)
        return true;
    bool ok = background_compare(path, run->channel, item->survey.used_start_s, item->survey.used_end_s, &chain->gain,
                                 &conditions, &item->findings, &why);
    if (!ok && why.kind == ERR_MEMORY)
        return err_memory(err);
    if (!ok)
        findings_add(&item->findings, "unreadable", SEVERITY_UNUSABLE, ABSENT, "could not be read: %s", why.text);
    return true;
}

static bool check_run(const struct campaign *campaign, const struct run *run, const struct chain *chain,
                      struct check *check, struct err *err)
{
    struct checked *item = &check->items[check->count++];
    item->row = run->row;
    struct survey_request request = request_of(run->channel, &chain->gain);
    request.start_s = run->start_s;
    request.end_s = run->end_s;
    request.expected_blade_hz = rpm_to_hz(run->rpm) * campaign->variants[run->variant].blades;
    char *path = files_join(campaign->folder, run->file);
    if (!path || !(item->name = memory_copy_text(run->file))) {
        free(path);
        return err_memory(err);
    }
    bool ok = survey_file(path, &request, item, err) && compare_background(campaign, run, chain, path, item, err);
    free(path);
    const struct microphone *microphone = &campaign->microphones[run->microphone];
    const struct place_of_microphone place = { .distance_m = microphone->distance_m,
                                               .height_m = microphone->height_m,
                                               .source_height_m = microphone->source_height_m,
                                               .diameter_m = mm_to_m(campaign->variants[run->variant].diameter_mm),
                                               .blade_hz = request.expected_blade_hz,
                                               .temperature_c = campaign->air.temperature_c };
    ground_find(&place, &item->findings);
    return ok && (!item->findings.failed || err_memory(err));
}

/* The first run that was made as run `index` was: by the same microphone on the same channel. */
static size_t first_alike(const struct campaign *campaign, size_t index)
{
    const struct run *runs = campaign->runs;
    size_t first = 0;
    while (runs[first].microphone != runs[index].microphone || runs[first].channel != runs[index].channel)
        first++;
    return first;
}

static bool check_campaign(const struct campaign *campaign, struct check *check, struct err *err)
{
    check->items = memory_new(2 * campaign->run_count, sizeof *check->items);
    struct chain *chains = memory_new(campaign->run_count, sizeof *chains);
    bool ok = (check->items && chains) || err_memory(err);
    for (size_t i = 0; ok && i < campaign->run_count; i++)
        if (first_alike(campaign, i) == i)
            ok = check_microphone(campaign, campaign->runs[i].microphone, campaign->runs[i].channel, check, &chains[i],
                                  err);
    for (size_t i = 0; ok && i < campaign->run_count; i++)
        ok = check_run(campaign, &campaign->runs[i], &chains[first_alike(campaign, i)], check, err) &&
             log_doubts_add(campaign, i, &check->items[check->count - 1].findings, err);
    for (size_t i = 0; chains && i < campaign->run_count; i++)
        figures_clear(&chains[i].background);
    free(chains);
    return ok;
}

#define ALIKE_MAX 3 /* recordings that each tell a note of one code; what more share is told once, below the table */

/* How many recordings have a note of that code. */
static size_t sharer_count(const struct check *check, const char *code)
{
    size_t count = 0;
    for (size_t i = 0; i < check->count; i++) {
        const struct findings *findings = &check->items[i].findings;
        bool has_it = false;
        for (size_t j = 0; j < findings->count; j++)
            has_it =
                has_it || (findings->items[j].severity == SEVERITY_NOTE && strcmp(findings->items[j].code, code) == 0);
        count += has_it;
    }
    return count;
}

static bool is_shared(const struct check *check, const struct finding *finding)
{
    return finding->severity == SEVERITY_NOTE && sharer_count(check, finding->code) > ALIKE_MAX;
}

static bool is_told(const struct check *check, size_t item, size_t finding)
{
    const char *code = check->items[item].findings.items[finding].code;
    for (size_t i = 0; i <= item; i++) {
        const struct findings *findings = &check->items[i].findings;
        for (size_t j = 0; j < findings->count && (i < item || j < finding); j++)
            if (findings->items[j].severity == SEVERITY_NOTE && strcmp(findings->items[j].code, code) == 0)
                return true;
    }
    return false;
}

static void add_shared(const struct check *check, struct text *out)
{
    for (size_t i = 0; i < check->count; i++)
        for (size_t j = 0; j < check->items[i].findings.count; j++) {
            const struct finding *finding = &check->items[i].findings.items[j];
            if (is_shared(check, finding) && !is_told(check, i, j))
                text_addf(out, "note of %zu recordings (here %s): %s\n", sharer_count(check, finding->code),
                          check->items[i].name, finding->text);
        }
}

static void add_table(const struct check *check, struct text *out)
{
    for (size_t i = 0; i < check->count; i++) {
        const struct checked *item = &check->items[i];
        char start[32], end[32];
        text_addf(out, "%-9s %s", severity_verdict(findings_worst(&item->findings)), item->name);
        if (item->survey.used_end_s > 0)
            text_addf(out, ", %s to %s s", num_format(start, sizeof start, item->survey.used_start_s, 2),
                      num_format(end, sizeof end, item->survey.used_end_s, 2));
        text_add(out, "\n");
        for (size_t j = 0; j < item->findings.count; j++)
            if (!is_shared(check, &item->findings.items[j]))
                text_addf(out, "          %s: %s\n", severity_key(item->findings.items[j].severity),
                          item->findings.items[j].text);
    }
    add_shared(check, out);
}

static json_t *item_json(const struct checked *item)
{
    bool has_part = item->survey.used_end_s > 0;
    return json_pack("{s:s, s:i, s:o, s:[o,o], s:{s:s, s:o}}", "file", item->name, "row", item->row, "duration_s",
                     json_number(has_part ? item->survey.duration_s : ABSENT, 4), "used_s",
                     json_number(has_part ? item->survey.used_start_s : ABSENT, 4),
                     json_number(has_part ? item->survey.used_end_s : ABSENT, 4), "fitness", "verdict",
                     severity_verdict(findings_worst(&item->findings)), "findings", json_findings(&item->findings));
}

static void add_json(const struct check *check, struct text *out)
{
    json_t *list = json_array();
    bool ok = list != NULL;
    for (size_t i = 0; ok && i < check->count; i++)
        ok = json_array_append_new(list, item_json(&check->items[i])) == 0;
    json_t *root = json_pack("{s:o}", "checked", list);
    if (!ok) {
        json_decref(root);
        root = NULL;
    }
    json_text_add(root, out);
}

/* Status 1 where anything is more than a note. */
static enum exit_status show(const struct check *check, const struct check_arguments *arguments)
{
    struct text out = { 0 };
    enum exit_status status = STATUS_DONE;
    for (size_t i = 0; i < check->count; i++)
        if (findings_worst(&check->items[i].findings) != SEVERITY_NOTE)
            status = STATUS_FAILED;
    if (arguments->json)
        add_json(check, &out);
    else if (!arguments->quiet)
        add_table(check, &out);
    if (!print_text(&out))
        status = STATUS_FAILED;
    text_clear(&out);
    return status;
}

static enum exit_status check_all(const struct operands *operands, const struct check_arguments *arguments)
{
    struct err_list errors = { 0 };
    struct err err;
    struct campaign campaign = { 0 };
    struct check check = { 0 };
    enum exit_status status;
    bool is_campaign = campaign_is_path(operands->items[0]);
    if (is_campaign && !campaign_read(operands->items[0], false, &campaign, &errors)) {
        status = message_wrong_use(&errors);
    } else if (is_campaign ? check_campaign(&campaign, &check, &err)
                           : operands_are_text(operands, &err) &&
                                 check_files(operands->items, (size_t)operands->count, &check, &err)) {
        status = show(&check, arguments);
    } else {
        message_err(&err);
        status = status_of(err.kind);
    }
    check_clear(&check);
    campaign_clear(&campaign);
    return status;
}

static enum exit_status run(const struct command *command, int argc, char **argv)
{
    struct check_arguments arguments = { 0 };
    struct operands operands;
    enum exit_status status;
    if (!command_line_take(command, argc, argv, &arguments, NULL, &operands, &status))
        return status;
    if (operands.count > 1 && campaign_is_path(operands.items[0])) {
        message("check takes one campaign at a time; try 'thrum check --help'");
        return STATUS_WRONG_USE;
    }
    return check_all(&operands, &arguments);
}

const struct command command_check = {
    .name = "check",
    .arguments = "CAMPAIGN | FILE...",
    .takes = "a campaign, or recordings",
    .least_operands = 1,
    .most_operands = INT_MAX,
    .summary = "are these recordings fit to use? nothing else",
    .groups = check_groups,
    .examples = "  thrum check reed-bed\n"
                "  thrum check take1.wav take2.wav\n",
    .run = run,
};
