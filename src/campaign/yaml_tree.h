/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_YAML_TREE_H
#define THRUM_CAMPAIGN_YAML_TREE_H

/* A YAML text as a tree in which every node knows its place. The subset that people write by hand: maps, lists and
 * scalars, one document. Anchors, aliases, tags, directives, a key given twice, depth over 16 and more than 1000
 * entries in one map or list are mistakes. Scalars stay text: no guessing of types. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

#define YAML_TREE_DEPTH_MAX 16
#define YAML_TREE_ENTRIES_MAX 1000

enum yaml_kind { YAML_SCALAR, YAML_LIST, YAML_MAP };

struct yaml_node {
    enum yaml_kind kind;
    char *key; /* of an entry of a map, else NULL */
    struct place key_where;
    char *text;  /* of a scalar */
    bool quoted; /* the scalar stood in quotes or in a block */
    bool bad;    /* a mistake was told of this node already: readers pass over it */
    struct place where;
    struct yaml_node *first, *next; /* entries of a map or list, in their order */
};

/* Parses a whole text; places point to `file`, which must outlive the tree. Every mistake goes to `errors`; after a
 * mistake that parsing can't go on from *out is NULL, otherwise it is the tree of what could be read, and the caller
 * goes on to tell the mistakes of the rest. True without any mistake. Free with yaml_tree_free. */
bool yaml_tree_parse(const char *text, size_t size, const char *file, struct yaml_node **out,
                     struct err_list *errors) MUST_CHECK;
void yaml_tree_free(struct yaml_node *node);

/* The entry of a map, or NULL. */
const struct yaml_node *yaml_tree_find(const struct yaml_node *map, const char *key);

#endif
