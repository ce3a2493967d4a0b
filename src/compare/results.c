/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/results.h"

#include "compare/grid.h"

bool results_are_absolute(const struct run_result *runs, size_t run_count)
{
    bool any_usable = false, usable_are = true, all_are = true;
    for (size_t i = 0; i < run_count; i++) {
        bool is_usable = run_is_usable(&runs[i]);
        any_usable = any_usable || is_usable;
        usable_are = usable_are && (!is_usable || runs[i].is_absolute);
        all_are = all_are && runs[i].is_absolute;
    }
    return any_usable ? usable_are : all_are;
}
