/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/yaml_tree.h"

#include "base/memory.h"
#include "campaign/text_check.h"

#include <stdlib.h>
#include <string.h>
#include <yaml.h>

struct builder {
    yaml_parser_t parser;    /* libyaml's, zeroed by it */
    const char *file, *text; /* the text without a byte-order mark */
    size_t size;
    struct err_list *errors;
};

static struct place place_of(const struct builder *builder, const yaml_mark_t *mark)
{
    return (struct place){ .file = builder->file, .line = (int)mark->line + 1, .column = (int)mark->column + 1 };
}

static void add_memory_error(struct builder *builder)
{
    struct err err;
    err_memory(&err);
    err_list_add(builder->errors, &err);
}

/* A tab for indent is the mistake that libyaml's words explain least: nothing but spaces stands before it. */
static bool is_tab_indent(const struct builder *builder, const yaml_mark_t *mark)
{
    size_t line = 0, i = 0;
    for (; i < builder->size && line < mark->line; i++)
        line += builder->text[i] == '\n';
    size_t column = 0;
    while (i + column < builder->size && builder->text[i + column] == ' ')
        column++;
    return column == mark->column && i + column < builder->size && builder->text[i + column] == '\t';
}

static void add_parser_error(struct builder *builder)
{
    const yaml_parser_t *parser = &builder->parser;
    if (parser->error == YAML_MEMORY_ERROR) {
        add_memory_error(builder);
        return;
    }
    struct place place = place_of(builder, &parser->problem_mark);
    const char *problem = parser->problem ? parser->problem : "it can't be read";
    if (is_tab_indent(builder, &parser->problem_mark))
        err_list_at(builder->errors, ERR_SYNTAX, &place, "a tab; indent with spaces");
    else if (parser->context)
        err_list_at(builder->errors, ERR_SYNTAX, &place, "not YAML: %s (%s from line %d)", problem, parser->context,
                    (int)parser->context_mark.line + 1);
    else
        err_list_at(builder->errors, ERR_SYNTAX, &place, "not YAML: %s", problem);
}

/* The next event; false at a mistake that parsing can't go on from. The caller deletes the event. */
static bool next_event(struct builder *builder, yaml_event_t *event)
{
    if (yaml_parser_parse(&builder->parser, event))
        return true;
    add_parser_error(builder);
    return false;
}

static struct yaml_node *new_node(struct builder *builder, enum yaml_kind kind, const struct place *where)
{
    struct yaml_node *node = memory_new(1, sizeof *node);
    if (!node) {
        add_memory_error(builder);
        return NULL;
    }
    node->kind = kind;
    node->where = *where;
    return node;
}

void yaml_tree_free(struct yaml_node *node)
{
    while (node) {
        struct yaml_node *next = node->next;
        yaml_tree_free(node->first);
        free(node->key);
        free(node->text);
        free(node);
        node = next;
    }
}

const struct yaml_node *yaml_tree_find(const struct yaml_node *map, const char *key)
{
    for (const struct yaml_node *entry = map->first; entry; entry = entry->next)
        if (entry->key && strcmp(entry->key, key) == 0)
            return entry;
    return NULL;
}

/* Anchors and tags are told and then passed over. */
static bool is_plain_node(struct builder *builder, const struct place *where, const yaml_char_t *anchor,
                          const yaml_char_t *tag)
{
    if (anchor)
        err_list_at(builder->errors, ERR_SYNTAX, where,
                    "anchor \"&%s\"; anchors are not read here, write the value out",
                    excerpt((const char *)anchor).text);
    if (tag)
        err_list_at(builder->errors, ERR_SYNTAX, where, "tag \"%s\"; tags are not read here, leave it out",
                    excerpt((const char *)tag).text);
    return !anchor && !tag;
}

/* A scalar's text; a zero in it, which only an escape can make, is a mistake. */
static char *copy_scalar(struct builder *builder, const yaml_event_t *event, const struct place *where, bool *bad)
{
    char *copy = memory_copy_text((const char *)event->data.scalar.value);
    if (!copy) {
        add_memory_error(builder);
        return NULL;
    }
    if (strlen(copy) != event->data.scalar.length) {
        err_list_at(builder->errors, ERR_SYNTAX, where, "a zero byte in a text; only text is right here");
        *bad = true;
    }
    return copy;
}

