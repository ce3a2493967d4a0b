/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_FFT_H
#define THRUM_BASE_FFT_H

/* Transforms of a fixed size, planned once and run any number of times on buffers that the transform owns. Always
 * FFTW's ESTIMATE plans, so that the same input gives the same bits whatever else runs. Planning is safe in threads
 * after `main` has called fft_make_thread_safe(); a transform belongs to one thread at a time. */

#include "base/err.h"

#include <complex.h>
#include <stddef.h>

/* Once in `main`, before the first thread. */
void fft_make_thread_safe(void);

/* Real signal of `size` values <-> size/2 + 1 complex lines, unnormalised:
 * forward  lines[k] = sum over n of signal[n] exp(-2 pi i k n / size);
 * backward signal[n] = the full inverse sum, `size` times the original (lines is destroyed). Planning takes as long as
 * some transforms, so that there is one plan, forward: the way back is made of it. */
struct fft {
    size_t size, line_count;
    double *signal;
    double complex *lines;
    void *plan;
};

struct fft *fft_new(size_t size, struct err *err); /* size at least 2 */
void fft_free(struct fft *fft);
void fft_forward(struct fft *fft);
void fft_backward(struct fft *fft);

/* Complex <-> complex in place, unnormalised both ways; for analytic signals. The one plan is backward. */
struct fft_complex {
    size_t size;
    double complex *values;
    void *plan;
};

struct fft_complex *fft_complex_new(size_t size, struct err *err);
void fft_complex_free(struct fft_complex *fft);
void fft_complex_forward(struct fft_complex *fft);
void fft_complex_backward(struct fft_complex *fft);

/* window[i] of the periodic Hann window of `size` values: 0.5 - 0.5 cos(2 pi i / size). */
void fft_hann(double *window, size_t size);

/* Where a steady tone lies beside the highest line of a Hann-windowed spectrum, in lines, -0.5 to 0.5 but for noise: of
 * the amplitudes of that line and its neighbours the larger neighbour's ratio r to it gives (2r - 1)/(r + 1). */
double fft_hann_offset(double below, double highest, double above);

/* The smallest size of the form 2^a 3^b 5^c that is at least `least`: fast and close. */
size_t fft_good_size(size_t least);

#endif
