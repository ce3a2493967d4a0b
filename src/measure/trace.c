/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/trace.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"

#include <math.h>

#define FIRST_HZ 20.0
#define LAST_HZ 20000.0

double trace_hz(const struct trace *trace, size_t index)
{
    return trace->first_hz * exp2((double)index / TRACE_PER_OCTAVE);
}

bool trace_of_spectrum(const struct spectrum *spectrum, struct trace *out, struct err *err)
{
    double last_hz = fmin(LAST_HZ, (double)(spectrum->count - 1) * spectrum->step_hz);
    if (spectrum->count == 0 || last_hz < FIRST_HZ) {
        *out = (struct trace){ .first_hz = FIRST_HZ, .line_hz = ABSENT };
        return true;
    }
    size_t count = (size_t)floor(log2(last_hz / FIRST_HZ) * TRACE_PER_OCTAVE) + 1;
    double *level_db = memory_new(count, sizeof *level_db);
    if (!level_db)
        return err_memory(err);
    struct trace trace = {
        .first_hz = FIRST_HZ, .line_hz = spectrum->enbw_lines * spectrum->step_hz, .level_db = level_db, .count = count
    };
    for (size_t i = 0; i < count; i++) {
        double low_hz = trace_hz(&trace, i) * exp2(-0.5 / TRACE_PER_OCTAVE);
        double high_hz = low_hz * exp2(1.0 / TRACE_PER_OCTAVE);
        double largest_pa2 = ABSENT;
        for (size_t k = (size_t)ceil(low_hz / spectrum->step_hz);
             k < spectrum->count && (double)k * spectrum->step_hz < high_hz; k++)
            largest_pa2 = fmax(largest_pa2, spectrum->pa2[k]);
        level_db[i] = pa2_to_db(largest_pa2);
    }
    *out = trace;
    return true;
}
