/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/fluctuation.h"

#include "base/absent.h"
#include "base/fft.h"
#include "base/memory.h"
#include "hearing/modulation.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FRAME_SIZE (2 * FLUCTUATION_PATTERNS_PER_S)
#define LINE_COUNT (FRAME_SIZE / 2 + 1)
#define CHANNEL_COUNT 48 /* half a bark each */
#define STEPS_PER_CHANNEL (ZWICKER_PATTERN_COUNT / CHANNEL_COUNT)
#define CHANNEL_BARK 0.5
#define LEAST_SONE_BARK 0.3 /* N0: swings far below it are hardly heard */
#define LEAST_SWING_DB 3.0  /* what is not heard as fluctuation */
/* Makes the reference sound 1 vacil; held to it by tests/hearing/fluctuation.c. */
#define CALIBRATION (1 / 42.32)

struct fluctuation {
    struct fft *fft;
    double window[FRAME_SIZE], weight[LINE_COUNT];
    double level_db[CHANNEL_COUNT][FRAME_SIZE];
    double complex line[CHANNEL_COUNT][LINE_COUNT];
    struct modulation modulation[CHANNEL_COUNT];
    double heard_part[CHANNEL_COUNT]; /* of the power of the modulation */
    size_t fill;
    uint64_t frame_count;
    double sum_vacil;
};

struct fluctuation *fluctuation_new(struct err *err)
{
    struct fluctuation *fluctuation = memory_new(1, sizeof *fluctuation);
    if (!fluctuation) {
        err_memory(err);
        return NULL;
    }
    fluctuation->fft = fft_new(FRAME_SIZE, err);
    if (!fluctuation->fft) {
        free(fluctuation);
        return NULL;
    }
    fft_hann(fluctuation->window, FRAME_SIZE);
    for (size_t k = 1; k < LINE_COUNT; k++) {
        double hz = (double)k * FLUCTUATION_PATTERNS_PER_S / FRAME_SIZE;
        fluctuation->weight[k] = 2 / (hz / 4 + 4 / hz);
    }
    return fluctuation;
}

void fluctuation_free(struct fluctuation *fluctuation)
{
    if (!fluctuation)
        return;
    fft_free(fluctuation->fft);
    free(fluctuation);
}

/* Square of the swing in dB, peak to peak, of a sine of this mean square. */
static double swing_db2(double power_db2)
{
    return 8 * power_db2;
}

/* Weighted modulation lines of a channel, their power (the mean square of the swing in dB), and the part of it above
 * the least swing that is heard, whatever its rate. */
static void take_channel(struct fluctuation *fluctuation, size_t c)
{
    struct fft *fft = fluctuation->fft;
    double mean_db = 0, scale = 1 / (FRAME_SIZE * sqrt(0.375)); /* 0.375: mean square of the Hann window */
    for (size_t i = 0; i < FRAME_SIZE; i++)
        mean_db += fluctuation->level_db[c][i] / FRAME_SIZE;
    for (size_t i = 0; i < FRAME_SIZE; i++)
        fft->signal[i] = (fluctuation->level_db[c][i] - mean_db) * fluctuation->window[i];
    fft_forward(fft);
    for (size_t k = 1; k < LINE_COUNT; k++)
        fluctuation->line[c][k] = fft->lines[k] * (fluctuation->weight[k] * scale);
    fluctuation->modulation[c] = modulation_of(fluctuation->line[c], LINE_COUNT);
    double whole_db2 = swing_db2(modulation_of(fft->lines, LINE_COUNT).power * scale * scale);
    fluctuation->heard_part[c] = whole_db2 > 0 ? fmax(1 - LEAST_SWING_DB * LEAST_SWING_DB / whole_db2, 0) : 0;
}

static double frame_vacil(struct fluctuation *fluctuation)
{
    double link[CHANNEL_COUNT] = { 0 }, integral_db2_bark = 0; /* link[c]: of c and c + 2 */
    for (size_t c = 0; c < CHANNEL_COUNT; c++)
        take_channel(fluctuation, c);
    for (size_t c = 0; c + 2 < CHANNEL_COUNT; c++)
        link[c] =
            fmax(modulation_correlation(&fluctuation->modulation[c], &fluctuation->modulation[c + 2], LINE_COUNT), 0);
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        double below = c >= 2 ? link[c - 2] : 1, above = c + 2 < CHANNEL_COUNT ? link[c] : 1;
        double linked = below * below * above * above;
        double heard_db2 = swing_db2(fluctuation->modulation[c].power) * fluctuation->heard_part[c];
        integral_db2_bark += heard_db2 * linked * linked * CHANNEL_BARK;
    }
    return CALIBRATION * sqrt(integral_db2_bark);
}

void fluctuation_add(struct fluctuation *fluctuation, const double pattern[static ZWICKER_PATTERN_COUNT])
{
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        double sum = 0;
        for (size_t i = 0; i < STEPS_PER_CHANNEL; i++)
            sum += pattern[c * STEPS_PER_CHANNEL + i];
        fluctuation->level_db[c][fluctuation->fill] = 40 * log10(1 + sum / STEPS_PER_CHANNEL / LEAST_SONE_BARK);
    }
    if (++fluctuation->fill < FRAME_SIZE)
        return;
    fluctuation->sum_vacil += frame_vacil(fluctuation);
    fluctuation->frame_count++;
    fluctuation->fill = FRAME_SIZE / 2;
    for (size_t c = 0; c < CHANNEL_COUNT; c++)
        memcpy(fluctuation->level_db[c], fluctuation->level_db[c] + FRAME_SIZE / 2,
               FRAME_SIZE / 2 * sizeof fluctuation->level_db[c][0]);
}

double fluctuation_vacil(const struct fluctuation *fluctuation)
{
    return fluctuation->frame_count > 0 ? fluctuation->sum_vacil / (double)fluctuation->frame_count : ABSENT;
}
