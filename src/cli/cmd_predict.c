/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/num.h"
#include "cli/command_line.h"
#include "cli/json_text.h"
#include "cli/message.h"
#include "rotor/coincide.h"
#include "rotor/drive.h"

#include <jansson.h>
#include <stdlib.h>

struct predict_arguments {
    struct rotor_choice rotor;
    double rpm, rpm_tolerance_pct, highest_hz;
    bool json, all;
};

static const struct option_row predict_rows[] = {
    SPEED_ROW(struct predict_arguments, rpm, "rpm", "rotor speed, rev/min; needed"),
    VALUE_ROW(VALUE_NUMBER, struct predict_arguments, rpm_tolerance_pct, "rpm-tolerance", 0, "PCT",
              RPM_TOLERANCE_LEAST_PCT, RPM_TOLERANCE_MOST_PCT, "how far the speed may be off, %; default: 2"),
    VALUE_ROW(VALUE_NUMBER, struct predict_arguments, highest_hz, "highest-hz", 0, "HZ", 20, 200000,
              "lines up to this frequency; default: 5000"),
    VALUE_ROW(VALUE_TEXT, struct predict_arguments, rotor.campaign_path, "campaign", 0, "CAMPAIGN", 0, 4000,
              "a campaign that holds the variant; its recordings need not be there"),
    VALUE_ROW(VALUE_TEXT, struct predict_arguments, rotor.variant_name, "variant", 0, "NAME", 0, 200,
              "the variant of that campaign"),
    FLAG_ROW(struct predict_arguments, all, "all", 'a', "high orders too, which are seldom heard"),
    FLAG_ROW(struct predict_arguments, json, "json", 0, "lines to standard output as JSON"),
};

static const struct option_group predict_groups[] = {
    { "Options", predict_rows, COUNT_OF(predict_rows) },
    { 0 },
};

/* Three lines of the spectrum of a recording of some seconds. */
#define RESOLUTION_HZ 3.0

static bool is_minor(const struct coincidence *group, const struct lines *lines)
{
    for (size_t i = 0; i < group->member_count; i++)
        if (lines->items[group->members[i]].is_minor)
            return true;
    return false;
}

static void add_table(const struct lines *lines, const struct coincidences *groups, bool all, struct text *out)
{
    char number[3][32];
    text_addf(out, "%10s  %8s  %10s  %s\n", "Hz", "+- Hz", "per turn", "line");
    for (size_t i = 0; i < lines->count; i++) {
        const struct line *line = &lines->items[i];
        if (line->is_minor && !all)
            continue;
        /* The dash of an absent order is three bytes wide but one column. */
        text_addf(out, "%10s  %8s  %*s  %s\n", num_format(number[0], sizeof *number, line->hz, 2),
                  num_format(number[1], sizeof *number, line->tolerance_hz, 2), is_given(line->rotor_order) ? 10 : 12,
                  num_format(number[2], sizeof *number, line->rotor_order, 3), line->source);
    }
    bool is_first = true;
    for (size_t i = 0; i < groups->count; i++) {
        if (is_minor(&groups->items[i], lines) && !all)
            continue;
        text_addf(out, "%s%s\n", is_first ? "\n" : "", groups->items[i].text);
        is_first = false;
    }
}

static json_t *groups_json(const struct coincidences *groups, const struct lines *lines)
{
    json_t *list = json_array();
    bool ok = list != NULL;
    for (size_t i = 0; ok && i < groups->count; i++) {
        const struct coincidence *group = &groups->items[i];
        json_t *sources = json_array();
        for (size_t j = 0; ok && j < group->member_count; j++)
            ok = json_array_append_new(sources, json_string(lines->items[group->members[j]].source)) == 0;
        json_t *object = json_pack("{s:f, s:o, s:b, s:s}", "hz", num_round(group->hz, 4), "sources", sources,
                                   "at_every_speed", group->at_every_speed, "text", group->text);
        ok = json_array_append_new(list, object) == 0 && ok;
    }
    if (ok)
        return list;
    json_decref(list);
    return NULL;
}

