/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/files.h"
#include "campaign/template.h"
#include "cli/command_line.h"
#include "cli/message.h"

#include <stdlib.h>
#include <unistd.h>

struct new_arguments {
    bool quiet;
};

static const struct option_row new_rows[] = {
    FLAG_ROW(struct new_arguments, quiet, "quiet", 'q', "don't tell the files that were written"),
};

static const struct option_group new_groups[] = {
    { "Options", new_rows, COUNT_OF(new_rows) },
    { 0 },
};

/* Nothing of the user's is overwritten: all names must be free before the first file is written. */
static bool names_are_free(const char *folder, struct err *err)
{
    for (size_t i = 0; i < campaign_template_count; i++) {
        char *path = files_join(folder, campaign_template[i].name);
        if (!path)
            return err_memory(err);
        bool is_there = access(path, F_OK) == 0;
        if (is_there)
            err_file(err, ERR_FILE, path, "is there already; thrum new overwrites nothing, name another folder");
        free(path);
        if (is_there)
            return false;
    }
    return true;
}

static bool write_template(const char *folder, struct text *written, struct err *err)
{
    bool ok = names_are_free(folder, err) && files_make_folder(folder, err);
    for (size_t i = 0; ok && i < campaign_template_count; i++) {
        char *path = files_join(folder, campaign_template[i].name), *content = template_text(&campaign_template[i]);
        struct text bytes = { 0 };
        if (content)
            text_add(&bytes, content);
        ok = path && content && !bytes.failed ? files_write(path, bytes.data, bytes.length, err) : err_memory(err);
        if (ok)
            text_addf(written, "%s\n", path);
        free(path);
        free(content);
        text_clear(&bytes);
    }
    return ok;
}

static enum exit_status run(const struct command *command, int argc, char **argv)
{
    struct new_arguments arguments = { 0 };
    struct operands operands;
    struct err err;
    struct text out = { 0 };
    enum exit_status status;
    if (!command_line_take(command, argc, argv, &arguments, NULL, &operands, &status))
        return status;
    if (!operands.items[0][0]) {
        message("new needs a folder's name, and this one is empty");
        status = STATUS_WRONG_USE;
    } else if (!write_template(operands.items[0], &out, &err)) {
        message_err(&err);
        status = status_of(err.kind);
    } else {
        status = arguments.quiet || print_text(&out) ? STATUS_DONE : STATUS_FAILED;
    }
    text_clear(&out);
    return status;
}

const struct command command_new = {
    .name = "new",
    .arguments = "DIR",
    .takes = "one folder to make",
    .least_operands = 1,
    .most_operands = 1,
    .summary = "make a commented campaign folder to fill in",
    .groups = new_groups,
    .examples = "  thrum new reed-bed\n",
    .run = run,
};
