/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/num.h"
#include "campaign/limits.h"
#include "cli/command_line.h"
#include "cli/json_text.h"
#include "cli/message.h"
#include "measure/json_fields.h"
#include "recording/gain.h"
#include "recording/recording.h"

#include <jansson.h>
#include <stdlib.h>

struct calibrate_arguments {
    double level_db, frequency_hz;
    int channel;
    bool json;
};

static const struct option_row calibrate_rows[] = {
    VALUE_ROW(VALUE_NUMBER, struct calibrate_arguments, level_db, "level", 0, "DB", CALIBRATOR_LEAST_DB,
              CALIBRATOR_MOST_DB, "level of the calibrator, dB re 20 µPa; needed"),
    VALUE_ROW(VALUE_NUMBER, struct calibrate_arguments, frequency_hz, "frequency", 0, "HZ", CALIBRATOR_LEAST_HZ,
              CALIBRATOR_MOST_HZ, "frequency of the calibrator; default: 1000"),
    VALUE_ROW(VALUE_COUNT, struct calibrate_arguments, channel, "channel", 0, "N", 1, CHANNEL_MOST,
              "the microphone's channel; default: 1"),
    FLAG_ROW(struct calibrate_arguments, json, "json", 0, "figures to standard output as JSON"),
};

static const struct option_group calibrate_groups[] = {
    { "Options", calibrate_rows, COUNT_OF(calibrate_rows) },
    { 0 },
};

/* A channel that was asked for is never another. */
static bool has_channel(const char *path, int channel, struct err *err)
{
    struct recording *recording = recording_open(path, err);
    if (!recording)
        return false;
    int count = recording_info(recording)->channel_count;
    recording_free(recording);
    return channel <= count || err_file(err, ERR_AUDIO, path, "has no channel %d, only %d", channel, count);
}

static void add_json(const struct calibrator_figures *figures, const struct findings *findings, double full_scale_db,
                     struct text *out)
{
    json_t *root =
        json_pack("{s:f, s:f, s:f, s:[f,f], s:f, s:f, s:o, s:o}", "full_scale_db", num_round(full_scale_db, 3),
                  "level_dbfs", num_round(figures->level_dbfs, 3), "frequency_hz", num_round(figures->frequency_hz, 3),
                  "used_s", num_round(figures->start_s, 3), num_round(figures->end_s, 3), "steadiness_db",
                  num_round(figures->steadiness_db, 4), "distortion_pct", num_round(figures->distortion_pct, 4),
                  "noise_db", json_number(figures->noise_db, 2), "findings", json_findings(findings));
    json_text_add(root, out);
}

static void add_lines(const struct calibrator_figures *figures, const struct findings *findings, double full_scale_db,
                      struct text *out)
{
    char number[8][32];
    text_addf(out,
              "calibrator tone   %s dBFS at %s Hz\n"
              "steady part       %s to %s s, within %s dB\n"
              "distortion        %s %%\n"
              "noise             %s dB below the tone\n"
              "full-scale sine   %s dB re 20 µPa\n",
              num_format(number[0], sizeof *number, figures->level_dbfs, 2),
              num_format(number[1], sizeof *number, figures->frequency_hz, 2),
              num_format(number[2], sizeof *number, figures->start_s, 2),
              num_format(number[3], sizeof *number, figures->end_s, 2),
              num_format(number[4], sizeof *number, figures->steadiness_db, 3),
              num_format(number[5], sizeof *number, figures->distortion_pct, 2),
              num_format(number[6], sizeof *number, -figures->noise_db, 1),
              num_format(number[7], sizeof *number, full_scale_db, 2));
    for (size_t i = 0; i < findings->count; i++)
        text_addf(out, "%-17s %s\n", severity_key(findings->items[i].severity), findings->items[i].text);
    text_addf(out,
              "\nin campaign.yaml, for recordings of the same gain:  calibration: {full_scale_db: %s}\n"
              "on the command line:  --full-scale-db %s\n",
              number[7], number[7]);
}

static enum exit_status run(const struct command *command, int argc, char **argv)
{
    struct calibrate_arguments arguments = { .level_db = ABSENT, .frequency_hz = ABSENT, .channel = 1 };
    struct calibrator_figures figures;
    struct findings findings = { 0 };
    struct operands operands;
    struct err err;
    struct text out = { 0 };
    enum exit_status status;
    if (!command_line_take(command, argc, argv, &arguments, NULL, &operands, &status))
        return status;
    if (!is_given(arguments.level_db)) {
        message("calibrate needs --level, what the calibrator gives in dB; it stands on the calibrator");
        status = STATUS_WRONG_USE;
    } else if (!has_channel(operands.items[0], arguments.channel, &err) ||
               !calibrator_measure(operands.items[0], arguments.channel - 1, arguments.frequency_hz, &figures, &err)) {
        message_err(&err);
        status = status_of(err.kind);
    } else {
        double full_scale_db = arguments.level_db - figures.level_dbfs;
        gain_judge_calibrator(&figures, operands.items[0], &findings);
        if (!arguments.json)
            add_lines(&figures, &findings, full_scale_db, &out);
        else
            add_json(&figures, &findings, full_scale_db, &out);
        status = print_text(&out) ? STATUS_DONE : STATUS_FAILED;
    }
    findings_clear(&findings);
    text_clear(&out);
    return status;
}

const struct command command_calibrate = {
    .name = "calibrate",
    .arguments = "FILE --level DB",
    .takes = "one recording of a calibrator",
    .least_operands = 1,
    .most_operands = 1,
    .summary = "what a calibrator recording says of the gain",
    .groups = calibrate_groups,
    .examples = "  thrum calibrate calibrator.wav --level 94\n"
                "  thrum calibrate pistonphone.wav --level 114 --frequency 250 --json\n",
    .run = run,
};
