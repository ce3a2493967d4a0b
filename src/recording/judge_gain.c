/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/judge.h"

#include "base/absent.h"
#include "base/num.h"
#include "base/units.h"

#include <math.h>

/* A gain that jumps changes all frequencies alike, at once, and stays: levels of a second before and after it. */
#define PLATEAU_STEPS 10
#define JUMP_LEAST_DB 1.0
#define JUMP_MOST_DB 12.0 /* above: a source that starts or stops */
#define JUMP_EDGE 0.4     /* of the jump: what the two steps beside it may miss of it, or have too much */
#define JUMP_BESIDE 0.35  /* of the jump: what may still change in the two tenths of a second on either side */
#define JUMP_OVER_SCATTER 5.0
#define JUMP_ALIKE 0.3 /* of the jump: low and high frequencies may differ by this much of it */
/* A limiter holds the peaks where the level moves. */
#define HELD_WITHIN_DB 0.1
#define HELD_SHARE 0.5
#define LEVEL_SPREAD_LEAST_DB 0.15
#define PEAK_LEAST_CODES 200.0 /* below, whole codes alone hold peaks within 0.1 dB */

enum quantity { LEVEL_ALL, LEVEL_FAST };

static double quantity_db(const struct step *step, enum quantity quantity)
{
    switch (quantity) {
    case LEVEL_ALL:
        return power_ratio_to_db(step->mean_square);
    case LEVEL_FAST:
        return power_ratio_to_db(step->fast_square);
    }
    return ABSENT;
}

/* A second of levels on one side of a step: their mean, and sums for the slope that both sides share. */
struct plateau {
    double mean_db, slope_sum, square_sum;
};

static double place_in_plateau(size_t index)
{
    return (double)index - (PLATEAU_STEPS - 1) / 2.0;
}

static struct plateau plateau_of(const struct steps *steps, size_t first, enum quantity quantity)
{
    struct plateau plateau = { 0 };
    for (size_t i = 0; i < PLATEAU_STEPS; i++)
        plateau.mean_db += quantity_db(&steps->items[first + i], quantity) / PLATEAU_STEPS;
    for (size_t i = 0; i < PLATEAU_STEPS; i++) {
        double off = quantity_db(&steps->items[first + i], quantity) - plateau.mean_db;
        plateau.slope_sum += place_in_plateau(i) * off;
        plateau.square_sum += off * off;
    }
    return plateau;
}

static double change_db(const struct steps *steps, size_t from, size_t to, enum quantity quantity)
{
    return quantity_db(&steps->items[to], quantity) - quantity_db(&steps->items[from], quantity);
}

/* Jump of a quantity at step `at`, which may hold both levels; 0 when it is none. Two lines of one slope are fitted to
 * the seconds before and after it (least squares), so that a level that merely rises has no jump; it must exceed the
 * scatter around these lines, and all of it must happen between the two steps beside it. */
static double jump_db(const struct steps *steps, size_t at, enum quantity quantity)
{
    struct plateau before = plateau_of(steps, at - PLATEAU_STEPS, quantity);
    struct plateau after = plateau_of(steps, at + 1, quantity);
    double places = 0;
    for (size_t i = 0; i < PLATEAU_STEPS; i++)
        places += 2 * place_in_plateau(i) * place_in_plateau(i);
    double slope = (before.slope_sum + after.slope_sum) / places;
    double jump = after.mean_db - before.mean_db - slope * (PLATEAU_STEPS + 1);
    double scatter = sqrt(fmax(before.square_sum + after.square_sum - slope * slope * places, 0) /
                          (2 * PLATEAU_STEPS - 3)); /* three figures are fitted */
    bool is_sharp = fabs(change_db(steps, at - 1, at + 1, quantity) - jump) <= JUMP_EDGE * fabs(jump) &&
                    fabs(change_db(steps, at - 3, at - 1, quantity)) <= JUMP_BESIDE * fabs(jump) &&
                    fabs(change_db(steps, at + 1, at + 3, quantity)) <= JUMP_BESIDE * fabs(jump);
    bool is_plain = fabs(jump) >= fmax(JUMP_LEAST_DB, JUMP_OVER_SCATTER * scatter) && fabs(jump) <= JUMP_MOST_DB;
    return is_sharp && is_plain ? jump : 0;
}

