/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "campaign/campaign.h"

#include "base/files.h"
#include "base/memory.h"
#include "campaign/campaign_read.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char *const quantity_keys[] = {
    [OPERATING_THRUST_N] = "thrust_n",           [OPERATING_POWER_W] = "power_w",           [OPERATING_RPM] = "rpm",
    [OPERATING_TIP_SPEED_M_S] = "tip_speed_m_s", [OPERATING_THROTTLE_PCT] = "throttle_pct",
};

const char *operating_quantity_key(enum operating_quantity quantity)
{
    return quantity < OPERATING_QUANTITY_COUNT ? quantity_keys[quantity] : "";
}

static void microphone_clear(struct microphone *microphone)
{
    free(microphone->name);
    free(microphone->background);
    free(microphone->calibration.file);
    free(microphone->calibration.after_file);
}

static void run_clear(struct run *run)
{
    for (size_t i = 0; i < run->note_count; i++) {
        free(run->notes[i].column);
        free(run->notes[i].value);
    }
    free(run->notes);
    free(run->note);
    free(run->file);
}

void campaign_clear(struct campaign *campaign)
{
    for (size_t i = 0; i < campaign->microphone_count; i++)
        microphone_clear(&campaign->microphones[i]);
    for (size_t i = 0; i < campaign->variant_count; i++)
        variant_clear(&campaign->variants[i]);
    for (size_t i = 0; i < campaign->run_count; i++)
        run_clear(&campaign->runs[i]);
    free(campaign->microphones);
    free(campaign->variants);
    free(campaign->runs);
    free(campaign->compare_points);
    free(campaign->folder);
    free(campaign->yaml_path);
    free(campaign->runs_path);
    free(campaign->title);
    free(campaign->date);
    *campaign = (struct campaign){ 0 };
}

bool campaign_find_variant(const struct campaign *campaign, const char *name, size_t *index)
{
    for (size_t i = 0; i < campaign->variant_count; i++) {
        if (strcmp(campaign->variants[i].name, name) == 0) {
            *index = i;
            return true;
        }
    }
    return false;
}

bool campaign_find_microphone(const struct campaign *campaign, const char *name, size_t *index)
{
    for (size_t i = 0; i < campaign->microphone_count; i++) {
        if (strcmp(campaign->microphones[i].name, name) == 0) {
            *index = i;
            return true;
        }
    }
    return false;
}

static bool ends_with(const char *text, const char *end)
{
    size_t length = strlen(text), end_length = strlen(end);
    return length > end_length && strcmp(text + length - end_length, end) == 0;
}

bool campaign_is_path(const char *path)
{
    struct stat info;
    return (stat(path, &info) == 0 && S_ISDIR(info.st_mode)) || ends_with(path, ".yaml") || ends_with(path, ".yml");
}

/* Where the campaign's files are: from a folder or the path of its campaign.yaml. */
static bool set_paths(struct campaign *campaign, const char *path)
{
    struct stat info;
    const char *slash = strrchr(path, '/');
    if (stat(path, &info) == 0 && S_ISDIR(info.st_mode)) {
        campaign->folder = memory_copy_text(path);
        campaign->yaml_path = files_join(path, "campaign.yaml");
    } else {
        campaign->folder = memory_copy_text(slash == path ? "/" : slash ? path : ".");
        if (campaign->folder && slash && slash != path)
            campaign->folder[slash - path] = '\0';
        campaign->yaml_path = memory_copy_text(path);
    }
    return campaign->folder && campaign->yaml_path;
}

/* In a folder that needs no naming, "runs.csv" is shown as that. */
static char *path_in(const char *folder, const char *name)
{
    return strcmp(folder, ".") == 0 ? memory_copy_text(name) : files_join(folder, name);
}

static void read_yaml_file(struct campaign_reader *reader, char **runs_name)
{
    struct err err;
    char *text;
    size_t size;
    if (!files_read(reader->file, CAMPAIGN_TEXT_MAX, &text, &size, &err)) {
        err_list_add(reader->errors, &err);
        return;
    }
    campaign_read_yaml(reader, text, size, runs_name);
    free(text);
}

static void read_runs_file(struct campaign_reader *reader, const char *runs_name)
{
    struct err err;
    char *text;
    size_t size;
    struct campaign *campaign = reader->campaign;
    campaign->runs_path = path_in(campaign->folder, runs_name);
    if (!campaign->runs_path) {
        err_memory(&err);
        err_list_add(reader->errors, &err);
        return;
    }
    reader->file = campaign->runs_path;
    if (!files_read(campaign->runs_path, CAMPAIGN_TEXT_MAX, &text, &size, &err)) {
        err_list_add(reader->errors, &err);
        return;
    }
    campaign_read_runs(reader, text, size);
    free(text);
}

static void read_both(struct campaign_reader *reader)
{
    char *runs_name = NULL;
    reader->file = reader->campaign->yaml_path;
    read_yaml_file(reader, &runs_name);
    if (runs_name)
        read_runs_file(reader, runs_name);
    free(runs_name);
}

bool campaign_read(const char *path, bool without_recordings, struct campaign *out, struct err_list *errors)
{
    struct campaign campaign = { 0 };
    struct campaign_reader reader = { .campaign = &campaign, .errors = errors };
    struct err err;
    char *real_folder = NULL;
    size_t before = reader_mistake_count(&reader);
    if (!set_paths(&campaign, path)) {
        err_memory(&err);
        err_list_add(errors, &err);
    } else if (!campaign_is_path(path) || !(real_folder = realpath(campaign.folder, NULL))) {
        err_file(&err, ERR_FILE, path, "is no campaign; give its folder or its campaign.yaml");
        err_list_add(errors, &err);
    } else {
        reader.folder = real_folder;
        reader.without_recordings = without_recordings;
        read_both(&reader);
    }
    free(real_folder);
    if (reader_mistake_count(&reader) != before) {
        campaign_clear(&campaign);
        return false;
    }
    *out = campaign;
    return true;
}
