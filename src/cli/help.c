/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/help.h"

#include "base/version.h"
#include "campaign/variant_keys.h"

#include <cairo.h>
#include <fftw3.h>
#include <gsl/gsl_version.h>
#include <jansson.h>
#include <pango/pango.h>
#include <sndfile.h>
#include <stdio.h>
#include <string.h>
#include <yaml.h>

#define HELP_COLUMN 32
#define LINE_WIDTH 100

/* "  -o, --output DIR    text", the text wrapped under itself. */
static void row(struct text *out, char letter, const char *name, const char *argument, const char *help)
{
    char head[96];
    snprintf(head, sizeof head, "  %c%c%s --%s%s%s", letter ? '-' : ' ', letter ? letter : ' ', letter ? "," : " ",
             name, argument ? " " : "", argument ? argument : "");
    size_t column = strlen(head);
    text_add(out, head);
    if (column + 2 > HELP_COLUMN) {
        text_add(out, "\n");
        column = 0;
    }
    text_addf(out, "%*s", (int)(HELP_COLUMN - column), "");
    size_t at = HELP_COLUMN;
    while (*help) {
        size_t word = strcspn(help, " ");
        if (at > HELP_COLUMN && at + 1 + word > LINE_WIDTH) {
            text_addf(out, "\n%*s", HELP_COLUMN, "");
            at = HELP_COLUMN;
        } else if (at > HELP_COLUMN) {
            text_add(out, " ");
            at++;
        }
        text_add_bytes(out, help, word);
        at += word;
        help += word + (help[word] == ' ');
    }
    text_add(out, "\n");
}

void help_command(const struct command *command, struct text *out)
{
    text_addf(out, "usage: thrum %s %s\n\n%s\n", command->name, command->arguments, command->summary);
    for (const struct option_group *group = command->groups; group->title; group++) {
        text_addf(out, "\n%s\n", group->title);
        for (size_t i = 0; i < group->count; i++)
            row(out, group->rows[i].letter, group->rows[i].name, group->rows[i].argument, group->rows[i].help);
    }
    if (command->takes_rotor) {
        text_add(out, "\nThe rotor and its drive, as in campaign.yaml\n");
        for (size_t i = 0; i < variant_key_count; i++)
            row(out, 0, variant_keys[i].option,
                variant_keys[i].value.type == VALUE_NUMBER  ? "X"
                : variant_keys[i].value.type == VALUE_COUNT ? "N"
                                                            : "TEXT",
                variant_keys[i].value.help);
        row(out, 0, "bearings", "YAML",
            "bearings by name: \"front: {shaft: rotor, balls: 7, ball_mm: 3.969, pitch_mm: 15}\"");
    }
    text_add(out, "\nAlways\n");
    row(out, 'h', "help", NULL, "options, examples and exit status");
    text_addf(out, "\nExamples\n%s", command->examples);
    text_add(out,
             "\nExit status: 0 done; 1 the work failed or something was found; 2 wrong command line or campaign\n");
}

void help_program(const struct command *const *commands, size_t count, struct text *out)
{
    text_add(out, "usage: thrum COMMAND [OPTION...] [ARGUMENT...]\n\n"
                  "Tells how loud, how tonal and how annoying each rotor is, and why.\n\n");
    for (size_t i = 0; i < count; i++)
        text_addf(out, "  %-10s %s\n", commands[i]->name, commands[i]->summary);
    text_add(out, "\n'thrum COMMAND --help' tells the rest; 'thrum --version' the versions.\n");
}

void help_version(struct text *out)
{
    char sndfile[64] = "";
    sf_command(NULL, SFC_GET_LIB_VERSION, sndfile, sizeof sndfile);
    text_addf(out, "thrum %s, results format %d\n%s, %s, cairo %s, pango %s, libyaml %s, jansson %s, GSL %s\n",
              thrum_version, THRUM_RESULTS_FORMAT, sndfile, fftw_version, cairo_version_string(),
              pango_version_string(), yaml_get_version_string(), jansson_version_str(), gsl_version);
}
