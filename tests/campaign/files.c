/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which file names are inside the campaign's folder, and which rows of a log share sound. Both are held to oracles of
 * another kind: names to a table, rows to a look at every pair. */
#include "folder.h"
#include "tap.h"

#include "campaign/campaign_read.h"

#include <stdint.h>

static const struct {
    const char *name, *tidied; /* NULL: refused */
} names[] = {
    { "a.wav", "a.wav" },
    { "r1/a.wav", "r1/a.wav" },
    { "./a.wav", "a.wav" },
    { "r1//a.wav", "r1/a.wav" },
    { "..a.wav", "..a.wav" },
    { "a../b", "a../b" },
    { ".a/b..", ".a/b.." },
    { "r1/./a.wav", "r1/a.wav" },
    { ".../a.wav", ".../a.wav" },
    { "../a.wav", NULL },
    { "r1/../a.wav", NULL },
    { "r1/..", NULL },
    { "..", NULL },
    { ".", NULL },
    { "./", NULL },
    { "/a.wav", NULL },
    { "//a.wav", NULL },
    { "././", NULL },
};

static void check_names(void)
{
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct err_list errors = { 0 };
        struct campaign_reader reader = { .file = "runs.csv", .errors = &errors };
        struct place where = { "runs.csv", 2, 1 };
        char name[32];
        snprintf(name, sizeof name, "%s", names[i].name);
        bool ok = reader_check_file(&reader, true, name, &where);
        bool wanted = names[i].tidied != NULL;
        tap_ok(ok == wanted && errors.count == !wanted && (!ok || strcmp(name, names[i].tidied) == 0), "%s is %s%s",
               names[i].name, wanted ? "inside, as " : "refused", wanted ? names[i].tidied : "");
    }
}

/* A link into a folder beside the campaign's, whose name only begins like it, leads out. */
static void check_sibling(const char *folder)
{
    char sibling[80], target[100];
    struct err err;
    struct err_list errors = { 0 };
    struct campaign_reader reader = { .file = "runs.csv", .folder = folder, .errors = &errors };
    struct place where = { "runs.csv", 2, 1 };
    char name[] = "sibling.wav", inner[] = "inner.wav";
    snprintf(sibling, sizeof sibling, "%s-other", folder);
    snprintf(target, sizeof target, "%s/a.wav", sibling);
    char *link = files_join(folder, name), *inner_link = files_join(folder, inner);
    bool made = files_make_folder(sibling, &err) && files_write(target, "", 0, &err) && link && inner_link &&
                symlink(target, link) == 0 && symlink("sub/d.wav", inner_link) == 0;
    tap_ok(made && !reader_check_file(&reader, true, name, &where) && errors.count == 1,
           "a link beside the folder is refused");
    tap_ok(made && reader_check_file(&reader, true, inner, &where), "a link inside the folder is fine");
    remove(target);
    remove(sibling);
    folder_remove_file(folder, name);
    folder_remove_file(folder, inner);
    free(link);
    free(inner_link);
}

#define ROWS 9
#define LOGS 3000

struct row {
    unsigned file, channel, start, end; /* half open */
};

static bool shares(const struct row *a, const struct row *b)
{
    return a->file == b->file && a->channel == b->channel && a->start < b->end && b->start < a->end;
}

static unsigned draw(uint64_t *state, unsigned below)
{
    *state = *state * 6364136223846793005U + 1442695040888963407U;
    return (unsigned)(*state >> 33) % below;
}

static const char yaml[] = "title: t\nruns: r\nmicrophones: {m: {distance_m: 1}}\nvariants: {a: {blades: 2}}\n";

/* Reads one log of random rows; true when what is told is what a look at every pair finds. */
static bool check_log(uint64_t *state)
{
    struct row rows[ROWS];
    struct text log = { 0 };
    bool any = false, ok = true;
    text_add(&log, "file,variant,channel,start_s,end_s\n");
    for (size_t i = 0; i < ROWS; i++) {
        rows[i] = (struct row){ .file = draw(state, 2), .channel = 1 + draw(state, 2), .start = draw(state, 30) };
        rows[i].end = rows[i].start + 1 + draw(state, 6);
        text_addf(&log, "%c.wav,a,%u,%u,%u\n", (char)('a' + rows[i].file), rows[i].channel, rows[i].start, rows[i].end);
        for (size_t k = 0; k < i; k++)
            any = any || shares(&rows[i], &rows[k]);
    }
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct campaign_reader reader = { .file = "r", .campaign = &campaign, .errors = &errors };
    char *runs_name;
    campaign_read_yaml(&reader, yaml, sizeof yaml - 1, &runs_name);
    campaign_read_runs(&reader, log.data, log.length);
    for (size_t i = 0; i < errors.count; i++) {
        int other = 0; /* the line that the message names */
        const char *at = strstr(errors.items[i].text, "on line ");
        ok = ok && at && sscanf(at, "on line %d", &other) == 1 && other >= 2 && other < errors.items[i].line &&
             errors.items[i].line < ROWS + 2 && shares(&rows[errors.items[i].line - 2], &rows[other - 2]);
    }
    ok = ok && any == (errors.count > 0);
    free(runs_name);
    campaign_clear(&campaign);
    text_clear(&log);
    return ok;
}

int main(void)
{
    char folder[64];
    uint64_t state = 20261003;
    int right = 0;
    folder_make(folder);
    check_names();
    check_sibling(folder);
    for (int i = 0; i < LOGS; i++)
        right += check_log(&state);
    tap_ok(right == LOGS, "%d of %d random logs: rows that share sound are told with the earlier row, no others", right,
           LOGS);
    folder_remove(folder);
    return tap_done();
}