static struct yaml_node *read_node(struct builder *builder, const yaml_event_t *event, int depth);

enum step { STEP_ENTRY, STEP_END, STEP_STOP };

static enum step read_key(struct builder *builder, char **key, struct place *where, bool *bad)
{
    yaml_event_t event;
    if (!next_event(builder, &event))
        return STEP_STOP;
    *where = place_of(builder, &event.start_mark);
    enum step step = STEP_STOP;
    if (event.type == YAML_MAPPING_END_EVENT) {
        step = STEP_END;
    } else if (event.type == YAML_SCALAR_EVENT) {
        *bad = !is_plain_node(builder, where, event.data.scalar.anchor, event.data.scalar.tag);
        *key = copy_scalar(builder, &event, where, bad);
        step = *key ? STEP_ENTRY : STEP_STOP;
    } else {
        err_list_at(builder->errors, ERR_SYNTAX, where, "this can't be a key; a key must be one plain word");
    }
    yaml_event_delete(&event);
    return step;
}

/* The value after a key, or the next item of a list. */
static enum step read_value(struct builder *builder, int depth, struct yaml_node **node)
{
    yaml_event_t event;
    if (!next_event(builder, &event))
        return STEP_STOP;
    enum step step = STEP_END;
    if (event.type != YAML_SEQUENCE_END_EVENT) {
        *node = read_node(builder, &event, depth);
        step = *node ? STEP_ENTRY : STEP_STOP;
    }
    yaml_event_delete(&event);
    return step;
}

static enum step read_entry(struct builder *builder, enum yaml_kind kind, int depth, struct yaml_node **entry)
{
    char *key = NULL;
    struct place key_where = { 0 };
    bool bad = false;
    enum step step = kind == YAML_MAP ? read_key(builder, &key, &key_where, &bad) : STEP_ENTRY;
    if (step == STEP_ENTRY)
        step = read_value(builder, depth, entry);
    if (step != STEP_ENTRY) {
        free(key);
        return step;
    }
    (*entry)->key = key;
    (*entry)->key_where = key_where;
    (*entry)->bad = (*entry)->bad || bad;
    return STEP_ENTRY;
}

/* Takes `entry`, and drops it when its key stands in the map already. */
static void add_entry(struct builder *builder, struct yaml_node *map, struct yaml_node **last, struct yaml_node *entry)
{
    const struct yaml_node *before = entry->key ? yaml_tree_find(map, entry->key) : NULL;
    if (before) {
        err_list_at(builder->errors, ERR_NAME, &entry->key_where, "\"%s\" is given twice; first on line %d",
                    excerpt(entry->key).text, before->key_where.line);
        yaml_tree_free(entry);
        return;
    }
    if (*last)
        (*last)->next = entry;
    else
        map->first = entry;
    *last = entry;
}

static bool fill_collection(struct builder *builder, struct yaml_node *node, int depth)
{
    struct yaml_node *last = NULL, *entry = NULL;
    for (int count = 0;; count++) {
        switch (read_entry(builder, node->kind, depth, &entry)) {
        case STEP_STOP:
            return false;
        case STEP_END:
            return true;
        case STEP_ENTRY:
            break;
        }
        if (count == YAML_TREE_ENTRIES_MAX) {
            err_list_at(builder->errors, ERR_RANGE, &entry->where, "more than %d entries; no campaign has so many",
                        YAML_TREE_ENTRIES_MAX);
            yaml_tree_free(entry);
            return false;
        }
        add_entry(builder, node, &last, entry);
    }
}

static struct yaml_node *read_scalar(struct builder *builder, const yaml_event_t *event, const struct place *where)
{
    struct yaml_node *node = new_node(builder, YAML_SCALAR, where);
    if (!node)
        return NULL;
    node->bad = !is_plain_node(builder, where, event->data.scalar.anchor, event->data.scalar.tag);
    node->quoted = event->data.scalar.style != YAML_PLAIN_SCALAR_STYLE;
    node->text = copy_scalar(builder, event, where, &node->bad);
    if (node->text)
        return node;
    yaml_tree_free(node);
    return NULL;
}

