/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What concerns the reader as a whole: how a campaign is named, limits, the template, the command line's way into the
 * table of keys, and that the documentation names every key with its range. */
#include "folder.h"
#include "tap.h"

#include "base/absent.h"
#include "campaign/campaign_yaml.h"
#include "campaign/microphone_yaml.h"
#include "campaign/run_columns.h"
#include "campaign/template.h"
#include "campaign/text_check.h"
#include "campaign/variant_keys.h"
#include "campaign/variant_yaml.h"

#include <locale.h>
#include <unistd.h>

/* The order of the session: each speed twice, back in reverse order, so that what drifts evenly falls on all alike. */
static void check_template_plan(const struct campaign *campaign)
{
    size_t count = campaign->run_count, alike = 0;
    for (size_t i = 0; i < count / 2; i++) {
        const struct run *there = &campaign->runs[i], *back = &campaign->runs[count - 1 - i];
        alike += there->variant == back->variant && there->rpm == back->rpm && strcmp(there->file, back->file) != 0;
    }
    tap_ok(count > 0 && alike == count / 2, "%zu of %zu runs are repeated in reverse order", alike, count / 2);
}

static void check_template(const char *folder)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    for (size_t i = 0; i < campaign_template_count; i++) {
        char *text = template_text(&campaign_template[i]);
        tap_ok(text && strlen(text) > 100, "%s has its text", campaign_template[i].name);
        folder_write(folder, campaign_template[i].name, text, strlen(text));
        free(text);
    }
    bool ok = campaign_read(folder, true, &campaign, &errors);
    char *messages = folder_messages(folder, &errors);
    tap_text(messages, "", "the template reads without its recordings");
    tap_ok(ok && campaign.run_count == 24 && campaign.variant_count == 3, "24 runs of three variants");
    check_template_plan(&campaign);
    free(messages);
    campaign_clear(&campaign);
    errors = (struct err_list){ 0 };
    tap_ok(!campaign_read(folder, false, &campaign, &errors) && errors.count + errors.dropped == 27,
           "without leave each of 27 files is missed");
    folder_remove_file(folder, "RECORDING.txt");
}

/* The template with its commented keys switched on. */
static void check_template_comments(const char *folder)
{
    static const char *const starts[] = { "# compare_at: ", "# mains_hz: ", "    # bearings:", "    #   front: " };
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    char *text = template_text(&campaign_template[0]);
    int found = 0;
    for (size_t i = 0; text && i < sizeof starts / sizeof *starts; i++) {
        char *at = strstr(text, starts[i]);
        char *mark = at ? strchr(at, '#') : NULL;
        found += mark != NULL;
        if (mark)
            memmove(mark, mark + 2, strlen(mark + 2) + 1);
    }
    tap_ok(found == 4, "four commented keys");
    folder_write(folder, "campaign.yaml", text, strlen(text));
    bool ok = campaign_read(folder, true, &campaign, &errors);
    char *messages = folder_messages(folder, &errors);
    tap_text(messages, "", "the template reads with its commented keys");
    tap_ok(ok && campaign.compare_point_count == 2 && campaign.variants[2].bearing_count == 1 &&
               campaign.variants[0].mains_hz == 50,
           "and they arrive");
    free(messages);
    campaign_clear(&campaign);
    free(text);
}

static bool reads(const char *path, char *first_file, size_t size)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    bool ok = campaign_read(path, true, &campaign, &errors);
    snprintf(first_file, size, "%s", ok ? campaign.yaml_path : errors.items[0].file);
    campaign_clear(&campaign);
    return ok;
}

static void check_paths(const char *folder)
{
    char path[128], got[512];
    tap_ok(reads(folder, got, sizeof got), "by its folder");
    snprintf(path, sizeof path, "%s/", folder);
    tap_ok(reads(path, got, sizeof got), "by its folder with a slash");
    snprintf(path, sizeof path, "%s/campaign.yaml", folder);
    tap_ok(reads(path, got, sizeof got), "by its file");
    tap_text(got, path, "messages name the file as given");
    if (chdir(folder) == 0) {
        tap_ok(reads("campaign.yaml", got, sizeof got), "by its file, from inside");
        tap_ok(reads(".", got, sizeof got), "by \".\"");
        tap_ok(chdir("/") == 0, "and back");
    }
    snprintf(path, sizeof path, "%s/reeds", folder);
    tap_ok(!reads(path, got, sizeof got), "a path that is not there is refused");
    tap_text(got, path, "and named");
    snprintf(path, sizeof path, "%s/reeds/campaign.yaml", folder);
    tap_ok(!reads(path, got, sizeof got), "so is one in a folder that is not there");
}

