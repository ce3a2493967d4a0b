/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/speed.h"

#include "base/absent.h"
#include "base/units.h"
#include "rotor/hum.h"
#include "rotor/whole.h"

#include <math.h>

enum {
    LOW_HARMONICS = 3,
    SURE_HITS = 3,
    HARMONICS = 40,
    BROAD_HARMONICS = 8,
    ANCHOR_TONES = 60,
    ANCHOR_HARMONICS = 10,
    STRAYS_OF = 4,
    STRENGTH_HARMONICS = 10
};

#define DRIFT_SHARE 0.0003       /* of a line's frequency, in the width of a match */
#define HIT_PROBABILITY 0.5      /* a comb's line stands out of the noise, or does not: either is as likely */
#define LOW_HIT_PROBABILITY 0.8  /* the first few of a rotor's blade lines mostly do */
#define SHAFT_PROBABILITY 0.2    /* that an order below the first blade line stands out */
#define MAINS_CHANCE 0.35        /* that a tone on a multiple of the mains is there anyway */
#define INSIDE_PROBABILITY 0.85  /* that the log is right within its tolerance; common practice */
#define CELL_SHARE 0.001         /* speeds nearer than this are one trial */
#define OCTAVE_AROUND 1.41421356 /* half an octave up and down */
#define NEAR_AROUND 1.09         /* an eighth */
#define LEAST_SPREAD_LINES 0.05  /* standard uncertainty of any tone in a comb, in lines */
#define SAME_SHARE 0.003         /* of one speed, told by two trials */
#define RIVAL_EVIDENCE -2.0      /* a comb of one strong line; other parts may bear it out */
#define OUTSIDE_MARGIN 6.0       /* odds of 400 to 1 */
#define WEAKER_DB 15.0           /* no comb so far below one in the log's tolerance is the rotor's; common practice */
#define STRAY_DEVIATIONS 3.0     /* a tone of the comb so far from the speed that the others tell is another part's */
#define ODD_COMB_EVIDENCE 7.0    /* against a comb without its first two lines, or with every k-th line only */

struct comb {
    double hz, variance; /* of the shaft */
    double evidence;
    int hits, common;           /* common: greatest common divisor of the harmonics found */
    int sure_hits, sure_common; /* of those that lie on no low multiple of the mains */
    bool has_low;
    const struct tone *taken[HARMONICS + 1]; /* by harmonic; NULL: missed */
};

const struct tone *tone_nearest(const struct tone *tones, size_t count, double hz, double tolerance_hz)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (tones[middle].hz < hz)
            low = middle + 1;
        else
            high = middle;
    }
    const struct tone *best = NULL;
    double least = tolerance_hz;
    for (size_t i = low > 0 ? low - 1 : 0; i < count && i <= low; i++) {
        double distance = fabs(tones[i].hz - hz);
        if (distance <= least) {
            least = distance;
            best = &tones[i];
        }
    }
    return best;
}

double speed_match_hz(double tone_uncertainty_hz, double line_hz, double speed_uncertainty_share, double step_hz)
{
    double speed_hz = line_hz * speed_uncertainty_share;
    return 3 * sqrt(tone_uncertainty_hz * tone_uncertainty_hz + speed_hz * speed_hz) + DRIFT_SHARE * line_hz +
           0.05 * step_hz;
}

/* Standard uncertainty of where a line of the comb makes its tone. */
static double place_hz(const struct speed_question *question, double uncertainty_hz, double hz)
{
    return hypot(uncertainty_hz, question->place_share * hz);
}

/* How many other tones nearly as strong as `tone`, or stronger, lie within a factor of it, per Hz. */
static double crowd_per_hz(const struct speed_question *question, const struct tone *tone, double factor, double least)
{
    double low_hz = tone->hz / factor, high_hz = tone->hz * factor;
    size_t as_strong = 0;
    for (size_t i = 0; i < question->tone_count; i++) {
        const struct tone *other = &question->tones[i];
        as_strong += other != tone && other->hz > low_hz && other->hz < high_hz &&
                     other->line_ratio_db > tone->line_ratio_db - 3;
    }
    return ((double)as_strong + least) / (high_hz - low_hz);
}

/* Chance that a tone at least nearly as strong as `tone` lies within `width_hz` either side: from how many of those
 * there are in the octave around it, or more closely around it where they crowd. */
static double chance_of(const struct speed_question *question, const struct tone *tone, double width_hz,
                        enum hum_role hum)
{
    double per_hz =
        fmax(crowd_per_hz(question, tone, OCTAVE_AROUND, 0.5), crowd_per_hz(question, tone, NEAR_AROUND, 0));
    double chance = 1 - exp(-per_hz * 2 * width_hz);
    bool is_mains = hum == HUM_ALL || (hum == HUM_PARTS && hum_is_near(question, tone->hz));
    return is_mains ? fmax(chance, MAINS_CHANCE) : chance;
}

