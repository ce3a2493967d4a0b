/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/command_line.h"

#include "cli/help.h"
#include "cli/message.h"

static enum exit_status show_help(const struct command *command)
{
    struct text help = { 0 };
    help_command(command, &help);
    bool ok = print_text(&help);
    text_clear(&help);
    return ok ? STATUS_DONE : STATUS_FAILED;
}

bool command_line_take(const struct command *command, int argc, char **argv, void *values, struct rotor_choice *rotor,
                       struct operands *operands, enum exit_status *status)
{
    struct err_list errors = { 0 };
    bool wants_help = false;
    bool ok = options_parse(command, argc, argv, values, rotor ? &rotor->rotor : NULL,
                            rotor ? &rotor->rotor_was_given : NULL, &wants_help, operands, &errors);
    if (wants_help) {
        *status = show_help(command);
        return false;
    }
    if (ok && (operands->count < command->least_operands || operands->count > command->most_operands)) {
        err_list_at(&errors, ERR_USAGE, NULL, "%s takes %s; try 'thrum %s --help'", command->name, command->takes,
                    command->name);
        ok = false;
    }
    if (!ok) {
        message_errors(&errors);
        *status = STATUS_WRONG_USE;
    }
    return ok;
}