static void check_limits(const char *folder)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct text yaml = { 0 };
    for (int i = 0; i < 30; i++)
        text_addf(&yaml, "unlike_any_%d: 1\n", i);
    folder_write(folder, "campaign.yaml", yaml.data, yaml.length);
    tap_ok(!campaign_read(folder, true, &campaign, &errors) && errors.count == ERR_LIST_MAX && errors.dropped == 14,
           "30 unknown keys and 4 missing ones: 20 kept, 14 counted");
    /* A list that holds mistakes already is no mistake of this campaign. */
    char *good = template_text(&campaign_template[0]);
    folder_write(folder, "campaign.yaml", good, strlen(good));
    tap_ok(campaign_read(folder, true, &campaign, &errors), "a list that was full before does not matter");
    campaign_clear(&campaign);
    free(good);
    errors = (struct err_list){ 0 };
    while (yaml.length <= 1 << 20)
        text_add(&yaml, "# a long, long comment that is repeated until the file is larger than any campaign\n");
    folder_write(folder, "campaign.yaml", yaml.data, yaml.length);
    tap_ok(!campaign_read(folder, true, &campaign, &errors) && errors.count == 1,
           "a file over 1 MiB is refused, in one line");
    tap_text(errors.items[0].text, "larger than 1048576 bytes; such a file is no campaign text", "with its reason");
    text_clear(&yaml);
}

/* Texts of a size and shape that a reader can choke on; each is refused with one message, in milliseconds. */
static void check_hostile(const char *folder)
{
    static const struct {
        const char *label, *piece, *want;
    } texts[] = {
        { "a million open lists", "[", "more than 16 levels deep; no campaign is" },
        { "a million open maps", "{", "this can't be a key; a key must be one plain word" },
        { "half a million list marks", "- ", "more than 16 levels deep; no campaign is" },
        { "half a million question marks", "? ", "this can't be a key; a key must be one plain word" },
        { "half a million list items", "- 1\n", "more than 1000 entries; no campaign has so many" },
        { "a comment of a million marks", "#", "nothing in it; keys and values are needed" },
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        struct text text = { 0 };
        while (text.length + 2 * strlen(texts[i].piece) < 1 << 20)
            text_add(&text, texts[i].piece);
        folder_write(folder, "campaign.yaml", text.data, text.length);
        tap_ok(!campaign_read(folder, true, &campaign, &errors) && errors.count == 1, "%s: one message",
               texts[i].label);
        tap_text(errors.items[0].text, texts[i].want, texts[i].label);
        text_clear(&text);
    }
}

/* 50 000 rows that each name a variant that is not there: 20 are told, the others counted. */
static void check_many_mistakes(const char *folder)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct text yaml = { 0 }, log = { 0 };
    text_add(&yaml, "title: t\nruns: runs.csv\nmicrophones: {main: {distance_m: 1}}\nvariants:\n");
    for (int i = 0; i < 1000; i++)
        text_addf(&yaml, "  v%d: {blades: 2}\n", i);
    text_add(&log, "file,variant\n");
    for (int i = 0; i < 50000; i++)
        text_addf(&log, "%d.wav,z\n", i);
    folder_write(folder, "campaign.yaml", yaml.data, yaml.length);
    folder_write(folder, "runs.csv", log.data, log.length);
    tap_ok(!campaign_read(folder, true, &campaign, &errors) && errors.count == ERR_LIST_MAX &&
               errors.dropped == 50000 - ERR_LIST_MAX,
           "50000 mistakes: 20 told, the others counted");
    text_clear(&yaml);
    text_clear(&log);
}

/* Days of the Gregorian calendar, ISO 8601 extended format. */
static void check_dates(const char *folder)
{
    static const struct {
        const char *date;
        bool ok;
    } dates[] = { { "2026-01-31", true },  { "2026-12-31", true },  { "2028-02-29", true },  { "2000-02-29", true },
                  { "2026-04-30", true },  { "2026-04-31", false }, { "2026-02-29", false }, { "1900-02-29", false },
                  { "2026-00-03", false }, { "2026-13-01", false }, { "2026-10-00", false }, { "20a6-10-03", false },
                  { "2026-1-31", false },  { "2026/10/03", false }, { "2026-10/03", false }, { "2026-10-0:", false } };
    static const char log[] = "file,variant\na.wav,s\n";
    folder_write(folder, "runs.csv", log, strlen(log));
    for (size_t i = 0; i < sizeof dates / sizeof *dates; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        struct text yaml = { 0 };
        text_addf(&yaml, "title: t\nruns: runs.csv\ndate: %s\n", dates[i].date);
        text_add(&yaml, "microphones: {main: {distance_m: 1}}\nvariants: {s: {blades: 2}}\n");
        folder_write(folder, "campaign.yaml", yaml.data, yaml.length);
        bool ok = campaign_read(folder, true, &campaign, &errors);
        tap_ok(ok == dates[i].ok && errors.count == !ok, "%s is %s day", dates[i].date, dates[i].ok ? "a" : "no");
        campaign_clear(&campaign);
        text_clear(&yaml);
    }
}

