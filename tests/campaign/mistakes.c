/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mistakes FILE: mistakes of campaign.yaml and the run log, told as text in FILE: each gives exactly these messages,
 * and nothing is read. A case is lines of
 *
 *     case LABEL
 *     yaml LINE      a line of campaign.yaml; none: the good one
 *     runs LINE      a line of the run log; none: the good one
 *     told MESSAGE   one of the messages, in their order
 *
 * where LINE may be @head, @mics, @vars or @good for the lines below, and holds \t, \r, \xFF, \\ and, at its end, \c
 * for no line end. Places were counted by hand in an editor's terms: lines and characters from 1. */
#include "folder.h"
#include "tap.h"

#include <locale.h>

#define HEAD "title: t\nruns: runs.csv\n"
#define MICS "microphones:\n  main: {distance_m: 1}\n"
#define VARS "variants:\n  a: {blades: 2}\n"
#define GOOD_YAML HEAD MICS VARS
#define GOOD_RUNS "file,variant,rpm\na.wav,a,4200\n"

/* A case as far as it has been read; `yaml` and `runs` without data are the good ones. */
struct mistake {
    struct text label, yaml, runs, want;
};

static void bail_out(const char *why)
{
    printf("Bail out! %s\n", why);
    exit(EXIT_FAILURE);
}

static unsigned hexadecimal(char digit)
{
    const char *digits = "0123456789ABCDEF", *at = digit ? strchr(digits, digit) : NULL;
    if (!at)
        bail_out("\\x wants two digits, 0 to 9 and A to F");
    return (unsigned)(at - digits);
}

/* Adds a line of a file, with its escapes taken for what they are. */
static void add_line(struct text *out, const char *line)
{
    text_add(out, ""); /* a file of no line is no file left out */
    for (const char *at = line; *at; at++) {
        char byte = *at;
        if (byte == '\\') {
            byte = *++at;
            if (byte == 'c' && !at[1])
                return;
            if (byte == 'x') {
                byte = (char)(hexadecimal(at[1]) << 4 | hexadecimal(at[2]));
                at += 2;
            } else if (byte == 't' || byte == 'r') {
                byte = byte == 't' ? '\t' : '\r';
            } else if (byte != '\\') {
                bail_out("an escape that is none");
            }
        }
        text_add_bytes(out, &byte, 1);
    }
    text_add(out, "\n");
}

static void add_file_line(struct text *out, const char *line, const char *good)
{
    const struct {
        const char *name, *lines;
    } known[] = { { "@good", good }, { "@head", HEAD }, { "@mics", MICS }, { "@vars", VARS } };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strcmp(line, known[i].name) == 0) {
            text_add(out, known[i].lines);
            return;
        }
    }
    add_line(out, line);
}

static void write_text(const char *folder, const char *name, const struct text *text, const char *good)
{
    if (text->data)
        folder_write(folder, name, text->data, text->length);
    else
        folder_write(folder, name, good, strlen(good));
}

static void check(const char *folder, struct mistake *mistake)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    write_text(folder, "campaign.yaml", &mistake->yaml, GOOD_YAML);
    write_text(folder, "runs.csv", &mistake->runs, GOOD_RUNS);
    bool ok = campaign_read(folder, false, &campaign, &errors);
    char *got = folder_messages(folder, &errors);
    tap_ok(!ok && !campaign.title && errors.dropped == 0, "%s: is refused, nothing is read", mistake->label.data);
    tap_text(got, mistake->want.data, mistake->label.data);
    free(got);
    text_clear(&mistake->label);
    text_clear(&mistake->yaml);
    text_clear(&mistake->runs);
    text_clear(&mistake->want);
}

/* Takes a line in; a line that begins another case ends the one before. */
static void take(const char *folder, struct mistake *mistake, const char *line)
{
    const char *rest = strlen(line) > 5 ? line + 5 : "";
    if (strncmp(line, "case ", 5) == 0) {
        if (mistake->label.data)
            check(folder, mistake);
        text_add(&mistake->label, rest);
    } else if (strncmp(line, "yaml", 4) == 0) {
        add_file_line(&mistake->yaml, rest, GOOD_YAML);
    } else if (strncmp(line, "runs", 4) == 0) {
        add_file_line(&mistake->runs, rest, GOOD_RUNS);
    } else if (strncmp(line, "told ", 5) == 0) {
        struct text message = { 0 };
        add_line(&message, rest);
        text_addf(&mistake->want, "%s%.*s", mistake->want.length > 0 ? " | " : "", (int)message.length - 1,
                  message.data);
        text_clear(&message);
    } else if (line[0] != '\0' && line[0] != '#') {
        bail_out(line);
    }
}

int main(int argc, char **argv)
{
    setlocale(LC_ALL, ""); /* messages are the same in every one, but for the system's own words */
    setlocale(LC_MESSAGES, "C");
    char folder[64], *cases = NULL;
    size_t size;
    struct err err;
    struct mistake mistake = { 0 };
    if (argc != 2 || !files_read(argv[1], 1 << 20, &cases, &size, &err))
        bail_out("which file of mistakes?");
    folder_make(folder);
    for (char *line = cases; *line;) {
        char *end = line + strcspn(line, "\n"), *next = *end ? end + 1 : end;
        *end = '\0';
        take(folder, &mistake, line);
        line = next;
    }
    if (!mistake.label.data)
        bail_out("no case");
    check(folder, &mistake);
    free(cases);
    folder_remove(folder);
    return tap_done();
}
