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

/* Where the strongest line near the expected frequency is. */
static double blade_hz(const struct blade_track *track)
{
    const struct fft *fft = track->fft;
    double line_hz = track->box_rate_hz / (double)WINDOW_BOXES, reach_hz = SEARCH_SHARE * track->expected_hz;
    reach_hz = fmax(reach_hz, SEARCH_LINES_LEAST * line_hz);
    size_t first = (size_t)fmax((track->expected_hz - reach_hz) / line_hz, 2), best = first, count = 0;
    size_t last = (size_t)fmin((track->expected_hz + reach_hz) / line_hz, (double)fft->line_count - 2);
    double powers[WINDOW_BOXES / 2];
    for (size_t k = first; k <= last; k++) {
        powers[count++] = line_power(fft, k);
        if (line_power(fft, k) > line_power(fft, best))
            best = k;
    }
    double peak = line_power(fft, best);
    if (!(peak > median(powers, count) * db_to_power_ratio(STANDS_OUT_DB)))
        return ABSENT;
    return line_hz *
           ((double)best + fft_hann_offset(cabs(fft->lines[best - 1]), sqrt(peak), cabs(fft->lines[best + 1])));
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
    track->items[track->count++] = blade_hz(track);
    memmove(track->boxes, track->boxes + BLADE_TRACK_HOP_BOXES, BLADE_TRACK_HOP_BOXES * sizeof *track->boxes);
    track->box_count = BLADE_TRACK_HOP_BOXES;
    return true;
}