static const char small_yaml[] =
    "title: t\nruns: runs.csv\nmicrophones: {main: {distance_m: 1}}\nvariants: {s: {blades: 2}}\n";

static void check_ratios(void)
{
    struct variant variant;
    variant_init(&variant);
    variant.drive = DRIVE_BELT;
    variant.rotor_pulley_teeth = 60;
    tap_ok(!is_given(variant_drive_ratio(&variant)), "no ratio of a belt with one pulley");
    variant.motor_pulley_teeth = 12;
    tap_near(variant_drive_ratio(&variant), 5, 0, "60 teeth over 12");
    variant.drive = DRIVE_GEAR;
    tap_ok(!is_given(variant_drive_ratio(&variant)), "nor of a gear with pulleys");
}

/* Names that are near to no column of ours are notes, whatever they hold. */
static void check_notes(const char *folder)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    static const char log[] = "file,variant,date,Motor,rotor no.,2,temperature_c,St\"ck\na.wav,s,x,x,x,x,x,x\n";
    static const char good_log[] = "file,variant,date,Motor,rotor no.,2,temperature_c,St\xC3\xBC"
                                   "ck\na.wav,s,x,x,x,x,x,x\n";
    folder_write(folder, "runs.csv", log, sizeof log - 1);
    tap_ok(!campaign_read(folder, true, &campaign, &errors) && errors.count == 1,
           "a quote inside a header is a mistake");
    errors = (struct err_list){ 0 };
    folder_write(folder, "runs.csv", good_log, sizeof good_log - 1);
    bool ok = campaign_read(folder, true, &campaign, &errors);
    tap_ok(ok && campaign.run_count == 1 && campaign.runs[0].note_count == 6, "six unknown columns are six notes");
    tap_text(ok ? campaign.runs[0].notes[5].column : NULL,
             "St\xC3\xBC"
             "ck",
             "the last one's name");
    campaign_clear(&campaign);
}

static void check_options(void)
{
    struct variant variant;
    struct err err;
    struct err_list errors = { 0 };
    variant_init(&variant);
    const struct variant_key *key = variant_key_find("motor.pole_pairs");
    tap_ok(key && strcmp(key->option, "motor-pole-pairs") == 0, "motor.pole_pairs is --motor-pole-pairs");
    tap_ok(variant_key_set(&variant, key, "7", NULL, &err) && variant.motor_pole_pairs == 7, "set from text");
    tap_ok(!variant_key_set(&variant, key, "0", NULL, &err) && variant.motor_pole_pairs == 7, "0 is refused, 7 stays");
    tap_text(err.text, "motor.pole_pairs is 0; must be a whole number from 1 to 200", "its message");
    tap_ok(err.file[0] == '\0' && err.line == 0, "no place on a command line");
    key = variant_key_find("drive.kind");
    tap_ok(key && strcmp(key->option, "drive") == 0, "drive.kind is --drive");
    tap_ok(variant_key_set(&variant, key, "gear", NULL, &err) && variant.drive == DRIVE_GEAR, "a choice");
    tap_ok(!variant_check(&variant, NULL, &errors) && errors.count == 2, "a gear without wheels is told twice");
    tap_text(errors.items[0].text, "--motor-gear-teeth is missing; a gear drive needs it", "by its option");
    tap_ok(!variant_key_find("motor") && !variant_key_find(""), "a group is no key");
    tap_ok(variant_add_bearing_text(&variant, "front: {balls: 7, ball_mm: 3.969, pitch_mm: 15}", NULL, &errors) &&
               variant.bearing_count == 1 && variant.bearings[0].balls == 7,
           "a bearing from text");
    errors = (struct err_list){ 0 };
    struct place where = { "--bearing", 0, 0 };
    tap_ok(!variant_add_bearing_text(&variant, "rear: {balls: 7, ball_mm: 3.969}", &where, &errors) &&
               errors.count == 1 && variant.bearing_count == 1,
           "half a bearing is refused");
    tap_text(errors.items[0].text, "pitch_mm is missing; a bearing needs it", "its message");
    variant_clear(&variant);
    tap_ok(variant.bearing_count == 0 && variant.rotors == 1 && !is_given(variant.diameter_mm),
           "cleared to the defaults");
}

