/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_HOLM_H
#define THRUM_COMPARE_HOLM_H

/* Many differences tested at once: Holm's step-down correction (S. Holm, Scandinavian Journal of Statistics 6 (1979)
 * 65). It keeps the chance that even one of the differences called real is not, at or below `level`, whatever the
 * dependence between them. */

#include <stdbool.h>
#include <stddef.h>

/* stands[i]: the difference with probabilities[i] survives among all that are given; absent ones do not count. Equal
 * probabilities are treated alike. */
void holm_step_down(const double *probabilities, size_t count, double level, bool *stands);

#endif