static bool has_silence(const struct steps *steps, size_t first, size_t end)
{
    for (size_t i = first; i < end; i++)
        if (step_is_silent(&steps->items[i]))
            return true;
    return false;
}

static void judge_jumps(const struct judged *judged, struct findings *findings)
{
    const struct steps *steps = judged->steps;
    double largest = 0;
    size_t place = 0;
    for (size_t at = PLATEAU_STEPS; at + PLATEAU_STEPS < steps->count; at++) {
        double all = jump_db(steps, at, LEVEL_ALL);
        if (!(fabs(all) > fabs(largest)) || has_silence(steps, at - PLATEAU_STEPS, at + 1 + PLATEAU_STEPS))
            continue;
        double fast = jump_db(steps, at, LEVEL_FAST);
        if (fabs(fast - all) <= JUMP_ALIKE * fabs(all)) {
            largest = all;
            place = at;
        }
    }
    char jump[32];
    if (largest != 0)
        findings_add(
            findings, "gain-step", SEVERITY_DOUBTFUL, ABSENT,
            "the level jumps by %s dB at %.1f s, at once and at all frequencies alike, and stays: an automatic "
            "gain or a hand on the knob; switch automatic gain off and record again with the calibrator",
            num_words_signed(jump, sizeof jump, largest, 1), steps->step_s * (double)place);
}

/* Standard deviation of the steps' levels; not finite with silence among them. */
static double level_spread_db(const struct steps *steps, size_t first, size_t end)
{
    double mean = 0, squares = 0, count = (double)(end - first);
    for (size_t i = first; i < end; i++)
        mean += quantity_db(&steps->items[i], LEVEL_ALL) / count;
    for (size_t i = first; i < end; i++) {
        double off = quantity_db(&steps->items[i], LEVEL_ALL) - mean;
        squares += off * off;
    }
    return sqrt(squares / fmax(count - 1, 1));
}

static void judge_limiter(const struct judged *judged, struct findings *findings)
{
    size_t count = judged->end - judged->first, held = 0, flat = 0;
    double most = 0;
    for (size_t i = judged->first; i < judged->end; i++) {
        most = fmax(most, judged->steps->items[i].peak);
        flat += step_flat_runs(judged->steps, i);
    }
    /* Clipping holds peaks too, and has its own finding. */
    if (count < PLATEAU_STEPS || flat > 0 || most < PEAK_LEAST_CODES * steps_code(judged->steps) ||
        has_silence(judged->steps, judged->first, judged->end))
        return;
    for (size_t i = judged->first; i < judged->end; i++)
        held += judged->steps->items[i].peak >= most * db_to_amplitude_ratio(-HELD_WITHIN_DB);
    double spread_db = level_spread_db(judged->steps, judged->first, judged->end);
    if ((double)held < HELD_SHARE * (double)count || !(spread_db >= LEVEL_SPREAD_LEAST_DB))
        return;
    char height[32];
    findings_add(
        findings, "limiter-suspected", SEVERITY_DOUBTFUL, ABSENT,
        "in %.0f %% of the time the peaks end at the same height (%s dB re full scale, within %g dB) while the "
        "level moves: a limiter is suspected; switch it off, lower the gain and record again",
        100 * (double)held / (double)count, num_words(height, sizeof height, amplitude_ratio_to_db(most), 1),
        HELD_WITHIN_DB);
}

void judge_gain(const struct judged *judged, struct findings *findings)
{
    judge_jumps(judged, findings);
    judge_limiter(judged, findings);
}