static void add_json(const struct lines *lines, const struct coincidences *groups,
                     const struct predict_arguments *arguments, struct text *out)
{
    json_t *list = json_array();
    bool ok = list != NULL;
    for (size_t i = 0; ok && i < lines->count; i++) {
        const struct line *line = &lines->items[i];
        json_t *order = is_given(line->rotor_order) ? json_real(num_round(line->rotor_order, 6)) : json_null();
        ok = json_array_append_new(list, json_pack("{s:f, s:f, s:o, s:s, s:b}", "hz", num_round(line->hz, 4),
                                                   "tolerance_hz", num_round(line->tolerance_hz, 4), "rotor_order",
                                                   order, "source", line->source, "minor", line->is_minor)) == 0;
    }
    json_t *root =
        json_pack("{s:f, s:o, s:o}", "rpm", arguments->rpm, "lines", list, "coincidences", groups_json(groups, lines));
    if (!ok) {
        json_decref(root);
        root = NULL;
    }
    json_text_add(root, out);
}

static enum exit_status predict(const struct predict_arguments *arguments)
{
    struct err_list errors = { 0 };
    struct err err;
    struct campaign campaign = { 0 };
    struct lines lines = { 0 };
    struct coincidences groups = { 0 };
    struct text out = { 0 };
    bool has_campaign;
    const struct variant *variant;
    enum exit_status status = STATUS_DONE;
    bool ok = rotor_choice_resolve(&arguments->rotor, true, &campaign, &has_campaign, &variant, &errors);
    if (ok && !variant) {
        err_list_at(&errors, ERR_USAGE, NULL,
                    "predict needs a rotor: --blades and its drive, or --campaign and --variant");
        ok = false;
    }
    if (ok && !is_given(arguments->rpm)) {
        err_list_at(&errors, ERR_USAGE, NULL, "predict needs --rpm, the rotor's speed");
        ok = false;
    }
    if (!ok) {
        status = message_wrong_use(&errors);
    } else if (!drive_lines(variant, arguments->rpm, arguments->rpm_tolerance_pct, arguments->highest_hz, &lines,
                            &err) ||
               !coincidences_find(&lines, RESOLUTION_HZ, &groups, &err)) {
        message_err(&err);
        status = status_of(err.kind);
    } else {
        if (arguments->json)
            add_json(&lines, &groups, arguments, &out);
        else
            add_table(&lines, &groups, arguments->all, &out);
        status = print_text(&out) ? STATUS_DONE : STATUS_FAILED;
    }
    text_clear(&out);
    coincidences_clear(&groups);
    lines_clear(&lines);
    campaign_clear(&campaign);
    return status;
}

static enum exit_status run(const struct command *command, int argc, char **argv)
{
    struct predict_arguments arguments = { .rpm = ABSENT, .rpm_tolerance_pct = 2, .highest_hz = 5000 };
    rotor_choice_init(&arguments.rotor);
    struct operands operands;
    enum exit_status status;
    if (command_line_take(command, argc, argv, &arguments, &arguments.rotor, &operands, &status))
        status = predict(&arguments);
    rotor_choice_clear(&arguments.rotor);
    return status;
}

const struct command command_predict = {
    .name = "predict",
    .arguments = "--rpm RPM --blades N [OPTION...]",
    .takes = "no file",
    .summary = "the lines that a rotor and its drive must make at a speed",
    .groups = predict_groups,
    .takes_rotor = true,
    .examples = "  thrum predict --rpm 2100 --blades 5 --drive belt --motor-pulley-teeth 12 --rotor-pulley-teeth 60\n"
                "  thrum predict --rpm 2100 --campaign reed-bed --variant slow5\n",
    .run = run,
};
