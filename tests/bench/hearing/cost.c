/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the hearing meters cost against one averaged spectrum: Hann window, 16384 points, half overlap, one thread,
 * processor time. Usage: bench-hearing-cost [SECONDS [ROUNDS]]. Rounds alternate; medians are shown. */
#include "base/fft.h"
#include "hearing/hearing.h"
#include "hearing/signals.h"

#include <string.h>
#include <time.h>

#define BLOCK 8192
#define POINTS 16384
#define MOST_ROUNDS 25

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static double spectrum_s(const struct signal *signal, double *power)
{
    struct err err;
    struct fft *fft = fft_new(POINTS, &err);
    double *window = calloc(POINTS, sizeof *window);
    if (!fft || !window)
        abort();
    fft_hann(window, POINTS);
    double start_s = now_s();
    for (size_t from = 0; from + POINTS <= signal->count; from += POINTS / 2) {
        for (size_t i = 0; i < POINTS; i++)
            fft->signal[i] = window[i] * signal->pa[from + i];
        fft_forward(fft);
        for (size_t k = 0; k < fft->line_count; k++)
            power[k] += creal(fft->lines[k]) * creal(fft->lines[k]) + cimag(fft->lines[k]) * cimag(fft->lines[k]);
    }
    double took_s = now_s() - start_s;
    fft_free(fft);
    free(window);
    return took_s;
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, size_t count)
{
    qsort(values, count, sizeof *values, ascending);
    return values[count / 2];
}

int main(int argc, char **argv)
{
    double duration_s = argc > 1 ? strtod(argv[1], NULL) : 120;
    size_t rounds = argc > 2 ? (size_t)strtoul(argv[2], NULL, 10) : 5;
    if (!(duration_s >= 2) || rounds < 1 || rounds > MOST_ROUNDS)
        return 2;
    struct signal signal = signal_new(48000, duration_s);
    add_white_noise(&signal, 25, 1);
    add_am_tone(&signal, 400, 65, 50, 0.5);
    add_am_tone(&signal, 1000, 60, 4, 0.8);
    double *power = calloc(POINTS / 2 + 1, sizeof *power);
    double floor_s[MOST_ROUNDS], meter_s[8][MOST_ROUNDS], per_sample = 1e9 / (double)signal.count, sum = 0;
    if (!power || hearing_meter_count > 8)
        return 1;
    for (size_t round = 0; round < rounds; round++) {
        floor_s[round] = spectrum_s(&signal, power);
        for (size_t m = 0; m < hearing_meter_count; m++) {
            struct figures figures;
            struct meter_setup setup = setup_of(&signal);
            double start_s = now_s();
            if (!run_meter(hearing_meters[m], &setup, &signal, BLOCK, &figures))
                return 1;
            meter_s[m][round] = now_s() - start_s;
            figures_clear(&figures);
        }
    }
    double floor = median(floor_s, rounds);
    printf("%-12s %7.2f ns a sample\n", "spectrum", floor * per_sample);
    for (size_t m = 0; m < hearing_meter_count; m++) {
        double took = median(meter_s[m], rounds);
        printf("%-12s %7.2f ns a sample, %5.2f of the spectrum\n", hearing_meters[m]->name, took * per_sample,
               took / floor);
        sum += took / floor;
    }
    printf("all: %.2f of the spectrum\n", sum);
    free(power);
    free(signal.pa);
    return 0;
}
