/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/rotor_running.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/floor.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdlib.h>

#define TONES_LEAST 4
#define MULTIPLE_MOST 8
#define ALIKE_PCT 0.3
#define MAINS_PCT 0.1

struct tone_list {
    struct tone *items; /* owned */
    size_t count;
};

static bool is_mains(double hz)
{
    return fmin(fabs(remainder(hz, 50)), fabs(remainder(hz, 60))) <= MAINS_PCT / 100 * hz;
}

/* How many multiples of `blade_hz` are tones and no hum. */
static int multiples(const struct tone_list *tones, double blade_hz)
{
    int count = 0;
    for (int multiple = 1; multiple <= MULTIPLE_MOST; multiple++) {
        bool is_there = false;
        for (size_t i = 0; i < tones->count; i++) {
            double hz = tones->items[i].hz;
            is_there = is_there || (fabs(hz / (multiple * blade_hz) - 1) <= ALIKE_PCT / 100 && !is_mains(hz));
        }
        count += is_there;
    }
    return count;
}

/* The blade frequency near the expected one that has most multiples, from one tone at it or at its double. */
static int most_multiples(const struct tone_list *tones, double expected_hz, double tolerance_pct, double *blade_hz)
{
    int most = 0;
    for (size_t i = 0; i < tones->count; i++)
        for (int multiple = 1; multiple <= 2; multiple++) {
            double hz = tones->items[i].hz / multiple;
            int count = fabs(hz / expected_hz - 1) <= tolerance_pct / 100 ? multiples(tones, hz) : 0;
            if (count > most) {
                most = count;
                *blade_hz = hz;
            }
        }
    return most;
}

static bool find_tones(const struct spectrum *spectrum, struct tone_list *tones, struct err *err)
{
    if (spectrum->count == 0)
        return true;
    double *noise_pa2 = memory_new(spectrum->count, sizeof *noise_pa2);
    bool ok = (noise_pa2 || err_memory(err)) && floor_estimate(spectrum, noise_pa2, err) &&
              tones_find(spectrum, noise_pa2, TONE_CHANCE, &tones->items, &tones->count, err);
    free(noise_pa2);
    return ok;
}

bool rotor_is_silent(const struct campaign *campaign, size_t microphone, int channel, const struct spectrum *background,
                     struct err *err)
{
    struct tone_list tones = { 0 };
    bool ok = find_tones(background, &tones, err);
    for (size_t i = 0; ok && i < campaign->run_count; i++) {
        const struct run *run = &campaign->runs[i];
        const struct variant *variant = &campaign->variants[run->variant];
        double blade_hz = 0, expected_hz = rpm_to_hz(run->rpm) * variant->blades;
        if (run->microphone != microphone || run->channel != channel || !(expected_hz > 0))
            continue;
        int count = most_multiples(&tones, expected_hz, run->rpm_tolerance_pct, &blade_hz);
        if (count >= TONES_LEAST)
            ok = err_set(err, ERR_AUDIO,
                         "a rotor is running in it: %d tones are multiples of %.1f Hz, the blade frequency of %s in "
                         "row %d of the log; record it with everything but the rotor running",
                         count, blade_hz, variant->name, run->row);
    }
    free(tones.items);
    return ok;
}
