/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/line_spacing.h"

#include "base/memory.h"
#include "base/units.h"

#include <math.h>
#include <stdlib.h>

/* Power response of the Hann window, 1 at its middle; `lines` counts spacings from there. Beyond four spacings it is
 * below -50 dB and left out. */
#define REACH_LINES 4
static double hann_response(double lines)
{
    double x = fabs(lines);
    if (x < 1e-9)
        return 1;
    if (fabs(x - 1) < 1e-9)
        return 0.25;
    double amplitude = sin(PI * x) / (PI * x * (1 - x * x));
    return amplitude * amplitude;
}

static double widened_line_pa2(const struct spectrum *fine, size_t middle, const double *response, size_t reach)
{
    double sum_pa2 = response[0] * fine->pa2[middle];
    for (size_t offset = 1; offset <= reach; offset++) {
        if (offset <= middle)
            sum_pa2 += response[offset] * fine->pa2[middle - offset];
        if (middle + offset < fine->count)
            sum_pa2 += response[offset] * fine->pa2[middle + offset];
    }
    return sum_pa2;
}

bool spectrum_widen(const struct spectrum *fine, size_t factor, struct spectrum *out, struct err *err)
{
    size_t count = fine->count == 0 ? 0 : (fine->count - 1) / factor + 1, reach = factor > 1 ? REACH_LINES * factor : 0;
    double *response = memory_new(reach + 1, sizeof *response);
    double *pa2 = memory_new(count, sizeof *pa2);
    if (!response || !pa2) {
        free(response);
        free(pa2);
        return err_memory(err);
    }
    double sum = 0;
    for (size_t i = 0; i <= reach; i++) {
        response[i] = hann_response((double)i / (double)factor);
        sum += i == 0 ? response[i] : 2 * response[i];
    }
    *out = *fine;
    out->pa2 = pa2;
    out->count = count;
    out->step_hz = fine->step_hz * (double)factor;
    out->enbw_lines = factor > 1 ? sum / (double)factor : fine->enbw_lines;
    for (size_t k = 0; k < count; k++)
        pa2[k] = widened_line_pa2(fine, k * factor, response, reach) / (factor > 1 ? fine->enbw_lines : 1);
    free(response);
    return true;
}