static struct yaml_node *read_collection(struct builder *builder, const yaml_event_t *event, const struct place *where,
                                         int depth)
{
    bool is_map = event->type == YAML_MAPPING_START_EVENT;
    if (depth > YAML_TREE_DEPTH_MAX) {
        err_list_at(builder->errors, ERR_SYNTAX, where, "more than %d levels deep; no campaign is",
                    YAML_TREE_DEPTH_MAX);
        return NULL;
    }
    struct yaml_node *node = new_node(builder, is_map ? YAML_MAP : YAML_LIST, where);
    if (!node)
        return NULL;
    node->bad =
        !(is_map ? is_plain_node(builder, where, event->data.mapping_start.anchor, event->data.mapping_start.tag)
                 : is_plain_node(builder, where, event->data.sequence_start.anchor, event->data.sequence_start.tag));
    if (fill_collection(builder, node, depth + 1))
        return node;
    yaml_tree_free(node);
    return NULL;
}

/* NULL at a mistake that parsing can't go on from. An alias becomes an empty scalar that readers pass over. */
static struct yaml_node *read_node(struct builder *builder, const yaml_event_t *event, int depth)
{
    struct place where = place_of(builder, &event->start_mark);
    if (event->type == YAML_SCALAR_EVENT)
        return read_scalar(builder, event, &where);
    if (event->type == YAML_MAPPING_START_EVENT || event->type == YAML_SEQUENCE_START_EVENT)
        return read_collection(builder, event, &where, depth);
    if (event->type != YAML_ALIAS_EVENT) {
        err_list_at(builder->errors, ERR_INTERNAL, &where, "a YAML event of kind %d out of its place",
                    (int)event->type);
        return NULL;
    }
    err_list_at(builder->errors, ERR_SYNTAX, &where, "alias \"*%s\"; aliases are not read here, write the value out",
                excerpt((const char *)event->data.alias.anchor).text);
    struct yaml_node *node = new_node(builder, YAML_SCALAR, &where);
    if (!node)
        return NULL;
    node->bad = true;
    node->text = memory_copy_text("");
    if (node->text)
        return node;
    add_memory_error(builder);
    yaml_tree_free(node);
    return NULL;
}

/* What an event outside the one document is worth. */
static bool take_outer_event(struct builder *builder, const yaml_event_t *event, struct yaml_node **root)
{
    struct place where = place_of(builder, &event->start_mark);
    if (event->type != YAML_DOCUMENT_START_EVENT)
        return true;
    if (*root) {
        err_list_at(builder->errors, ERR_SYNTAX, &where, "a second document; a file holds one");
        return false;
    }
    if (event->data.document_start.version_directive ||
        event->data.document_start.tag_directives.start != event->data.document_start.tag_directives.end)
        err_list_at(builder->errors, ERR_SYNTAX, &where, "a %% directive; directives are not read here, leave it out");
    return read_value(builder, 1, root) == STEP_ENTRY;
}

static bool read_stream(struct builder *builder, struct yaml_node **root)
{
    yaml_event_t event;
    for (bool ok = true, at_end = false; ok && !at_end;) {
        if (!next_event(builder, &event))
            return false;
        at_end = event.type == YAML_STREAM_END_EVENT;
        ok = take_outer_event(builder, &event, root);
        yaml_event_delete(&event);
        if (!ok)
            return false;
    }
    if (!*root)
        err_list_at(builder->errors, ERR_SYNTAX, (&(struct place){ builder->file, 1, 1 }),
                    "nothing in it; keys and values are needed");
    return *root != NULL;
}

bool yaml_tree_parse(const char *text, size_t size, const char *file, struct yaml_node **out, struct err_list *errors)
{
    size_t mark = text_mark_size(text, size);
    struct builder builder = { .file = file, .text = text + mark, .size = size - mark, .errors = errors };
    struct err err;
    size_t before = errors->count + errors->dropped;
    *out = NULL;
    if (!text_check(text, size, file, &err)) {
        err_list_add(errors, &err);
        return false;
    }
    if (!yaml_parser_initialize(&builder.parser)) {
        add_memory_error(&builder);
        return false;
    }
    yaml_parser_set_encoding(&builder.parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&builder.parser, (const unsigned char *)builder.text, builder.size);
    struct yaml_node *root = NULL;
    if (!read_stream(&builder, &root)) {
        yaml_tree_free(root);
        root = NULL;
    }
    yaml_parser_delete(&builder.parser);
    *out = root;
    return errors->count + errors->dropped == before;
}
