/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/options.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/text.h"
#include "campaign/variant_keys.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One option that getopt may report, and where it comes from. */
struct known {
    const struct option_row *row;  /* or */
    const struct variant_key *key; /* or */
    bool is_help, is_bearings;
};

struct parser {
    const struct command *command;
    struct option *options; /* getopt's table, ends with zeros */
    struct known *known;
    const char **names;
    size_t count;
    char letters[80];
};

static void add(struct parser *parser, const char *name, char letter, bool has_argument, struct known known)
{
    parser->options[parser->count] =
        (struct option){ name, has_argument ? required_argument : no_argument, NULL, 256 + (int)parser->count };
    parser->known[parser->count] = known;
    parser->names[parser->count++] = name;
    if (letter) {
        size_t used = strlen(parser->letters);
        snprintf(parser->letters + used, sizeof parser->letters - used, "%c%s", letter, has_argument ? ":" : "");
    }
}

static bool parser_init(struct parser *parser, const struct command *command)
{
    size_t room = 3 + variant_key_count;
    for (const struct option_group *group = command->groups; group->title; group++)
        room += group->count;
    *parser = (struct parser){ .command = command, .letters = ":" };
    parser->options = memory_new(room, sizeof *parser->options);
    parser->known = memory_new(room, sizeof *parser->known);
    parser->names = memory_new(room, sizeof *parser->names);
    if (!parser->options || !parser->known || !parser->names)
        return false;
    add(parser, "help", 'h', false, (struct known){ .is_help = true });
    for (const struct option_group *group = command->groups; group->title; group++)
        for (size_t i = 0; i < group->count; i++)
            add(parser, group->rows[i].name, group->rows[i].letter, group->rows[i].kind == OPTION_VALUE,
                (struct known){ .row = &group->rows[i] });
    for (size_t i = 0; command->takes_rotor && i < variant_key_count; i++)
        add(parser, variant_keys[i].option, 0, true, (struct known){ .key = &variant_keys[i] });
    if (command->takes_rotor)
        add(parser, "bearings", 0, true, (struct known){ .is_bearings = true });
    return true;
}

static void parser_clear(struct parser *parser)
{
    free(parser->options);
    free(parser->known);
    free(parser->names);
}

static const struct known *known_of(const struct parser *parser, int code)
{
    if (code >= 256)
        return &parser->known[code - 256];
    if (code == 'h')
        return &parser->known[0];
    for (size_t i = 0; i < parser->count; i++)
        if (parser->known[i].row && parser->known[i].row->letter == code)
            return &parser->known[i];
    return NULL;
}

/* getopt takes "--out" for "--output"; we don't. Every long option is looked at before getopt sees it. */
static const struct option *exact(const struct parser *parser, const char *word)
{
    size_t length = strcspn(word + 2, "=");
    for (size_t i = 0; i < parser->count; i++)
        if (strlen(parser->names[i]) == length && strncmp(parser->names[i], word + 2, length) == 0)
            return &parser->options[i];
    return NULL;
}

static bool is_short_with_argument(const struct parser *parser, const char *word)
{
    const char *letter = word[0] == '-' && word[1] && !word[2] ? strchr(parser->letters + 1, word[1]) : NULL;
    return letter && letter[1] == ':';
}

static bool all_spelt_out(const struct parser *parser, int argc, char **argv, struct err_list *errors)
{
    bool ok = true;
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++) {
        if (strncmp(argv[i], "--", 2) != 0) {
            i += is_short_with_argument(parser, argv[i]);
            continue;
        }
        const struct option *option = exact(parser, argv[i]);
        if (option) {
            i += option->has_arg == required_argument && !strchr(argv[i], '=');
            continue;
        }
        char name[64];
        text_fit(name, sizeof name, "%.*s", (int)strcspn(argv[i] + 2, "="), argv[i] + 2);
        const char *near = nearest_name(name, parser->names, parser->count);
        err_list_at(errors, ERR_USAGE, NULL, "no option \"--%s\"%s%s; try 'thrum %s --help'", name,
                    near ? "; perhaps --" : "", near ? near : "", parser->command->name);
        ok = false;
    }
    return ok;
}

static bool apply(const struct known *known, const char *argument, void *values, struct variant *rotor,
                  bool *rotor_was_given, struct err_list *errors)
{
    struct err err;
    char label[80];
    bool ok = true;
    if (known->is_bearings || known->key)
        *rotor_was_given = true;
    if (known->is_bearings)
        return variant_add_bearing_text(rotor, argument, &(struct place){ "--bearings", 0, 0 }, errors);
    if (known->key) {
        snprintf(label, sizeof label, "--%s", known->key->option);
        ok = value_set(rotor, label, &known->key->value, argument, NULL, &err);
    } else if (known->row->kind == OPTION_FLAG) {
        *(bool *)((char *)values + known->row->offset) = true;
    } else {
        snprintf(label, sizeof label, "--%s", known->row->name);
        ok = value_set(values, label, &known->row->value, argument, NULL, &err);
    }
    if (!ok)
        err_list_add(errors, &err);
    return ok;
}

static bool parse(const struct parser *parser, int argc, char **argv, void *values, struct variant *rotor,
                  bool *rotor_was_given, bool *wants_help, struct err_list *errors)
{
    bool ok = all_spelt_out(parser, argc, argv, errors);
    opterr = 0;
    optind = 1;
    int code;
    while (ok && (code = getopt_long(argc, argv, parser->letters, parser->options, NULL)) != -1) {
        if (code == ':' || code == '?') {
            bool is_short = optopt > 0 && optopt < 256;
            err_list_at(errors, ERR_USAGE, NULL, "%s%s %s; try 'thrum %s --help'", is_short ? "-" : "",
                        is_short ? (const char[]){ (char)optopt, '\0' } : text_short(argv[optind - 1]).text,
                        code == ':' ? "needs a value"
                        : is_short  ? "is no option"
                                    : "takes no value",
                        parser->command->name);
            return false;
        }
        const struct known *known = known_of(parser, code);
        if (known->is_help)
            *wants_help = true;
        else
            ok = apply(known, optarg, values, rotor, rotor_was_given, errors);
    }
    return ok;
}

bool options_parse(const struct command *command, int argc, char **argv, void *values, struct variant *rotor,
                   bool *rotor_was_given, bool *wants_help, struct operands *operands, struct err_list *errors)
{
    struct parser parser;
    bool ok = parser_init(&parser, command);
    if (!ok) {
        struct err err;
        err_memory(&err);
        err_list_add(errors, &err);
    }
    ok = ok && parse(&parser, argc, argv, values, rotor, rotor_was_given, wants_help, errors);
    *operands = (struct operands){ argv + optind, argc - optind };
    parser_clear(&parser);
    return ok;
}
