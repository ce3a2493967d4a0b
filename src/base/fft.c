/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/fft.h"

#include "base/memory.h"
#include "base/units.h"

#include <fftw3.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>

void fft_make_thread_safe(void)
{
    fftw_make_planner_thread_safe();
}

static bool size_is_fine(size_t size, struct err *err)
{
    if (size < 2 || size > INT_MAX / 2)
        return err_set(err, ERR_INTERNAL, "a transform of %zu values can't be made", size);
    return true;
}

struct fft *fft_new(size_t size, struct err *err)
{
    if (!size_is_fine(size, err))
        return NULL;
    struct fft *fft = memory_new(1, sizeof *fft);
    if (fft) {
        fft->size = size;
        fft->line_count = size / 2 + 1;
        fft->signal = fftw_alloc_real(size);
        fft->lines = fftw_alloc_complex(fft->line_count);
        if (fft->signal && fft->lines)
            fft->plan = fftw_plan_dft_r2c_1d((int)size, fft->signal, fft->lines, FFTW_ESTIMATE);
    }
    if (fft && fft->plan)
        return fft;
    fft_free(fft);
    err_memory(err);
    return NULL;
}

void fft_free(struct fft *fft)
{
    if (!fft)
        return;
    if (fft->plan)
        fftw_destroy_plan(fft->plan);
    fftw_free(fft->signal);
    fftw_free(fft->lines);
    free(fft);
}

void fft_forward(struct fft *fft)
{
    fftw_execute(fft->plan);
}

/* Re - Im of the transform of a real signal is its Hartley transform, which is its own inverse: the signal whose lines
 * are given is the Hartley transform of their Re - Im. Line size - k is the conjugate of line k. */
void fft_backward(struct fft *fft)
{
    const size_t size = fft->size;
    for (size_t pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k < fft->line_count; k++) {
            bool is_single = k == 0 || 2 * k == size;
            double real = creal(fft->lines[k]), imaginary = is_single ? 0 : cimag(fft->lines[k]);
            fft->signal[is_single ? k : size - k] = real + imaginary;
            fft->signal[k] = real - imaginary;
        }
        if (pass == 0)
            fftw_execute(fft->plan);
    }
}

struct fft_complex *fft_complex_new(size_t size, struct err *err)
{
    if (!size_is_fine(size, err))
        return NULL;
    struct fft_complex *fft = memory_new(1, sizeof *fft);
    if (fft) {
        fft->size = size;
        fft->values = fftw_alloc_complex(size);
        if (fft->values)
            fft->plan = fftw_plan_dft_1d((int)size, fft->values, fft->values, FFTW_BACKWARD, FFTW_ESTIMATE);
    }
    if (fft && fft->plan)
        return fft;
    fft_complex_free(fft);
    err_memory(err);
    return NULL;
}

void fft_complex_free(struct fft_complex *fft)
{
    if (!fft)
        return;
    if (fft->plan)
        fftw_destroy_plan(fft->plan);
    fftw_free(fft->values);
    free(fft);
}

static void conjugate(struct fft_complex *fft)
{
    for (size_t i = 0; i < fft->size; i++)
        fft->values[i] = conj(fft->values[i]);
}

void fft_complex_forward(struct fft_complex *fft)
{
    conjugate(fft);
    fftw_execute(fft->plan);
    conjugate(fft);
}

void fft_complex_backward(struct fft_complex *fft)
{
    fftw_execute(fft->plan);
}

void fft_hann(double *window, size_t size)
{
    for (size_t i = 0; i < size; i++)
        window[i] = 0.5 - 0.5 * cos(2 * PI * (double)i / (double)size);
}

double fft_hann_offset(double below, double highest, double above)
{
    double ratio = highest > 0 ? fmin(fmax(below, above) / highest, 1) : 0.5;
    double offset = fmax((2 * ratio - 1) / (ratio + 1), 0);
    return above > below ? offset : -offset;
}

size_t fft_good_size(size_t least)
{
    for (size_t size = least < 2 ? 2 : least;; size++) {
        size_t rest = size;
        while (rest % 2 == 0)
            rest /= 2;
        while (rest % 3 == 0)
            rest /= 3;
        while (rest % 5 == 0)
            rest /= 5;
        if (rest == 1)
            return size;
    }
}
