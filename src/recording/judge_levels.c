/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/judge.h"

#include "base/absent.h"
#include "base/median.h"
#include "base/memory.h"
#include "base/text.h"
#include "base/units.h"
#include "recording/steady.h"

#include <math.h>
#include <stdlib.h>

/* Random error of a band level, 4.34/sqrt(B T) dB (Bendat and Piersol), that is let pass unsaid. */
#define ERROR_FACTOR_DB 4.34
#define ERROR_MOST_DB 0.5
#define USED_LEAST_S 1.0
#define USED_SHARE_LEAST 0.5
#define RUMBLE_OVER_DB 0.0 /* rumble as strong as all the rest */
#define GUST_OVER_DB 6.0
#define GUST_SHARE 0.05
#define CLICK_OVER_DB 10.0
#define CLICK_SHARE_MOST 0.1 /* of the time; more is what the sound is like */

/* Width of a third-octave band over its mid-frequency, IEC 61260-1:2014: 10^0.05 - 10^-0.05. */
static double third_octave_width(void)
{
    return db_to_power_ratio(0.5) - db_to_power_ratio(-0.5);
}

static void judge_length(const struct judged *judged, struct findings *findings)
{
    double used_s = judged->survey->used_end_s - judged->survey->used_start_s;
    double lowest_hz = judged->request->lowest_band_hz, width = third_octave_width();
    double error_db = ERROR_FACTOR_DB / sqrt(width * lowest_hz * used_s);
    if (error_db <= ERROR_MOST_DB)
        return;
    double needed = ERROR_FACTOR_DB * ERROR_FACTOR_DB / (ERROR_MOST_DB * ERROR_MOST_DB * width);
    findings_add(
        findings, "too-short", used_s < USED_LEAST_S ? SEVERITY_DOUBTFUL : SEVERITY_NOTE, lowest_hz,
        "%.1f s are short: noise in the %g Hz band is only known within %.1f dB (one standard deviation), within "
        "%g dB from %.0f Hz up; record %.0f s or longer",
        used_s, lowest_hz, error_db, ERROR_MOST_DB, needed / used_s, ceil(needed / lowest_hz));
}

static void judge_steadiness(const struct judged *judged, struct findings *findings)
{
    const char *advice = judged->is_steady ? "" : " and no part of 1 s or more is steadier";
    if (judged->used_range_db > STEADY_RANGE_DB && !isinf(judged->used_range_db))
        findings_add(
            findings, "unsteady-level", SEVERITY_DOUBTFUL, ABSENT,
            "the level of the used part changes by %.1f dB (half-second means; %g dB pass as steady)%s; hold the "
            "speed and record again",
            judged->used_range_db, STEADY_RANGE_DB, advice);
    if (judged->used_speed_range_pct > STEADY_SPEED_PCT)
        findings_add(
            findings, "unsteady-speed", SEVERITY_DOUBTFUL, ABSENT,
            "the blade frequency of the used part changes by %.1f %% (%g %% pass as steady)%s; hold the speed and "
            "record again",
            judged->used_speed_range_pct, STEADY_SPEED_PCT, advice);
}

/* What lies outside of a used part that was found, where the sound is as loud or louder: the run itself, disturbed.
 * What is quieter by more than the limit of steadiness is the rotor not yet or no more at its speed. */
static void judge_share(const struct judged *judged, struct findings *findings)
{
    const struct steps *steps = judged->steps;
    double used_square = 0, used_count = (double)(judged->end - judged->first), heard = used_count, loudest = 0;
    size_t place = 0;
    for (size_t i = judged->first; i < judged->end; i++)
        used_square += steps->items[i].fast_square / used_count;
    for (size_t i = 0; i < steps->count; i++) {
        if (i >= judged->first && i < judged->end)
            continue;
        double square = steps->items[i].fast_square;
        heard += square > used_square * db_to_power_ratio(-STEADY_RANGE_DB);
        if (square > loudest) {
            loudest = square;
            place = i;
        }
    }
    if (!judged->survey->used_was_found || used_count >= USED_SHARE_LEAST * heard)
        return;
    double over_db = power_ratio_to_db(loudest / used_square);
    char rest[80] = "its level goes up and down";
    if (over_db > STEADY_RANGE_DB / 2)
        text_fit(rest, sizeof rest, "at %.1f s it is %.1f dB louder", steps->step_s * (double)place, over_db);
    else if (steady_speed_range_pct(steps, 0, steps->count) > STEADY_SPEED_PCT)
        text_fit(rest, sizeof rest, "the blade frequency moves by more than %g %%", STEADY_SPEED_PCT);
    findings_add(findings, "unsteady-level", SEVERITY_DOUBTFUL, ABSENT,
                 "only %.1f s are used of %.1f s in which the sound is about as loud or louder, the rest is not steady "
                 "(%s); was "
                 "something else heard, or did the speed change? Listen, set start_s and end_s, or record again",
                 steps->step_s * used_count, steps->step_s * heard, rest);
}

