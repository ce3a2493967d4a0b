/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_GUM_H
#define THRUM_COMPARE_GUM_H

/* Expressing uncertainty: coverage factors and the sum of components, JCGM 100:2008 (GUM) clauses 4.2, 5.1.2, G.3,
 * G.4.1. Standard uncertainties carry the unit of what they belong to; degrees of freedom are INFINITY for type B. */

#include <stddef.h>

struct uncertainty {
    double standard;
    double degrees_of_freedom;
};

/* Student's factor that holds `confidence` (0.95) of the distribution between -k and +k; the normal one at INFINITY.
 * `degrees_of_freedom` need not be whole (Welch-Satterthwaite gives such). ABSENT at 0 or less. */
double student_factor_two_sided(double degrees_of_freedom, double confidence);

/* The same for a limit on one side only. */
double student_factor_one_sided(double degrees_of_freedom, double confidence);

/* Probability of a |t| at least this large when there is no difference. */
double student_tail_two_sided(double t, double degrees_of_freedom);

/* Root sum of squares, with the effective degrees of freedom of Welch and Satterthwaite (GUM G.2b). */
struct uncertainty uncertainty_sum(const struct uncertainty *components, size_t count);

/* Rectangular distribution of half width `half_width` (GUM 4.3.7), type B. */
struct uncertainty uncertainty_rectangular(double half_width);

#endif
