/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/scatter.h"

#include "base/absent.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* The scatters of the cells are taken for one unless Bartlett's test finds them this unlikely to be. */
#define POOL_PROBABILITY 0.05

/* Times the scatter that a parabola has to gain before it is believed at all: Akaike's price of a parameter. */
#define CURVE_PRICE 2

/* Degrees of freedom that parabolas must leave, a law: with fewer their own scatter is too uncertain to stand on. */
#define LEAST_DEGREES 2

struct squares {
    double sum, degrees;
};

const struct law *cell_law(const struct cell *cell)
{
    return cell->clean.is_fitted ? &cell->clean : cell->all.is_fitted ? &cell->all : NULL;
}

/* What a cell's runs leave about a parabola, or about the means of the operating points where no law could be fitted.
 */
static struct squares about_parabola(const struct cell *cell)
{
    const struct law *law = cell_law(cell);
    if (!law)
        return (struct squares){ cell->repeat_squares, cell->repeat_degrees };
    return (struct squares){ law->curved.residual_squares, law->curved.degrees_of_freedom };
}

static struct squares about_chosen(const struct cell *cell)
{
    const struct law *law = cell_law(cell);
    if (!law)
        return (struct squares){ cell->repeat_squares, cell->repeat_degrees };
    return (struct squares){ law->chosen.residual_squares, law->chosen.degrees_of_freedom };
}

/* Bartlett's test of equal variances (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.7). */
static bool are_alike(const struct grid *grid, struct squares total)
{
    double logs = 0, inverses = 0, variance = total.sum / total.degrees;
    size_t groups = 0;
    if (!(variance > 0))
        return true;
    for (size_t i = 0; i < grid->cell_count; i++) {
        struct squares squares = about_chosen(&grid->cells[i]);
        if (!(squares.degrees > 0))
            continue;
        if (!(squares.sum > 0)) /* one without any scatter beside others with some */
            return false;
        logs += squares.degrees * log(squares.sum / squares.degrees);
        inverses += 1 / squares.degrees;
        groups++;
    }
    if (groups < 2)
        return true;
    double spread =
        (total.degrees * log(variance) - logs) / (1 + (inverses - 1 / total.degrees) / (3.0 * (double)(groups - 1)));
    return gsl_cdf_chisq_Q(spread, (double)(groups - 1)) >= POOL_PROBABILITY;
}

static struct squares total_of(const struct grid *grid, struct squares (*of)(const struct cell *))
{
    struct squares total = { 0, 0 };
    for (size_t i = 0; i < grid->cell_count; i++) {
        struct squares squares = of(&grid->cells[i]);
        total.sum += squares.sum;
        total.degrees += squares.degrees;
    }
    return total;
}

/* Bands whose runs tones hide in part: what is left scatters as noise, the others' as tones, and few runs don't tell.
 */
static bool any_left_out(const struct grid *grid)
{
    for (size_t i = 0; i < grid->cell_count; i++)
        if (grid->cells[i].veil[0])
            return true;
    return false;
}

/* The weight of the parabolas: F is 1 where laws are straight, and grows as the square of their bend. */
static double curve_weight(const struct grid *grid, struct squares full)
{
    double gain = 0, laws = 0;
    for (size_t i = 0; i < grid->cell_count; i++) {
        const struct law *law = cell_law(&grid->cells[i]);
        if (law) {
            gain += fmax(law->straight.residual_squares - law->curved.residual_squares, 0);
            laws++;
        }
    }
    if (laws == 0 || full.degrees < LEAST_DEGREES * laws || !(full.sum > 0))
        return 0;
    double f = gain / laws / (full.sum / full.degrees);
    return f > CURVE_PRICE ? 1 - CURVE_PRICE / f : 0;
}

static void weigh(struct cell *cell, double weight)
{
    if (cell->clean.is_fitted)
        law_weigh(&cell->clean, weight);
    if (cell->all.is_fitted)
        law_weigh(&cell->all, weight);
}

void scatter_judge(struct grid *grid)
{
    struct squares full = total_of(grid, about_parabola);
    double weight = curve_weight(grid, full);
    for (size_t i = 0; i < grid->cell_count; i++)
        weigh(&grid->cells[i], weight);
    struct squares total = total_of(grid, about_chosen);
    grid->scatter.knows_curvature = full.degrees > 0;
    grid->scatter.pooled = (struct uncertainty){ ABSENT, 0 };
    if (!(total.degrees > 0))
        return;
    grid->scatter.pooled = (struct uncertainty){ sqrt(total.sum / total.degrees), total.degrees };
    grid->scatter.is_pooled = !any_left_out(grid) && are_alike(grid, total);
}

struct uncertainty grid_scatter(const struct grid *grid, const struct cell *cell)
{
    if (grid->scatter.is_pooled)
        return grid->scatter.pooled;
    struct squares squares = about_chosen(cell);
    if (!(squares.degrees > 0))
        return (struct uncertainty){ ABSENT, 0 };
    return (struct uncertainty){ sqrt(squares.sum / squares.degrees), squares.degrees };
}

struct uncertainty estimate_uncertainty(const struct grid *grid, const struct cell *cell,
                                        const struct estimate *estimate)
{
    struct uncertainty parts[3] = { grid_scatter(grid, cell), { 0, HUGE_VAL }, { estimate->placing, HUGE_VAL } };
    parts[0].standard *= sqrt(estimate->leverage);
    if (grid->scatter.knows_curvature)
        parts[1] = uncertainty_rectangular(estimate->curvature);
    return uncertainty_sum(parts, 3);
}
