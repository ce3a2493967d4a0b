/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/fft.h"
#include "base/units.h"

/* Against the direct sum of the definition. */
static void forward_is_the_direct_sum(size_t size)
{
    struct err err;
    struct fft *fft = fft_new(size, &err);
    if (!tap_ok(fft != NULL, "a transform of %zu", size))
        return;
    double *kept = calloc(size, sizeof *kept);
    unsigned state = 7;
    for (size_t n = 0; n < size; n++) {
        state = state * 1103515245u + 12345u;
        fft->signal[n] = kept[n] = (double)(state >> 16 & 0x7fff) / 16384.0 - 1;
    }
    fft_forward(fft);
    double worst = 0;
    for (size_t k = 0; k < fft->line_count; k++) {
        double complex sum = 0;
        for (size_t n = 0; n < size; n++)
            sum += kept[n] * cexp(CMPLX(0, -2 * PI * (double)(k * n % size) / (double)size));
        worst = fmax(worst, cabs(sum - fft->lines[k]));
    }
    tap_near(worst, 0, 1e-12 * (double)size, "size %zu against the direct sum", size);
    fft_backward(fft);
    worst = 0;
    for (size_t n = 0; n < size; n++)
        worst = fmax(worst, fabs(fft->signal[n] / (double)size - kept[n]));
    tap_near(worst, 0, 1e-13, "and back");
    free(kept);
    fft_free(fft);
}

/* A tone d lines beside a line shows there as sinc(d) / (1 - d^2), the transform of the Hann window (closed form). */
static double hann_line(double d)
{
    return fabs(d) < 1e-9 ? 1 : fabs(d - 1) < 1e-9 ? 0.5 : sin(PI * d) / (PI * d) / (1 - d * d);
}

static void offsets_are_found(void)
{
    static const double offsets[] = { -0.5, -0.3, 0, 0.01, 0.49 };
    for (size_t i = 0; i < sizeof offsets / sizeof *offsets; i++) {
        double d = offsets[i];
        tap_near(fft_hann_offset(hann_line(1 + d), hann_line(d), hann_line(1 - d)), d, 1e-12,
                 "a tone %g lines beside its line", d);
    }
    tap_near(fft_hann_offset(0, 0, 0), 0, 0, "silence lies nowhere beside");
}

int main(void)
{
    offsets_are_found();
    forward_is_the_direct_sum(2);
    forward_is_the_direct_sum(15);
    forward_is_the_direct_sum(256);
    struct err err;
    tap_ok(fft_new(1, &err) == NULL && err.kind == ERR_INTERNAL, "a transform of one value is refused");
    struct fft_complex *fft = fft_complex_new(8, &err);
    if (tap_ok(fft != NULL, "a complex transform")) {
        for (size_t n = 0; n < 8; n++)
            fft->values[n] = cexp(CMPLX(0, 2 * PI * 3 * (double)n / 8));
        fft_complex_forward(fft);
        tap_near(creal(fft->values[3]), 8, 1e-13, "a rotating phasor is one line");
        fft_complex_backward(fft);
        tap_near(creal(fft->values[0]), 8, 1e-13, "and back");
        fft_complex_free(fft);
    }
    double window[4];
    fft_hann(window, 4);
    tap_near(window[2], 1, 0, "Hann window's top");
    tap_ok(fft_good_size(7) == 8 && fft_good_size(61) == 64 && fft_good_size(5) == 5, "good sizes");
    return tap_done();
}
