/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/blade_track.h"

#include "base/absent.h"
#include "base/median.h"
#include "base/memory.h"
#include "base/units.h"

#include <stdlib.h>
#include <string.h>

#define WINDOW_BOXES (2 * BLADE_TRACK_HOP_BOXES)
#define EXPECTED_LEAST_HZ 10.0
#define EXPECTED_MOST_SHARE 0.35
#define SEARCH_SHARE 0.15
#define SEARCH_LINES_LEAST 6
#define STANDS_OUT_DB 12.0
#define MAINS_REACH_HZ 1.5 /* lines are 1 Hz apart; mains hold 0.2 % (EN 50160, from memory) */
#define BELOW_HUM_DB 20.0  /* further below a line that may be hum is noise beside a blade tone there */

bool blade_track_init(struct blade_track *track, double expected_hz, double box_rate_hz, struct err *err)
{
    *track = (struct blade_track){ .expected_hz = expected_hz, .box_rate_hz = box_rate_hz };
    if (!(expected_hz >= EXPECTED_LEAST_HZ && expected_hz <= EXPECTED_MOST_SHARE * box_rate_hz))
        return true;
    track->fft = fft_new(WINDOW_BOXES, err);
    if (!track->fft)
        return false;
    track->boxes = memory_new(2 * WINDOW_BOXES, sizeof *track->boxes);
    if (!track->boxes)
        return err_memory(err);
    track->window = track->boxes + WINDOW_BOXES;
    fft_hann(track->window, WINDOW_BOXES);
    return true;
}

void blade_track_clear(struct blade_track *track)
{
    fft_free(track->fft);
    free(track->boxes);
    free(track->items);
    *track = (struct blade_track){ 0 };
}

static double line_power(const struct fft *fft, size_t index)
{
    double size = cabs(fft->lines[index]);
    return size * size;
}

/* A bit for each multiple of 50 and 60 Hz up to 450 Hz; none where mains can't hum. */
static uint32_t mains_bit(double hz)
{
    if (fabs(remainder(hz, 50)) <= MAINS_REACH_HZ)
        return UINT32_C(1) << (unsigned)round(hz / 50);
    if (fabs(remainder(hz, 60)) <= MAINS_REACH_HZ)
        return UINT32_C(1) << (10 + (unsigned)round(hz / 60));
    return 0;
}

/* The top of a peak, not the skirt of one beside it. */
static bool is_top(const struct fft *fft, size_t index)
{
    double power = line_power(fft, index);
    return power >= line_power(fft, index - 1) && power >= line_power(fft, index + 1);
}

static double place_of(const struct fft *fft, size_t index)
{
    return (double)index +
           fft_hann_offset(cabs(fft->lines[index - 1]), cabs(fft->lines[index]), cabs(fft->lines[index + 1]));
}

/* The strongest line near the expected frequency, and the strongest where mains may hum; ABSENT where none stands out.
 */
static struct blade_second strongest_lines(const struct blade_track *track)
{
    const struct fft *fft = track->fft;
    double line_hz = track->box_rate_hz / (double)WINDOW_BOXES, reach_hz = SEARCH_SHARE * track->expected_hz;
    reach_hz = fmax(reach_hz, SEARCH_LINES_LEAST * line_hz);
    size_t first = (size_t)fmax((track->expected_hz - reach_hz) / line_hz, 2), best[2] = { 0 }, count = 0;
    size_t last = (size_t)fmin((track->expected_hz + reach_hz) / line_hz, (double)fft->line_count - 2);
    double powers[WINDOW_BOXES / 2], peaks[2] = { 0 };
    for (size_t k = first; k <= last; k++) {
        double power = powers[count++] = line_power(fft, k);
        bool mains = mains_bit((double)k * line_hz) != 0;
        if (power > peaks[mains] && is_top(fft, k)) {
            best[mains] = k;
            peaks[mains] = power;
        }
    }
    double least = median(powers, count) * db_to_power_ratio(STANDS_OUT_DB);
    double least_beside = fmax(least, peaks[1] * db_to_power_ratio(-BELOW_HUM_DB));
    return (struct blade_second){ .hz = peaks[0] > least_beside ? line_hz * place_of(fft, best[0]) : ABSENT,
                                  .mains_hz = peaks[1] > least ? line_hz * place_of(fft, best[1]) : ABSENT };
}

double blade_track_hz(const struct blade_track *track, size_t second)
{
    const struct blade_second *item = &track->items[second];
    bool is_hum = is_given(item->mains_hz) && (track->hums & mains_bit(item->mains_hz)) != 0;
    return is_given(item->hz) || is_hum ? item->hz : item->mains_hz;
}

bool blade_track_feed(struct blade_track *track, double box_mean)
{
    if (!track->fft)
        return true;
    track->boxes[track->box_count++] = box_mean;
    if (track->box_count < WINDOW_BOXES)
        return true;
    for (size_t i = 0; i < WINDOW_BOXES; i++)
        track->fft->signal[i] = track->boxes[i] * track->window[i];
    fft_forward(track->fft);
    void *items = track->items;
    if (!memory_grow(&items, &track->capacity, track->count + 1, sizeof *track->items))
        return false;
    track->items = items;
    struct blade_second second = strongest_lines(track);
    if (is_given(second.hz) && is_given(second.mains_hz))
        track->hums |= mains_bit(second.mains_hz);
    track->items[track->count++] = second;
    memmove(track->boxes, track->boxes + BLADE_TRACK_HOP_BOXES, BLADE_TRACK_HOP_BOXES * sizeof *track->boxes);
    track->box_count = BLADE_TRACK_HOP_BOXES;
    return true;
}