double speed_line_gain(const struct speed_question *question, const struct tone *tone, double width_hz)
{
    return log(SHAFT_PROBABILITY / chance_of(question, tone, width_hz, HUM_PARTS));
}

static double hit_probability(int harmonic)
{
    return harmonic <= LOW_HARMONICS ? LOW_HIT_PROBABILITY : HIT_PROBABILITY;
}

static void note_hit(const struct speed_question *question, struct comb *comb, const struct tone *tone, int harmonic)
{
    comb->taken[harmonic] = tone;
    if (!hum_is_near(question, tone->hz)) {
        comb->sure_common = greatest_common_divisor(comb->sure_common, harmonic);
        comb->sure_hits++;
    }
    comb->common = greatest_common_divisor(comb->common, harmonic);
    comb->has_low |= harmonic <= 2;
    comb->hits++;
}

static double spread_hz_of(const struct speed_question *question, const struct tone *tone)
{
    return place_hz(question, tone->uncertainty_hz, tone->hz) + DRIFT_SHARE / 3 * tone->hz;
}

static void take(const struct speed_question *question, struct comb *comb, const struct tone *tone, double order)
{
    double measured_hz = tone->hz / order;
    double spread_hz = spread_hz_of(question, tone) / order;
    double variance = spread_hz * spread_hz;
    double miss = measured_hz - comb->hz;
    double gain = comb->variance / (comb->variance + variance);
    comb->hz += gain * miss;
    comb->variance *= 1 - gain;
}

/* Broad lines lie beside their comb, the nearer the likelier: how much likelier than anywhere within the width. */
static double nearness(const struct speed_question *question, double miss_hz, double width_hz)
{
    double deviations = 3 * miss_hz / width_hz;
    return question->place_share > 0 ? log(6 / sqrt(2 * PI)) - deviations * deviations / 2 : 0;
}

/* Where broad lines leave few blade tones, what the shaft's own first orders say counts too: unequal blades and
 * imbalance make them. */
static double shaft_evidence(const struct speed_question *question, const struct comb *comb)
{
    double evidence = 0;
    for (int order = 1; question->place_share > 0 && order < question->blades; order++) {
        double line_hz = comb->hz * order;
        double width_hz = speed_match_hz(place_hz(question, 0.2 * question->step_hz, line_hz), line_hz,
                                         sqrt(comb->variance) / comb->hz, question->step_hz);
        const struct tone *tone = tone_nearest(question->tones, question->tone_count, line_hz, width_hz);
        double gain =
            tone ? speed_line_gain(question, tone, width_hz) + nearness(question, tone->hz - line_hz, width_hz) : 0;
        evidence += gain > 0 ? gain : log(1 - SHAFT_PROBABILITY);
    }
    return evidence;
}

/* Follows the comb that `anchor` would be the `number`th harmonic of. */
static struct comb follow(const struct speed_question *question, const struct tone *anchor, int number)
{
    double order = (double)number * question->blades;
    double spread_hz = spread_hz_of(question, anchor) / order;
    struct comb comb = { .hz = anchor->hz / order, .variance = spread_hz * spread_hz };
    enum hum_role hum = hum_role(question, anchor->hz / number);
    note_hit(question, &comb, anchor, number);
    double width_hz =
        speed_match_hz(place_hz(question, anchor->uncertainty_hz, anchor->hz), anchor->hz, 0, question->step_hz);
    comb.evidence = log(hit_probability(number) / fmin(chance_of(question, anchor, width_hz, hum), HIT_PROBABILITY));
    double misses = 0;
    int last = question->place_share > 0 ? BROAD_HARMONICS : HARMONICS; /* above, broad lines cover everything */
    for (int m = 1; m <= last; m++) {
        double line_hz = comb.hz * m * question->blades;
        if (line_hz > question->highest_tone_hz)
            break;
        if (m == number) {
            comb.evidence += misses;
            misses = 0;
            continue;
        }
        width_hz = speed_match_hz(place_hz(question, 0.2 * question->step_hz, line_hz), line_hz,
                                  sqrt(comb.variance) / comb.hz, question->step_hz);
        const struct tone *tone = tone_nearest(question->tones, question->tone_count, line_hz, width_hz);
        if (tone) /* a tone that is known better than that must lie nearer */
            width_hz = speed_match_hz(
                place_hz(question, fmax(tone->uncertainty_hz, LEAST_SPREAD_LINES * question->step_hz), line_hz),
                line_hz, sqrt(comb.variance) / comb.hz, question->step_hz);
        if (tone && fabs(tone->hz - line_hz) > width_hz)
            tone = NULL;
        double gain = tone ? log(hit_probability(m) / chance_of(question, tone, width_hz, hum)) +
                                 nearness(question, tone->hz - line_hz, width_hz)
                           : 0;
        if (!tone || gain <= 0) {
            misses += log(1 - hit_probability(m));
            continue;
        }
        if (gain + misses <= 0 && m > number)
            break;
        comb.evidence += misses + gain;
        misses = 0;
        take(question, &comb, tone, (double)m * question->blades);
        note_hit(question, &comb, tone, m);
    }
    comb.evidence += shaft_evidence(question, &comb);
    bool is_sparse = comb.common > 1 || (comb.sure_hits >= SURE_HITS && comb.sure_common > 1);
    if (!comb.has_low || is_sparse)
        comb.evidence -= ODD_COMB_EVIDENCE;
    return comb;
}

