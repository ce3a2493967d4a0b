/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/others.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/naming.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HARMONICS = 40, SUM_TERMS = 4, SUM_HARMONICS = 12 };

#define UNASKED_EVIDENCE 10.0 /* odds of 20000 to 1: nobody said that there is another rotor */
#define WEAKER_DB 10.0        /* than the first: common practice */
#define APART_LINES 3.0       /* nearer than that two tones of one spectrum are one (tone.h) */

/* Nearest line of a rotor's comb; ABSENT where the tone lies on none. */
static double line_of(const struct speed_question *question, const struct speed *rotor, const struct tone *tone,
                      double *harmonic)
{
    double spacing_hz = rotor->shaft_hz * question->blades;
    *harmonic = round(tone->hz / spacing_hz);
    double line_hz = *harmonic * spacing_hz;
    double width_hz =
        speed_match_hz(tone->uncertainty_hz, line_hz, rotor->uncertainty_hz / rotor->shaft_hz, question->step_hz);
    bool is_on = *harmonic >= 1 && *harmonic <= HARMONICS && fabs(tone->hz - line_hz) <= width_hz;
    return is_on ? line_hz : ABSENT;
}

/* Names the tones of another rotor's comb; tells whether there was one. */
static bool take(const struct speed_question *question, const struct speed *other, double shaft_hz, struct tone *tones,
                 size_t count)
{
    bool is_any = false;
    for (size_t i = 0; i < count; i++) {
        double harmonic, line_hz = line_of(question, other, &tones[i], &harmonic);
        if (!is_given(line_hz) || !tone_is_unexplained(&tones[i]))
            continue;
        snprintf(tones[i].source, sizeof tones[i].source, "blade %.0f", harmonic);
        snprintf(tones[i].remark, sizeof tones[i].remark,
                 "another rotor at %.1f rev/min; beats with the first at %.2f Hz", hz_to_rpm(other->shaft_hz),
                 harmonic * question->blades * fabs(other->shaft_hz - shaft_hz));
        tones[i].expected_hz = line_hz;
        is_any = true;
    }
    return is_any;
}

/* One tone between two rotors' lines that lie too close to be two. */
static bool is_together(const struct speed_question *question, double shaft_hz, double other_hz,
                        const struct tone *tone, double harmonic)
{
    double order = harmonic * question->blades, apart_hz = order * fabs(other_hz - shaft_hz);
    double middle_hz = order * (shaft_hz + other_hz) / 2;
    return harmonic >= 1 && harmonic <= HARMONICS && apart_hz < APART_LINES * question->step_hz &&
           fabs(tone->hz - middle_hz) <= apart_hz / 2 + question->step_hz;
}

/* Is the tone n1 B f1 + n2 B f2 with n1 + n2 = `harmonic` and neither of them 0? The smallest such numbers. */
static bool is_sum(const struct speed_question *question, double shaft_hz, const struct speed *other,
                   const struct tone *tone, int harmonic, int *first)
{
    for (int most = 1; most <= SUM_TERMS; most++)
        for (int n = -most; n <= most; n++) {
            int second = harmonic - n, larger = abs(n) > abs(second) ? abs(n) : abs(second);
            double line_hz = question->blades * (n * shaft_hz + second * other->shaft_hz);
            double share = 2 * larger * question->blades * other->uncertainty_hz / line_hz; /* both are known as well */
            if (n == 0 || second == 0 || larger != most || line_hz <= 0)
                continue;
            *first = n;
            if (fabs(tone->hz - line_hz) <= speed_match_hz(tone->uncertainty_hz, line_hz, share, question->step_hz))
                return true;
        }
    return false;
}

/* Names what two combs make together among the tones that neither explains. */
static void take_both(const struct speed_question *question, const struct speed *other, double shaft_hz,
                      struct tone *tones, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct tone *tone = &tones[i];
        double harmonic = round(tone->hz / question->blades / ((shaft_hz + other->shaft_hz) / 2));
        char source[SOURCE_TEXT_MAX];
        int first = 0;
        snprintf(source, sizeof source, "blade %.0f", harmonic);
        bool is_unexplained = tone_is_unexplained(tone), is_own = strcmp(tone->source, source) == 0;
        if (is_together(question, shaft_hz, other->shaft_hz, tone, harmonic) && (is_unexplained || is_own)) {
            tone->expected_hz = harmonic * question->blades * shaft_hz;
            snprintf(tone->remark, sizeof tone->remark, "both rotors together; they beat at %.2f Hz",
                     harmonic * question->blades * fabs(other->shaft_hz - shaft_hz));
        } else if (is_unexplained && harmonic >= 1 && harmonic <= SUM_HARMONICS &&
                   is_sum(question, shaft_hz, other, tone, (int)harmonic, &first)) {
            int second = (int)harmonic - first;
            tone->expected_hz = question->blades * (first * shaft_hz + second * other->shaft_hz);
            snprintf(tone->remark, sizeof tone->remark, "both rotors in each other's wake: %+d and %+d x their blades",
                     first, second);
        } else {
            continue;
        }
        memcpy(tone->source, source, sizeof source);
    }
}

