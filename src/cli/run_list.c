/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/run_list.h"

#include "base/files.h"
#include "base/memory.h"
#include "base/version.h"
#include "campaign/text_check.h"
#include "cli/json_text.h"
#include "measure/run_json.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

bool run_list_new(struct run_list *list, size_t count, struct err *err)
{
    struct run_result *items = memory_new(count, sizeof *items);
    if (!items)
        return err_memory(err);
    for (size_t i = 0; i < count; i++)
        run_result_init(&items[i]);
    *list = (struct run_list){ items, count };
    return true;
}

void run_list_clear(struct run_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        run_result_clear(&list->items[i]);
    free(list->items);
    *list = (struct run_list){ 0 };
}

bool run_list_write(const struct run_result *runs, size_t count, struct text *out, struct err *err)
{
    json_t *list = json_array();
    bool ok = list || err_memory(err);
    for (size_t i = 0; ok && i < count; i++) {
        json_t *run = run_json_write(&runs[i], err);
        ok = run && (json_array_append_new(list, run) == 0 || err_memory(err));
    }
    if (!ok) {
        json_decref(list);
        return false;
    }
    json_t *root = json_pack("{s:{s:s, s:i}, s:o}", "thrum", "version", thrum_version, "format", THRUM_RESULTS_FORMAT,
                             "runs", list);
    json_text_add(root, out);
    return !out->failed || err_memory(err);
}

/* The run of the campaign that a result is of; its row tells apart two rows with the same file. */
static bool find_run(const struct campaign *campaign, const struct run_result *result, size_t *index)
{
    for (size_t i = 0; i < campaign->run_count; i++) {
        if (campaign->runs[i].row == result->row && strcmp(campaign->runs[i].file, result->file) == 0) {
            *index = i;
            return true;
        }
    }
    return false;
}

/* A folder of results, and what they must be of. */
struct taking {
    const struct campaign *campaign;
    const struct measure_plan *plan;
    struct run_list *out;
};

static bool settings_are_same(const char *path, const struct settings *before, const struct settings *now,
                              struct err *err)
{
    const char *was, *is, *name = settings_difference(before, now, &was, &is);
    if (before->count == 0)
        return err_file(err, ERR_SYNTAX, path, "does not say by what settings it was measured; measure it again");
    if (!name)
        return true;
    struct excerpt old = excerpt(was ? was : ""), new = excerpt(is ? is : "");
    return err_file(err, ERR_SYNTAX, path, "measured with%s %s%s%s, but now it is %s; measure it again",
                    was ? "" : "out", excerpt(name).text, was ? " " : "", old.text, is ? new.text : "not given");
}

/* The operating point and notes of a saved result are those of the log as it is now, rounded as results are. */
static bool take_log(const char *path, const struct taking *taking, size_t index, struct run_result *result,
                     struct err *err)
{
    struct run_result logged;
    run_result_init(&logged);
    bool ok = run_result_identify(taking->campaign, taking->plan, index, &logged, err) &&
              run_result_settle(&logged, err) && settings_are_same(path, &result->settings, &logged.settings, err);
    if (ok) {
        const struct run_result saved = *result;
        result->throttle_pct = logged.throttle_pct;
        result->thrust_n = logged.thrust_n;
        result->power_w = logged.power_w;
        result->note = logged.note;
        result->notes = logged.notes;
        result->note_count = logged.note_count;
        logged.note = saved.note;
        logged.notes = saved.notes;
        logged.note_count = saved.note_count;
    }
    run_result_clear(&logged);
    return ok;
}

static bool take_run(const json_t *object, const char *path, const struct taking *taking, struct err *err)
{
    const struct campaign *campaign = taking->campaign;
    struct run_list *out = taking->out;
    struct run_result result;
    if (!run_json_read(object, path, &result, err))
        return false;
    size_t index;
    bool ok = true;
    if (!find_run(campaign, &result, &index)) {
        run_result_clear(&result);
    } else if (out->items[index].file) {
        ok = err_file(err, ERR_SYNTAX, path, "a second result of %s, row %d of the run log; keep one", result.file,
                      result.row);
        run_result_clear(&result);
    } else if (take_log(path, taking, index, &result, err)) {
        out->items[index] = result;
    } else {
        run_result_clear(&result);
        ok = false;
    }
    return ok;
}

static bool take_file(const char *path, const struct taking *taking, struct err *err)
{
    json_error_t at;
    json_t *root = json_load_file(path, JSON_REJECT_DUPLICATES, &at);
    if (!root)
        return err_at(err, ERR_SYNTAX, &(struct place){ path, at.line > 0 ? at.line : 0, at.column }, "%s", at.text);
    const json_t *format = json_object_get(json_object_get(root, "thrum"), "format");
    const json_t *runs = json_object_get(root, "runs");
    bool ok = true;
    if (!json_is_integer(format) || !json_is_array(runs))
        ok = err_file(err, ERR_SYNTAX, path, "no results of thrum measure --json; take it out of the folder");
    else if (json_integer_value(format) != THRUM_RESULTS_FORMAT)
        ok = err_file(err, ERR_SYNTAX, path, "results of format %d; this program reads format %d",
                      (int)json_integer_value(format), THRUM_RESULTS_FORMAT);
    for (size_t i = 0; ok && i < json_array_size(runs); i++)
        ok = take_run(json_array_get(runs, i), path, taking, err);
    json_decref(root);
    return ok;
}

static bool is_json_name(const char *name)
{
    size_t length = strlen(name);
    return name[0] != '.' && length > 5 && strcmp(name + length - 5, ".json") == 0;
}

static void take_folder(DIR *folder, const char *path, const struct taking *taking, struct err_list *errors)
{
    const struct campaign *campaign = taking->campaign;
    struct err err;
    const struct dirent *entry;
    while ((entry = readdir(folder))) {
        if (!is_json_name(entry->d_name))
            continue;
        char *file = files_join(path, entry->d_name);
        if (!file)
            err_memory(&err);
        if (!file || !take_file(file, taking, &err))
            err_list_add(errors, &err);
        free(file);
    }
    /* A result that was refused is there. */
    bool any_refused = errors->count > 0;
    for (size_t i = 0; !any_refused && i < campaign->run_count; i++) {
        if (!taking->out->items[i].file) {
            err_file(&err, ERR_MISSING, path,
                     "no result of %s, row %d of the run log; thrum measure --json --campaign "
                     "makes it",
                     campaign->runs[i].file, campaign->runs[i].row);
            err_list_add(errors, &err);
        }
    }
}

bool run_list_read_folder(const char *path, const struct campaign *campaign, const struct measure_plan *plan,
                          struct run_list *out, struct err_list *errors)
{
    struct err err;
    DIR *folder = opendir(path);
    if (!folder) {
        err_file(&err, ERR_FILE, path, "cannot open this folder: %s", strerror(errno));
        err_list_add(errors, &err);
        return false;
    }
    bool ok = run_list_new(out, campaign->run_count, &err);
    if (!ok)
        err_list_add(errors, &err);
    else
        take_folder(folder, path, &(struct taking){ campaign, plan, out }, errors);
    closedir(folder);
    if (ok && errors->count > 0) {
        run_list_clear(out);
        ok = false;
    }
    return ok;
}
