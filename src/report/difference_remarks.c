/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/difference_remarks.h"

#include "report/warnings.h"

#include <ctype.h>
#include <string.h>

/* Known by phrases of their own, as in warnings.c. */
static bool is_detail(const char *remark)
{
    return strstr(remark, "of the nearest runs, with their tones where they lie there.") ||
           (strstr(remark, "50 to 60 lg is common practice") && !strstr(remark, "implausibly"));
}

static bool is_part_of_name(char letter)
{
    return isalnum((unsigned char)letter) || letter == '-' || letter == '_';
}

/* The name as a whole, not as part of a longer one. */
static bool names(const char *remark, const char *name)
{
    size_t length = strlen(name);
    for (const char *at = strstr(remark, name); at && length > 0; at = strstr(at + 1, name))
        if ((at == remark || !is_part_of_name(at[-1])) && !is_part_of_name(at[length]))
            return true;
    return false;
}

/* Whether it is about rotors that are not shown or their runs, and no other: the reference is named beside each. */
static bool is_of_others(const struct view *view, const char *remark)
{
    bool any = false;
    for (size_t v = 0; v < view_variant_count(view); v++) {
        if (v == view->results->reference || !names(remark, view_variant(view, v)->name))
            continue;
        if (view_is_shown(view, v))
            return false;
        any = true;
    }
    for (size_t i = 0; i < view->results->run_count && !any; i++) {
        const struct run_result *run = &view->results->runs[i];
        any = run->file && !view_is_shown(view, view_variant_of(view, run->variant)) && names(remark, run->file);
    }
    return any;
}

void difference_remarks_add(const struct view *view, struct document *document, enum remark_set set)
{
    const struct comparisons *all = &view->results->comparisons;
    size_t other_count = 0;
    for (size_t i = 0; i < all->remark_count; i++) {
        const char *remark = all->remarks[i];
        bool is_cut = strlen(remark) + 1 == sizeof *all->remarks; /* of very many rotors */
        if (is_detail(remark) != (set == REMARKS_DETAIL))
            continue;
        if (view_has_others(view) && is_of_others(view, remark) && !warnings_hold(remark))
            other_count++;
        else
            document_add(document, BLOCK_ITEM, "%s%s", remark, is_cut ? " \xe2\x80\xa6" : "");
    }
    if (other_count > 0)
        document_add(document, BLOCK_ITEM, "%zu more on rotors that are not shown: results.json, remarks.",
                     other_count);
}
