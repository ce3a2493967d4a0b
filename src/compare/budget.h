/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_BUDGET_H
#define THRUM_COMPARE_BUDGET_H

/* The components of a difference that do not show in the scatter (GUM type B): what cancels because both variants were
 * recorded with the same microphone at the same place and gain, and what does not. Sources of the sizes:
 * docs/comparison.md, "What the interval holds". */

#include "compare/grid.h"

#include <stdbool.h>
#include <stddef.h>

#define COMPONENT_MAX 16

struct component {
    char name[128];
    double standard; /* of the difference, in its unit; ABSENT: matters, but its size is not known */
    double degrees_of_freedom;
    bool cancels; /* common to both: shown, not counted */
};

/* One side of a difference. `sensitivity` is the change of the value per change of y: 1, or the value itself where y is
 * its logarithm. */
struct side {
    const struct variant *variant;
    const struct microphone *microphone;
    const struct run_result *run; /* any of its runs: gain and drift belong to the microphone */
    const struct estimate *estimate;
    double sensitivity;
};

/* Appends to components[*count], of room COMPONENT_MAX. Components of size 0 that count are left out. */
void budget_type_b(const struct side *variant, const struct side *reference, const struct grid *grid,
                   struct component *components, size_t *count);

#endif