/* Logarithm of the prior weight of one trial speed. */
static double prior(const struct speed_question *question, double shaft_hz)
{
    double cell = fmax(CELL_SHARE, 6 * question->place_share);
    if (!is_given(question->log_hz)) {
        double octaves = log(question->highest_hz / question->lowest_hz);
        return log(cell / octaves);
    }
    double tolerance = question->log_tolerance_pct / 100;
    double off = fabs(shaft_hz / question->log_hz - 1);
    if (off <= tolerance)
        return log(INSIDE_PROBABILITY * fmin(cell / (2 * tolerance), 1));
    double outside = 2 * (question->search_pct / 100 - tolerance);
    return log((1 - INSIDE_PROBABILITY) * cell / fmax(outside, cell));
}

static bool is_within(const struct speed_question *question, double shaft_hz)
{
    if (is_given(question->log_hz))
        return fabs(shaft_hz / question->log_hz - 1) <= fmax(question->search_pct, question->log_tolerance_pct) / 100;
    return shaft_hz >= question->lowest_hz && shaft_hz <= question->highest_hz;
}

/* Is this tone one of the strongest, so that it may start a trial? */
static bool is_anchor(const struct speed_question *question, const struct tone *tone)
{
    size_t stronger = 0;
    for (size_t i = 0; i < question->tone_count; i++)
        if (question->tones[i].line_ratio_db > tone->line_ratio_db)
            stronger++;
    return stronger < ANCHOR_TONES;
}

/* The best trial within the log's tolerance and the best beyond it; without a log all count as within. */
struct trials {
    struct comb inside, outside;
    struct comb kept[SPEEDS_MOST]; /* without a log: each another speed, clearest first */
    size_t kept_count;
    double loudest_pa2; /* strength of the strongest clear one within the log's tolerance */
    double least_pa2;   /* weaker ones don't count */
};

/* Power of a comb's first ten lines but for the strongest, which a foreign tone may be. */
static double strength_pa2(const struct comb *comb)
{
    double sum_pa2 = 0, most_pa2 = 0;
    for (int m = 1; m <= STRENGTH_HARMONICS; m++) {
        double line_pa2 = comb->taken[m] ? db_to_pa2(comb->taken[m]->level_db) : 0;
        sum_pa2 += line_pa2;
        most_pa2 = fmax(most_pa2, line_pa2);
    }
    return sum_pa2 - most_pa2;
}

static bool is_same(const struct comb *a, const struct comb *b)
{
    return fabs(a->hz / b->hz - 1) <= SAME_SHARE;
}

static void keep(struct trials *trials, const struct comb *comb)
{
    struct comb *kept = trials->kept;
    size_t at = trials->kept_count;
    for (size_t i = 0; i < trials->kept_count; i++)
        if (is_same(&kept[i], comb)) {
            if (kept[i].evidence >= comb->evidence)
                return;
            at = i;
            break;
        }
    if (at == trials->kept_count) {
        if (at < SPEEDS_MOST)
            trials->kept_count++;
        else if (kept[--at].evidence >= comb->evidence)
            return;
    }
    for (; at > 0 && kept[at - 1].evidence < comb->evidence; at--)
        kept[at] = kept[at - 1];
    kept[at] = *comb;
}

static void try_anchor(const struct speed_question *question, const struct tone *anchor, struct trials *trials)
{
    for (int number = 1; number <= ANCHOR_HARMONICS; number++) {
        if (!is_within(question, anchor->hz / number / question->blades))
            continue;
        struct comb comb = follow(question, anchor, number);
        comb.evidence += prior(question, comb.hz);
        bool is_inside =
            !is_given(question->log_hz) || fabs(comb.hz / question->log_hz - 1) <= question->log_tolerance_pct / 100;
        if (!is_given(question->log_hz))
            keep(trials, &comb);
        struct comb *best = is_inside ? &trials->inside : &trials->outside;
        if (is_given(question->log_hz) && is_inside && comb.evidence >= SPEED_LEAST_EVIDENCE)
            trials->loudest_pa2 = fmax(trials->loudest_pa2, strength_pa2(&comb));
        if (comb.evidence > best->evidence && (trials->least_pa2 <= 0 || strength_pa2(&comb) >= trials->least_pa2))
            *best = comb;
    }
}

