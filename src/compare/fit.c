/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/fit.h"

#include <gsl/gsl_multifit.h>
#include <math.h>

/* Two x are the same when they differ by less than this part of the range. */
#define SAME_X 1e-9

static void powers(const struct fit *fit, double x, double out[3])
{
    double scaled = (x - fit->centre) / fit->half_width;
    out[0] = 1;
    out[1] = scaled;
    out[2] = fit->degree == 2 ? scaled * scaled : 0;
}

static void power_slopes(const struct fit *fit, double x, double out[3])
{
    double scaled = (x - fit->centre) / fit->half_width;
    out[0] = 0;
    out[1] = 1 / fit->half_width;
    out[2] = fit->degree == 2 ? 2 * scaled / fit->half_width : 0;
}

static double form(const struct fit *fit, const double left[3], const double right[3])
{
    double sum = 0;
    for (int i = 0; i <= fit->degree; i++)
        for (int k = 0; k <= fit->degree; k++)
            sum += left[i] * fit->inverse[i][k] * right[k];
    return sum;
}

/* Whether there are at least `needed` (2 or 3) different x; the ends are `low` and `high`. */
static bool enough_different(const double *x, size_t count, double low, double high, int needed)
{
    double near = SAME_X * (high - low);
    if (!(high > low))
        return false;
    for (size_t i = 0; i < count && needed > 2; i++)
        if (x[i] - low > near && high - x[i] > near)
            return true;
    return needed == 2;
}

static bool solve(const double *x, const double *y, size_t count, struct fit *fit, struct err *err)
{
    size_t terms = (size_t)fit->degree + 1;
    gsl_matrix *design = gsl_matrix_alloc(count, terms), *covariance = gsl_matrix_alloc(terms, terms);
    gsl_vector *levels = gsl_vector_alloc(count), *solution = gsl_vector_alloc(terms);
    gsl_multifit_linear_workspace *workspace = gsl_multifit_linear_alloc(count, terms);
    bool solved = false;
    if (!design || !covariance || !levels || !solution || !workspace) {
        err_memory(err);
        goto done;
    }
    for (size_t i = 0; i < count; i++) {
        double row[3];
        powers(fit, x[i], row);
        for (size_t k = 0; k < terms; k++)
            gsl_matrix_set(design, i, k, row[k]);
        gsl_vector_set(levels, i, y[i]);
    }
    if (gsl_multifit_linear(design, levels, solution, covariance, &fit->residual_squares, workspace) != 0) {
        err_set(err, ERR_INTERNAL, "least squares of %zu runs failed", count);
        goto done;
    }
    for (size_t k = 0; k < terms; k++)
        fit->coefficients[k] = gsl_vector_get(solution, k);
    solved = true;
done:
    gsl_multifit_linear_free(workspace);
    gsl_vector_free(solution);
    gsl_vector_free(levels);
    gsl_matrix_free(covariance);
    gsl_matrix_free(design);
    return solved;
}

/* (X'X)^-1 by its cofactors: independent of the scatter, which GSL's covariance is not (it is 0/0 for an exact fit).
 * The scaled powers lie in [-1, 1], so the 3 x 3 matrix is well conditioned. */
static bool invert(const double *x, size_t count, struct fit *fit, struct err *err)
{
    double sums[5] = { 0 };
    for (size_t i = 0; i < count; i++) {
        double scaled = (x[i] - fit->centre) / fit->half_width, power = 1;
        for (int k = 0; k < 5; k++, power *= scaled)
            sums[k] += power;
    }
    double m[3][3];
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            m[i][k] = i <= fit->degree && k <= fit->degree ? sums[i + k] : (double)(i == k);
    double cofactor[3][3];
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            int a = (i + 1) % 3, b = (i + 2) % 3, c = (k + 1) % 3, d = (k + 2) % 3;
            cofactor[i][k] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
        }
    double determinant = m[0][0] * cofactor[0][0] + m[0][1] * cofactor[0][1] + m[0][2] * cofactor[0][2];
    if (!(determinant > 0))
        return err_set(err, ERR_MISSING, "operating points too close together for a curve");
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            fit->inverse[i][k] = i <= fit->degree && k <= fit->degree ? cofactor[k][i] / determinant : 0;
    return true;
}

bool fit_polynomial(const double *x, const double *y, size_t count, int degree, struct fit *out, struct err *err)
{
    struct fit fit = { .degree = degree, .count = count, .low = HUGE_VAL, .high = -HUGE_VAL };
    for (size_t i = 0; i < count; i++) {
        fit.low = fmin(fit.low, x[i]);
        fit.high = fmax(fit.high, x[i]);
    }
    if (!enough_different(x, count, fit.low, fit.high, degree + 1))
        return err_set(err, ERR_MISSING, "fewer than %d operating points", degree + 1);
    fit.centre = (fit.low + fit.high) / 2;
    fit.half_width = (fit.high - fit.low) / 2;
    fit.degrees_of_freedom = (double)count - degree - 1;
    if (!solve(x, y, count, &fit, err) || !invert(x, count, &fit, err))
        return false;
    *out = fit;
    return true;
}

struct fit fit_between(const struct fit *line, const struct fit *parabola, double weight)
{
    struct fit between = weight < 0.5 ? *line : *parabola;
    if (!(weight > 0))
        return between;
    between.degree = 2;
    for (int i = 0; i < 3; i++) {
        between.coefficients[i] = (1 - weight) * line->coefficients[i] + weight * parabola->coefficients[i];
        for (int k = 0; k < 3; k++)
            between.inverse[i][k] = (1 - weight) * line->inverse[i][k] + weight * parabola->inverse[i][k];
    }
    return between;
}

double fit_value(const struct fit *fit, double x)
{
    double basis[3];
    powers(fit, x, basis);
    return basis[0] * fit->coefficients[0] + basis[1] * fit->coefficients[1] + basis[2] * fit->coefficients[2];
}

double fit_slope(const struct fit *fit, double x)
{
    double basis[3];
    power_slopes(fit, x, basis);
    return basis[1] * fit->coefficients[1] + basis[2] * fit->coefficients[2];
}

double fit_leverage(const struct fit *fit, double x)
{
    double basis[3];
    powers(fit, x, basis);
    return form(fit, basis, basis);
}

double fit_slope_leverage(const struct fit *fit, double x)
{
    double basis[3];
    power_slopes(fit, x, basis);
    return form(fit, basis, basis);
}

double fit_weight(const struct fit *fit, double x, double run_x)
{
    double at[3], run[3];
    powers(fit, x, at);
    powers(fit, run_x, run);
    return form(fit, at, run);
}
