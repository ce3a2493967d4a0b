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
    if (!fft) {
        err_memory(err);
        return NULL;
    }
    fft->size = size;
    fft->line_count = size / 2 + 1;
    fft->signal = fftw_alloc_real(size);
    fft->lines = fftw_alloc_complex(fft->line_count);
    if (fft->signal && fft->lines) {
        fft->forward = fftw_plan_dft_r2c_1d((int)size, fft->signal, fft->lines, FFTW_ESTIMATE);
        fft->backward = fftw_plan_dft_c2r_1d((int)size, fft->lines, fft->signal, FFTW_ESTIMATE);
    }
    if (!fft->forward || !fft->backward) {
        fft_free(fft);
        err_memory(err);
        return NULL;
    }
    return fft;
}

void fft_free(struct fft *fft)
{
    if (!fft)
        return;
    if (fft->forward)
        fftw_destroy_plan(fft->forward);
    if (fft->backward)
        fftw_destroy_plan(fft->backward);
    fftw_free(fft->signal);
    fftw_free(fft->lines);
    free(fft);
}

void fft_forward(struct fft *fft)
{
    fftw_execute(fft->forward);
}

void fft_backward(struct fft *fft)
{
    fftw_execute(fft->backward);
}

struct fft_complex *fft_complex_new(size_t size, struct err *err)
{
    if (!size_is_fine(size, err))
        return NULL;
    struct fft_complex *fft = memory_new(1, sizeof *fft);
    if (!fft) {
        err_memory(err);
        return NULL;
    }
    fft->size = size;
    fft->values = fftw_alloc_complex(size);
    if (fft->values) {
        fft->forward = fftw_plan_dft_1d((int)size, fft->values, fft->values, FFTW_FORWARD, FFTW_ESTIMATE);
        fft->backward = fftw_plan_dft_1d((int)size, fft->values, fft->values, FFTW_BACKWARD, FFTW_ESTIMATE);
    }
    if (!fft->forward || !fft->backward) {
        fft_complex_free(fft);
        err_memory(err);
        return NULL;
    }
    return fft;
}

void fft_complex_free(struct fft_complex *fft)
{
    if (!fft)
        return;
    if (fft->forward)
        fftw_destroy_plan(fft->forward);
    if (fft->backward)
        fftw_destroy_plan(fft->backward);
    fftw_free(fft->values);
    free(fft);
}

void fft_complex_forward(struct fft_complex *fft)
{
    fftw_execute(fft->forward);
}

void fft_complex_backward(struct fft_complex *fft)
{
    fftw_execute(fft->backward);
}

void fft_hann(double *window, size_t size)
{
    for (size_t i = 0; i < size; i++)
        window[i] = 0.5 - 0.5 * cos(2 * PI * (double)i / (double)size);
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
