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

/* Runs are taken not to follow their laws when that is this unlikely to come from what repeats scatter. */
#define LACK_PROBABILITY 0.01

struct squares {
    double sum, degrees;
};

const struct law *cell_law(const struct cell *cell)
{
    return cell->clean.is_fitted ? &cell->clean : cell->all.is_fitted ? &cell->all : NULL;
}

/* What a cell's runs leave about one of its laws, or about the means of the operating points where no law could be
 * fitted. Where runs don't follow their laws, only what the means of the points leave: repeats share that. */
static struct squares about(const struct grid *grid, const struct cell *cell, const struct fit *fit)
{
    if (!cell_law(cell))
        return (struct squares){ cell->repeat_squares, cell->repeat_degrees };
    if (!grid->scatter.lacks_fit)
        return (struct squares){ fit->residual_squares, fit->degrees_of_freedom };
    return (struct squares){ fmax(fit->residual_squares - cell->repeat_squares, 0),
                             fit->degrees_of_freedom - cell->repeat_degrees };
}

static struct squares about_parabola(const struct grid *grid, const struct cell *cell)
{
    return about(grid, cell, cell_law(cell) ? &cell_law(cell)->curved : NULL);
}

static struct squares about_chosen(const struct grid *grid, const struct cell *cell)
{
    return about(grid, cell, cell_law(cell) ? &cell_law(cell)->chosen : NULL);
}

static struct squares within_points(const struct grid *grid, const struct cell *cell)
{
    (void)grid;
    return (struct squares){ cell->repeat_squares, cell->repeat_degrees };
}

/* Bartlett's test of equal variances (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.7). */
static bool are_alike(const struct grid *grid, struct squares total)
{
    double logs = 0, inverses = 0, variance = total.sum / total.degrees;
    size_t groups = 0;
    if (!(variance > 0))
        return true;
    for (size_t i = 0; i < grid->cell_count; i++) {
        struct squares squares = about_chosen(grid, &grid->cells[i]);
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

static struct squares total_of(const struct grid *grid, struct squares (*of)(const struct grid *, const struct cell *))
{
    struct squares total = { 0, 0 };
    for (size_t i = 0; i < grid->cell_count; i++) {
        struct squares squares = of(grid, &grid->cells[i]);
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

/* The means of the points lie further off their parabolas than repeats scatter: the test for lack of fit (NIST/SEMATECH
 * e-Handbook of Statistical Methods, 4.4.4.6). Of a quantity that is no smooth function of the operating value that is
 * known beforehand, and any more than repeats scatter will do. */
static bool lacks_fit(const struct grid *grid)
{
    struct squares pure = total_of(grid, within_points), full = total_of(grid, about_parabola);
    struct squares lack = { fmax(full.sum - pure.sum, 0), full.degrees - pure.degrees };
    if (!(lack.degrees > 0) || !(pure.degrees > 0) || !(pure.sum > 0))
        return false;
    double f = lack.sum / lack.degrees / (pure.sum / pure.degrees);
    return quantity_is_smooth(grid->quantity.kind) ? gsl_cdf_fdist_Q(f, lack.degrees, pure.degrees) < LACK_PROBABILITY
                                                   : f > 1;
}

void scatter_judge(struct grid *grid)
{
    grid->scatter = (struct scatter){ .pooled = { ABSENT, 0 } };
    grid->scatter.lacks_fit = lacks_fit(grid);
    struct squares full = total_of(grid, about_parabola);
    double weight = curve_weight(grid, full);
    for (size_t i = 0; i < grid->cell_count; i++)
        weigh(&grid->cells[i], weight);
    struct squares total = total_of(grid, about_chosen);
    grid->scatter.knows_curvature = full.degrees > 0;
    if (!(total.degrees > 0))
        return;
    grid->scatter.pooled = (struct uncertainty){ sqrt(total.sum / total.degrees), total.degrees };
    grid->scatter.is_pooled = !any_left_out(grid) && are_alike(grid, total);
}

struct uncertainty grid_scatter(const struct grid *grid, const struct cell *cell, const struct estimate *estimate)
{
    bool of_repeats = grid->scatter.lacks_fit && !estimate->is_of_law;
    if (grid->scatter.is_pooled && !of_repeats)
        return grid->scatter.pooled;
    struct squares squares = of_repeats ? within_points(grid, cell) : about_chosen(grid, cell);
    if (!(squares.degrees > 0))
        return (struct uncertainty){ ABSENT, 0 };
    return (struct uncertainty){ sqrt(squares.sum / squares.degrees), squares.degrees };
}

/* Squares about the chosen laws and within operating points, of the cells that share a scatter. */
static void share(const struct grid *grid, const struct cell *cell, struct squares *about_law, struct squares *pure)
{
    bool is_shared = grid->scatter.is_pooled || !(about_chosen(grid, cell).degrees > 0);
    *about_law = is_shared ? total_of(grid, about_chosen) : about_chosen(grid, cell);
    *pure = is_shared ? total_of(grid, within_points) : within_points(grid, cell);
}

struct uncertainty grid_deviation(const struct grid *grid, const struct cell *cell)
{
    struct squares law, pure;
    share(grid, cell, &law, &pure);
    if (!(law.degrees > 0))
        return (struct uncertainty){ 0, HUGE_VAL };
    double variance = law.sum / law.degrees, scatter = pure.degrees > 0 ? pure.sum / pure.degrees : variance, jump = 0;
    if (grid->scatter.lacks_fit && cell->count > 0)
        jump =
            fmax(variance - scatter, 0) * (double)sample_point_count(cell->samples, cell->count) / (double)cell->count;
    if (!quantity_is_smooth(grid->quantity.kind))
        jump = fmax(jump, scatter);
    return jump > 0 ? (struct uncertainty){ sqrt(jump), law.degrees } : (struct uncertainty){ 0, HUGE_VAL };
}

struct uncertainty estimate_uncertainty(const struct grid *grid, const struct cell *cell,
                                        const struct estimate *estimate)
{
    struct uncertainty parts[4] = {
        grid_scatter(grid, cell, estimate), { 0, HUGE_VAL }, { estimate->placing, HUGE_VAL }, grid_deviation(grid, cell)
    };
    parts[0].standard *= sqrt(estimate->leverage);
    if (grid->scatter.knows_curvature)
        parts[1] = uncertainty_rectangular(estimate->curvature);
    return uncertainty_sum(parts, estimate->is_of_law ? 4 : 3);
}