/* Wind comes in gusts: a few steps of strong rumble among quiet ones. An offset that decays is low sound too, and is
 * told as what it is. */
static void judge_rumble(const struct judged *judged, struct findings *findings)
{
    double low = 0, rest = 0, count = (double)(judged->end - judged->first), gusts = 0;
    for (size_t i = judged->first; i < judged->end; i++) {
        low += judged->steps->items[i].low_square / count;
        rest += judged->steps->items[i].mean_square / count;
    }
    if (!(rest > 0) || findings_have(findings, "dc-decay"))
        return;
    for (size_t i = judged->first; i < judged->end; i++)
        gusts += judged->steps->items[i].low_square > db_to_power_ratio(GUST_OVER_DB) * rest;
    double over_db = power_ratio_to_db(low / rest), limit_hz = survey_rumble_limit_hz(judged->request);
    if (over_db > RUMBLE_OVER_DB)
        findings_add(findings, "low-frequency-rumble", SEVERITY_DOUBTFUL, ABSENT,
                     "rumble between 2 and %.0f Hz is %.1f dB stronger than all the rest (wind or handling); use a "
                     "windscreen, keep the microphone out of the wash and off the stand, and record again",
                     limit_hz, over_db);
    else if (gusts >= GUST_SHARE * count)
        findings_add(
            findings, "low-frequency-rumble", SEVERITY_DOUBTFUL, ABSENT,
            "rumble between 2 and %.0f Hz comes in gusts, in %.0f %% of the time %g dB or more above all the rest "
            "(wind or handling); use a windscreen, wait for a lull and record again",
            limit_hz, 100 * gusts / count, GUST_OVER_DB);
}

/* A click or knock too short to move half-second levels, but not the peak. */
static void judge_clicks(const struct judged *judged, struct findings *findings)
{
    const struct step *used = judged->steps->items + judged->first;
    size_t count = judged->end - judged->first, clicks = 0, first = 0;
    if (count == 0 || findings_have(findings, "clipped") || findings_have(findings, "dc-decay") ||
        findings_have(findings, "low-frequency-rumble") || findings_have(findings, "unsteady-level"))
        return;
    double *peaks = memory_new(count, sizeof *peaks), most = 0;
    if (!peaks) {
        findings->failed = true;
        return;
    }
    for (size_t i = 0; i < count; i++)
        peaks[i] = used[i].peak;
    double usual = median(peaks, count);
    free(peaks);
    for (size_t i = 0; i < count; i++) {
        if (!(used[i].peak >= usual * db_to_amplitude_ratio(CLICK_OVER_DB)) || usual == 0)
            continue;
        first = clicks++ == 0 ? i : first;
        most = fmax(most, used[i].peak);
    }
    if (clicks > 0 && (double)clicks <= CLICK_SHARE_MOST * (double)count)
        findings_add(findings, "click", SEVERITY_NOTE, ABSENT,
                     "in %.1f s of the used part, first at %.1f s, peaks stand up to %.0f dB above the usual ones: a "
                     "click or knock, and LCpeak and LAFmax may be of it; listen there",
                     judged->steps->step_s * (double)clicks, judged->steps->step_s * (double)(judged->first + first),
                     amplitude_ratio_to_db(most / usual));
}

void judge_levels(const struct judged *judged, struct findings *findings)
{
    judge_length(judged, findings);
    judge_steadiness(judged, findings);
    judge_share(judged, findings);
    judge_rumble(judged, findings);
    judge_clicks(judged, findings);
}
