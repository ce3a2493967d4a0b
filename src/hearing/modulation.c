/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/modulation.h"

#include <math.h>

struct modulation modulation_of(const double complex *lines, size_t line_count)
{
    struct modulation modulation = { lines, 0 };
    for (size_t k = 1; k < line_count; k++)
        modulation.power += 2 * (creal(lines[k]) * creal(lines[k]) + cimag(lines[k]) * cimag(lines[k]));
    return modulation;
}

double modulation_correlation(const struct modulation *a, const struct modulation *b, size_t line_count)
{
    double powers = a->power * b->power, sum = 0;
    if (!(powers > 0))
        return 0;
    for (size_t k = 1; k < line_count; k++)
        sum += 2 * creal(a->lines[k] * conj(b->lines[k]));
    return sum / sqrt(powers);
}
