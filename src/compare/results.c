/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/results.h"

#include <stdlib.h>

void results_clear(struct results *results)
{
    for (size_t i = 0; i < results->run_count; i++)
        run_result_clear(&results->runs[i]);
    free(results->runs);
    comparisons_clear(&results->comparisons);
    *results = (struct results){ 0 };
}
