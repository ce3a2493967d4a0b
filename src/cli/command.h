/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_COMMAND_H
#define THRUM_CLI_COMMAND_H

/* A command is one table row and one file. Its options are a table too, which parsing and --help both read. */

#include "campaign/value.h"

#include <stdbool.h>
#include <stddef.h>

enum exit_status { STATUS_DONE = 0, STATUS_FAILED = 1, STATUS_WRONG_USE = 2 };

enum option_kind { OPTION_FLAG, OPTION_VALUE };

/* An option sets a member of the struct that its command parses into: a bool for a flag, else by its rule (value.h). */
struct option_row {
    const char *name; /* without the dashes */
    char letter;      /* 0: none */
    enum option_kind kind;
    const char *argument; /* "DIR"; NULL for flags */
    size_t offset;        /* flags */
    struct value_rule value;
    const char *help; /* one line, with unit and default */
};

/* Options of a command in groups; the last has a NULL title. */
struct option_group {
    const char *title;
    const struct option_row *rows;
    size_t count;
};

struct command {
    const char *name;
    const char *arguments; /* "CAMPAIGN [-o DIR]" */
    const char *takes;     /* "one campaign": its operands in words, for who gives others */
    int least_operands, most_operands;
    const char *summary;
    const struct option_group *groups;
    bool takes_rotor;     /* the variant's keys are options too */
    const char *examples; /* lines */
    enum exit_status (*run)(const struct command *command, int argc, char **argv);
};

extern const struct command command_report, command_measure, command_predict, command_check, command_calibrate,
    command_new;

#define VALUE_ROW(type_of, struct_of, member, long_name, short_letter, argument_name, low, high, text)                 \
    {                                                                                                                  \
        .name = (long_name), .letter = (short_letter), .kind = OPTION_VALUE, .argument = (argument_name),              \
        .value = { .type = (type_of), .offset = offsetof(struct_of, member), .least = (low), .most = (high) },         \
        .help = (text)                                                                                                 \
    }
#define FLAG_ROW(struct_of, member, long_name, short_letter, text)                                                     \
    {                                                                                                                  \
        .name = (long_name), .letter = (short_letter), .kind = OPTION_FLAG, .offset = offsetof(struct_of, member),     \
        .help = (text)                                                                                                 \
    }
#define COUNT_OF(table) (sizeof(table) / sizeof *(table))

#endif
