/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What each meter costs, in nanoseconds a sample and as a ratio to the floor: one Hann-windowed transform of 16384 with
 * half overlap over the same signal. Alternating, median of the rounds. Not a test.
 *   bench-meters [RATE [SECONDS [ROUNDS]]] */

#include "rig.h"

#include "base/fft.h"
#include "meters/meter_list.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define FLOOR_FRAMES 16384
#define ROUNDS_MAX 99
#define ROWS_MAX 16

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static int by_size(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

static double median(double *values, size_t count)
{
    qsort(values, count, sizeof *values, by_size);
    return values[count / 2];
}

static double time_floor(const struct signal *signal, struct fft *fft, const double *window, double *power)
{
    double start_s = now_s();
    for (size_t at = 0; at + FLOOR_FRAMES <= signal->frame_count; at += FLOOR_FRAMES / 2) {
        for (size_t i = 0; i < FLOOR_FRAMES; i++)
            fft->signal[i] = window[i] * signal->pa[at + i];
        fft_forward(fft);
        for (size_t k = 0; k < fft->line_count; k++)
            power[k] += creal(fft->lines[k]) * creal(fft->lines[k]) + cimag(fft->lines[k]) * cimag(fft->lines[k]);
    }
    return now_s() - start_s;
}

static double time_meter(const struct meter_kind *kind, const struct signal *signal, int bands_per_octave)
{
    struct figures figures;
    figures_init(&figures);
    double start_s = now_s();
    rig_run(kind, signal, bands_per_octave, 0, &figures);
    double seconds = now_s() - start_s;
    figures_clear(&figures);
    return seconds;
}

int main(int argument_count, char **arguments)
{
    double rate_hz = argument_count > 1 ? strtod(arguments[1], NULL) : 48000;
    double seconds = argument_count > 2 ? strtod(arguments[2], NULL) : 60;
    size_t rounds = argument_count > 3 ? (size_t)strtoul(arguments[3], NULL, 10) : 5;
    static const struct {
        const char *name;
        int per_octave;
    } fractions[] = { { "1/1", 1 }, { "1/6", 6 }, { "1/12", 12 }, { "1/24", 24 } };
    const size_t row_count = level_meter_count + 4;
    if (rounds < 1 || rounds > ROUNDS_MAX || row_count > ROWS_MAX)
        return EXIT_FAILURE;
    struct signal signal = signal_new(rate_hz, 0, seconds);
    signal_add_noise(&signal, 0.1, 1);
    signal_add_sine(&signal, 140, 1, 0);
    struct fft *fft = fft_new(FLOOR_FRAMES, NULL);
    static double window[FLOOR_FRAMES], power[FLOOR_FRAMES / 2 + 1], times[ROWS_MAX][ROUNDS_MAX], floor_s[ROUNDS_MAX];
    if (!fft)
        return EXIT_FAILURE;
    fft_hann(window, FLOOR_FRAMES);
    for (size_t round = 0; round < rounds; round++) {
        floor_s[round] = time_floor(&signal, fft, window, power);
        for (size_t i = 0; i < level_meter_count; i++)
            times[i][round] = time_meter(level_meters[i], &signal, 0);
        for (size_t i = 0; i < 4; i++)
            times[level_meter_count + i][round] = time_meter(level_meters[2], &signal, fractions[i].per_octave);
    }
    double frames = (double)signal.frame_count, floor_median_s = median(floor_s, rounds), sum_s = 0;
    printf("%-24s %8s %8s\n", "", "ns/frame", "ratio");
    printf("%-24s %8.2f %8.2f\n", "floor", 1e9 * floor_median_s / frames, 1.0);
    for (size_t i = 0; i < row_count; i++) {
        double median_s = median(times[i], rounds);
        bool is_default = i < level_meter_count;
        sum_s += is_default ? median_s : 0;
        printf("%-24s %8.2f %8.2f\n", is_default ? level_meters[i]->name : fractions[i - level_meter_count].name,
               1e9 * median_s / frames, median_s / floor_median_s);
    }
    printf("%-24s %8.2f %8.2f\n", "levels, bands, spectrum", 1e9 * sum_s / frames, sum_s / floor_median_s);
    fft_free(fft);
    signal_clear(&signal);
    return EXIT_SUCCESS;
}