/* The speed of another comb among `left`, beside the first rotor's. */
static struct speed look(const struct speed_question *question, double shaft_hz, const struct tone *left, size_t count)
{
    struct speed_question rest = *question;
    rest.tones = left;
    rest.tone_count = count;
    rest.log_hz = shaft_hz;
    rest.log_tolerance_pct = rest.search_pct = OTHERS_REACH_PCT;
    return speed_from_tones(&rest);
}

/* The same among what is left unexplained; `left` is room for the tones. */
static struct speed look_unexplained(const struct speed_question *question, double shaft_hz, const struct tone *tones,
                                     size_t tone_count, struct tone *left)
{
    size_t count = 0;
    for (size_t i = 0; i < tone_count; i++)
        if (tone_is_unexplained(&tones[i]))
            left[count++] = tones[i];
    return look(question, shaft_hz, left, count);
}

/* Power of the tones on a rotor's blade lines. */
static double comb_pa2(const struct speed_question *question, const struct speed *rotor)
{
    double sum_pa2 = 0, harmonic;
    for (size_t i = 0; i < question->tone_count; i++)
        if (is_given(line_of(question, rotor, &question->tones[i], &harmonic)))
            sum_pa2 += db_to_pa2(question->tones[i].level_db);
    return sum_pa2;
}

/* Does rotor `a` come before rotor `b`? */
static bool is_before(const struct speed_question *question, const struct speed *a, const struct speed *b)
{
    double a_off = fabs(a->shaft_hz / question->log_hz - 1), b_off = fabs(b->shaft_hz / question->log_hz - 1);
    double tolerance = question->log_tolerance_pct / 100;
    if (a_off <= tolerance || b_off <= tolerance)
        return a_off < b_off;
    return comb_pa2(question, a) > comb_pa2(question, b);
}

bool others_choose(const struct speed_question *question, int rotor_count, struct speed *speed, struct err *err)
{
    struct speed found = *speed, last = found;
    if (rotor_count < 2 || question->tone_count == 0)
        return true;
    struct tone *left = memory_new(question->tone_count, sizeof *left);
    if (!left)
        return err_memory(err);
    size_t count = question->tone_count;
    memcpy(left, question->tones, count * sizeof *left);
    double least_pa2 = comb_pa2(question, &found) * db_to_power_ratio(-WEAKER_DB);
    for (int i = 1; i < rotor_count && i < OTHERS_MOST; i++) {
        size_t kept = 0;
        double harmonic;
        for (size_t n = 0; n < count; n++)
            if (!is_given(line_of(question, &last, &left[n], &harmonic)))
                left[kept++] = left[n];
        count = kept;
        last = look(question, found.shaft_hz, left, count);
        if (!is_given(last.shaft_hz))
            break;
        if (comb_pa2(question, &last) >= least_pa2 && is_before(question, &last, speed))
            *speed = last;
    }
    free(left);
    return true;
}

bool others_name(const struct speed_question *question, double shaft_hz, int rotor_count, struct tone *tones,
                 size_t tone_count, struct others *out, struct err *err)
{
    *out = (struct others){ .unasked_hz = ABSENT };
    struct tone *left = memory_new(tone_count, sizeof *left);
    if (!left)
        return err_memory(err);
    while (out->count < rotor_count - 1 && out->count < OTHERS_MOST) {
        struct speed other = look_unexplained(question, shaft_hz, tones, tone_count, left);
        if (!is_given(other.shaft_hz) || !take(question, &other, shaft_hz, tones, tone_count))
            break;
        take_both(question, &other, shaft_hz, tones, tone_count);
        out->shaft_hz[out->count++] = other.shaft_hz;
    }
    if (rotor_count < 2) {
        struct speed other = look_unexplained(question, shaft_hz, tones, tone_count, left);
        out->unasked_hz = other.evidence >= UNASKED_EVIDENCE ? other.shaft_hz : ABSENT;
    }
    free(left);
    return true;
}