/* A table row of the documentation below a heading that names the key, and its range where it has one. */
static void check_row(const char *text, const char *heading, const char *key, const struct value_rule *rule)
{
    char name[80], range[160] = "";
    snprintf(name, sizeof name, "\n| `%s` |", key);
    const char *section = text ? strstr(text, heading) : NULL;
    const char *row = section ? strstr(section, name) : NULL;
    if (rule->type == VALUE_COUNT || rule->type == VALUE_NUMBER)
        snprintf(range, sizeof range, "%s to %s%s%s", excerpt_number(rule->least, 9).text,
                 excerpt_number(rule->most, 9).text, rule->unit ? " " : "", rule->unit ? rule->unit : "");
    const char *found = row ? strstr(row, range) : NULL;
    const char *end = row ? strchr(row + 1, '\n') : NULL;
    tap_ok(found && end && found < end, "docs/campaign.md: %s, %s", key, *range ? range : "named");
}

/* The text between a line and the next that ends a block, written as a file of the campaign. */
static bool write_block(const char *folder, const char *name, const char *text, const char *start)
{
    const char *block = text ? strstr(text, start) : NULL;
    const char *end = block ? strstr(block + strlen(start), "\n```\n") : NULL;
    if (!end)
        return false;
    block = strchr(block, '\n') + 1;
    folder_write(folder, name, block, (size_t)(end + 1 - block));
    return true;
}

static void check_docs_example(const char *folder, const char *text)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    tap_ok(write_block(folder, "campaign.yaml", text, "```yaml\n") &&
               write_block(folder, "runs.csv", text, "```\nfile;variant;"),
           "docs/campaign.md has its two examples");
    bool ok = campaign_read(folder, true, &campaign, &errors);
    char *messages = folder_messages(folder, &errors);
    tap_text(messages, "", "they are read");
    tap_ok(ok && campaign.run_count == 2 && campaign.variant_count == 2, "two runs, two variants");
    free(messages);
    campaign_clear(&campaign);
}

static void check_docs(const char *folder)
{
    char *text = NULL;
    size_t size;
    struct err err;
    tap_ok(files_read(DOCS_CAMPAIGN, 1 << 20, &text, &size, &err), "docs/campaign.md is there");
    for (size_t i = 0; i < TOP_KEY_COUNT; i++)
        check_row(text, "\n## campaign.yaml\n", top_keys[i].name, &top_keys[i].value);
    for (int i = 0; i < OPERATING_QUANTITY_COUNT; i++)
        check_row(text, "\n### compare_at\n", operating_quantity_key((enum operating_quantity)i), &quantity_rules[i]);
    for (size_t i = 0; i < AIR_KEY_COUNT; i++)
        check_row(text, "\n### air\n", air_keys[i].name, &air_keys[i].value);
    for (size_t i = 0; i < MICROPHONE_KEY_COUNT; i++)
        check_row(text, "\n### A microphone\n", microphone_keys[i].name, &microphone_keys[i].value);
    for (size_t i = 0; i < CALIBRATION_KEY_COUNT; i++)
        check_row(text, "\n### A microphone\n", calibration_keys[i].name, &calibration_keys[i].value);
    for (size_t i = 0; i < variant_key_count; i++)
        check_row(text, "\n### A variant\n", variant_keys[i].path, &variant_keys[i].value);
    for (size_t i = 0; i < bearing_key_count; i++)
        check_row(text, "\n### A variant\n", bearing_keys[i].name, &bearing_keys[i].value);
    for (size_t i = 0; i < COLUMN_COUNT; i++)
        check_row(text, "\n## The run log\n", run_columns[i].name, &run_columns[i].value);
    check_docs_example(folder, text);
    free(text);
}

int main(void)
{
    setlocale(LC_ALL, ""); /* messages are the same in every one */
    char folder[64];
    folder_make(folder);
    check_template(folder);
    check_template_comments(folder);
    check_paths(folder);
    check_limits(folder);
    check_dates(folder);
    folder_write(folder, "campaign.yaml", small_yaml, strlen(small_yaml));
    check_notes(folder);
    check_ratios();
    check_hostile(folder);
    check_many_mistakes(folder);
    check_options();
    check_docs(folder);
    folder_remove(folder);
    return tap_done();
}
