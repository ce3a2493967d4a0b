/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/fft.h"
#include "base/nearest.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/message.h"

#include <fcntl.h>
#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const struct command *const commands[] = {
    &command_report, &command_measure, &command_predict, &command_check, &command_calibrate, &command_new,
};

static enum exit_status show_help(void)
{
    struct text out = { 0 };
    help_program(commands, COUNT_OF(commands), &out);
    bool ok = print_text(&out);
    text_clear(&out);
    return ok ? STATUS_DONE : STATUS_FAILED;
}

static enum exit_status show_version(void)
{
    struct text out = { 0 };
    help_version(&out);
    bool ok = print_text(&out);
    text_clear(&out);
    return ok ? STATUS_DONE : STATUS_FAILED;
}

/* Where a standard stream was closed, the next file would be opened in its place and written to by mistake; this takes
 * the place, and what is written to it fails. */
static void hold_standard_streams(void)
{
    int place;
    do
        place = open("/dev/null", O_RDONLY);
    while (place >= 0 && place <= STDERR_FILENO);
    if (place > STDERR_FILENO)
        close(place);
}

int main(int argc, char **argv)
{
    /* Settings of the whole process: a library that would abort tells us instead, and planning is safe in threads. */
    hold_standard_streams();
    gsl_set_error_handler_off();
    fft_make_thread_safe();
    if (argc < 2) {
        message("which command? try 'thrum --help'");
        return STATUS_WRONG_USE;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
        return (int)show_help();
    if (strcmp(argv[1], "--version") == 0)
        return (int)show_version();
    const char *names[COUNT_OF(commands)];
    for (size_t i = 0; i < COUNT_OF(commands); i++) {
        names[i] = commands[i]->name;
        if (strcmp(argv[1], names[i]) == 0)
            return (int)commands[i]->run(commands[i], argc - 1, argv + 1);
    }
    const char *near = nearest_name(argv[1], names, COUNT_OF(commands));
    message("no command \"%s\"%s%s; try 'thrum --help'", argv[1], near ? "; perhaps " : "", near ? near : "");
    return STATUS_WRONG_USE;
}