static struct trials try_anchors(const struct speed_question *question, double least_pa2)
{
    struct trials trials = { .inside = { .evidence = -HUGE_VAL },
                             .outside = { .evidence = -HUGE_VAL },
                             .least_pa2 = least_pa2 };
    for (size_t i = 0; i < question->tone_count && question->blades > 0; i++)
        if (is_anchor(question, &question->tones[i]))
            try_anchor(question, &question->tones[i], &trials);
    return trials;
}

/* Where one harmonic alone puts the shaft. */
struct vote {
    double hz, deviations; /* from the mean of all, in standard uncertainties */
    double weight;
};

static struct vote vote_of(const struct speed_question *question, const struct comb *comb, int harmonic)
{
    const struct tone *tone = comb->taken[harmonic];
    double order = (double)harmonic * question->blades, spread_hz = spread_hz_of(question, tone) / order;
    double hz = tone->hz / order;
    return (struct vote){ hz, (hz - comb->hz) / spread_hz, 1 / (spread_hz * spread_hz) };
}

/* The weighted mean of a comb's tones; which of them lies farthest from it, in *farthest, and the sum of squares. */
static double settle(const struct speed_question *question, struct comb *comb, int *farthest, double *deviations)
{
    double weight = 0, weighted_hz = 0, squares = 0;
    for (int m = 1; m <= HARMONICS; m++) {
        struct vote vote = comb->taken[m] ? vote_of(question, comb, m) : (struct vote){ 0 };
        weight += vote.weight;
        weighted_hz += vote.weight * vote.hz;
    }
    comb->hz = weighted_hz / weight;
    comb->variance = 1 / weight;
    *deviations = 0;
    for (int m = 1; m <= HARMONICS; m++) {
        double far = comb->taken[m] ? fabs(vote_of(question, comb, m).deviations) : 0;
        squares += far * far;
        if (far > *deviations) {
            *deviations = far;
            *farthest = m;
        }
    }
    return squares;
}

/* A mesh that a slipping belt puts just beside a blade line may have been taken for it: what strays is left out. Where
 * that would be more than a few the tones scatter, and all count. */
static struct speed speed_of(const struct speed_question *question, struct comb comb)
{
    int farthest = 0;
    double deviations, squares = settle(question, &comb, &farthest, &deviations);
    struct comb kept = comb;
    double kept_squares = squares;
    while (deviations > STRAY_DEVIATIONS && kept.hits > comb.hits - comb.hits / STRAYS_OF) {
        kept.taken[farthest] = NULL;
        kept.hits--;
        kept_squares = settle(question, &kept, &farthest, &deviations);
    }
    if (deviations <= STRAY_DEVIATIONS) {
        comb = kept;
        squares = kept_squares;
    }
    double scatter = comb.hits > 2 ? squares / (comb.hits - 1) : 1;
    return (struct speed){ comb.hz, sqrt(comb.variance * fmax(scatter, 1)), comb.hits, comb.evidence };
}

static double least_evidence(const struct speed_question *question)
{
    return question->least_evidence > 0 ? question->least_evidence : SPEED_LEAST_EVIDENCE;
}

/* Where the log is borne out, another comb (a second machine's) must be far clearer to outdo it. */
static struct comb best_of(const struct trials *trials, double least)
{
    double margin = trials->inside.evidence >= least ? OUTSIDE_MARGIN : 0;
    return trials->outside.evidence > trials->inside.evidence + margin ? trials->outside : trials->inside;
}

struct speed speed_from_tones(const struct speed_question *question)
{
    double least = least_evidence(question);
    struct trials trials = try_anchors(question, 0);
    struct comb best = best_of(&trials, least);
    /* A comb of many weak lines, a bearing's, outdoes no loud one that the log bears out. */
    double least_pa2 = trials.loudest_pa2 * db_to_power_ratio(-WEAKER_DB);
    if (strength_pa2(&best) < least_pa2) {
        trials = try_anchors(question, least_pa2);
        best = best_of(&trials, least);
    }
    if (best.evidence < least)
        return (struct speed){ ABSENT, ABSENT, 0, best.evidence };
    return speed_of(question, best);
}

size_t speeds_from_tones(const struct speed_question *question, struct speed *speeds)
{
    struct trials trials = try_anchors(question, 0);
    size_t count = 0;
    if (trials.kept_count == 0 || trials.kept[0].evidence < least_evidence(question))
        return 0;
    for (; count < trials.kept_count && trials.kept[count].evidence >= RIVAL_EVIDENCE; count++)
        speeds[count] = speed_of(question, trials.kept[count]);
    return count;
}
