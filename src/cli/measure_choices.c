/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/measure_choices.h"

#include "base/pool.h"

#include <stddef.h>

const char *const band_choices[] = { "1/1", "1/3", "1/6", "1/12", "1/24", NULL };
const char *const field_choices[] = { "free", "diffuse", NULL };

int bands_per_octave(int choice)
{
    static const int counts[] = { 1, 3, 6, 12, 24 };
    return counts[choice];
}

unsigned job_count(int given)
{
    return given > 0 ? (unsigned)given : pool_processor_count();
}
