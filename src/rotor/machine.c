/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/machine.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/text.h"
#include "base/units.h"
#include "meters/weighting.h"
#include "rotor/family.h"
#include "rotor/naming.h"
#include "rotor/trouble.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define SLIP_TOLD_PCT 0.25     /* half of what friction belts creep at least (glossary after ISO 5292) */
#define WHINE_TOLD_PCT 10.0    /* of the A-weighted energy; common practice, no source */
#define DRIFT_TOLD_PCT 1.0     /* common practice, no source */
#define MESH_TOLD_DB 0.0       /* above the noise in its critical band; common practice, no source */
#define TEETH_FIT_SHARE 0.0008 /* of a ratio that another tooth count explains */

bool remark_add(struct explanation *explanation, struct err *err, const char *format, ...)
{
    struct rotor_figures *out = explanation->out;
    void *remarks = out->remarks;
    if (!memory_grow(&remarks, &explanation->remark_capacity, out->remark_count + 1, sizeof *out->remarks))
        return err_memory(err);
    out->remarks = remarks;
    struct text remark = { 0 };
    va_list args;
    va_start(args, format);
    text_add_args(&remark, format, args);
    va_end(args);
    if (remark.failed) {
        text_clear(&remark);
        return err_memory(err);
    }
    out->remarks[out->remark_count++] = remark.data;
    return true;
}

static const struct tone *loudest_of(const struct rotor_figures *out, const char *part, int *count)
{
    const struct tone *loudest = NULL;
    *count = 0;
    for (size_t i = 0; i < out->tone_count; i++)
        if (tone_is_of(&out->tones[i], part)) {
            (*count)++;
            if (!loudest || out->tones[i].level_db > loudest->level_db)
                loudest = &out->tones[i];
        }
    return loudest;
}

/* Does another part fit every tone of the mains as well? */
static bool is_doubtful_hum(const struct rotor_figures *out)
{
    for (size_t i = 0; i < out->tone_count; i++)
        if (tone_is_of(&out->tones[i], "mains") && out->tones[i].alternative_count == 0)
            return false;
    return true;
}

/* One tone alone may be anything near that frequency. */
static bool tell_hum(struct explanation *explanation, struct err *err)
{
    int count = 0;
    const struct tone *hum = loudest_of(explanation->out, "mains", &count);
    if (!hum)
        return true;
    bool fits_others = is_doubtful_hum(explanation->out);
    return remark_add(explanation, err,
                      "The mains %s in this recording (%.1f Hz, %.1f dB, %d %s on multiples of their frequency): %s.",
                      fits_others || count == 1 ? "may hum" : "hums", hum->hz, hum->level_db, count,
                      count == 1 ? "tone" : "tones",
                      fits_others ? "but parts of the rotor fit there too; compare with the background or another speed"
                      : count == 1 ? "one alone may be something else; compare with the background"
                                   : "a device near by or the cable, not the rotor");
}

static bool tell_mesh(struct explanation *explanation, const char *part, const char *advice, struct err *err)
{
    int count = 0;
    const struct tone *mesh = loudest_of(explanation->out, part, &count);
    if (!mesh || mesh->above_noise_db < MESH_TOLD_DB)
        return true;
    return remark_add(explanation, err,
                      "The teeth of the %s are heard at %.1f Hz (%s, %.1f dB, %.1f dB above the noise in its critical "
                      "band): %s.",
                      strcmp(part, "belt mesh") == 0 ? "belt" : "gear", mesh->hz, mesh->source, mesh->level_db,
                      mesh->above_noise_db, advice);
}

static double a_weighted_pa2(const struct tone *tone)
{
    return db_to_pa2(tone->level_db) * db_to_power_ratio(weighting_db(WEIGHTING_A, tone->hz));
}

static bool tell_whine(struct explanation *explanation, struct err *err)
{
    static const char *const parts[] = { "motor electrical", "motor cogging", "motor shaft", "pwm" };
    struct rotor_figures *out = explanation->out;
    double whine_pa2 = 0, tones_pa2 = 0;
    const struct tone *loudest = NULL;
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        tones_pa2 += a_weighted_pa2(tone);
        for (size_t n = 0; n < sizeof parts / sizeof *parts; n++)
            if (tone_is_of(tone, parts[n])) {
                whine_pa2 += a_weighted_pa2(tone);
                if (!loudest || a_weighted_pa2(tone) > a_weighted_pa2(loudest))
                    loudest = tone;
            }
    }
    double tones_pct = 100 - out->shares.broadband_pct;
    double whine_pct = tones_pa2 > 0 ? tones_pct * whine_pa2 / tones_pa2 : 0;
    if (!loudest || !(whine_pct >= WHINE_TOLD_PCT))
        return true;
    return remark_add(explanation, err,
                      "The motor whines: its tones carry %.0f %% of the A-weighted energy (told from %.0f %%), most at "
                      "%.0f Hz (%s); another timing, PWM frequency or a softer mount may help.",
                      whine_pct, WHINE_TOLD_PCT, loudest->hz, loudest->source);
}

/* Another count of teeth on the rotor's wheel that would explain the ratio heard; 0: none. */
static int fitting_teeth(double ratio, int motor_teeth, int rotor_teeth)
{
    for (int teeth = rotor_teeth - 5; teeth <= rotor_teeth + 5; teeth++)
        if (teeth > 0 && teeth != rotor_teeth && fabs((double)teeth / motor_teeth / ratio - 1) < TEETH_FIT_SHARE)
            return teeth;
    return 0;
}

/* With one decimal nothing is to read -0.0. */
static double no_minus_zero(double pct)
{
    return fabs(pct) < 0.05 ? 0 : pct;
}

static bool tell_slip(struct explanation *explanation, const struct naming *naming, const struct motor_heard *motor,
                      struct err *err)
{
    const struct variant *variant = explanation->variant;
    struct rotor_figures *out = explanation->out;
    double ratio = variant_drive_ratio(variant), motor_hz = motor->motor_hz;
    if (variant->drive == DRIVE_DIRECT || !is_given(ratio) || !is_given(naming->shaft_hz))
        return true;
    const char *from = "the motor's tones say";
    if (!is_given(motor_hz) && explanation->log && is_given(explanation->log->motor_rpm)) {
        motor_hz = rpm_to_hz(explanation->log->motor_rpm);
        from = "the log says";
    }
    if (!is_given(motor_hz))
        return true;
    double slip_pct = 100 * (1 - naming->shaft_hz * ratio / motor_hz);
    if (variant->drive == DRIVE_BELT)
        out->belt_slip_pct = slip_pct;
    if (motor->moves)
        return remark_add(explanation, err,
                          "The belt slips, and its slip moves from %.1f to %.1f %% through the used part (the motor's "
                          "tones move, the rotor's stand; told from %.2f %%): look at tension, load and heat of the "
                          "belt, and use a part where it stands.",
                          no_minus_zero(motor->first_pct), no_minus_zero(motor->last_pct), SLIP_MOVES_PCT);
    if (fabs(slip_pct) < SLIP_TOLD_PCT)
        return true;
    bool is_belt = variant->drive == DRIVE_BELT;
    int motor_teeth = drive_motor_teeth(variant);
    int rotor_teeth = is_belt ? variant->rotor_pulley_teeth : variant->rotor_gear_teeth;
    int teeth = fitting_teeth(motor_hz / naming->shaft_hz, motor_teeth, rotor_teeth);
    char hint[64] = "a tooth count may be wrong";
    if (teeth > 0)
        snprintf(hint, sizeof hint, "%d:%d teeth in place of %d:%d would fit", motor_teeth, teeth, motor_teeth,
                 rotor_teeth);
    else if (is_belt && slip_pct > 0)
        snprintf(hint, sizeof hint, "the belt may slip, or a tooth count is wrong");
    return remark_add(
        explanation, err,
        "Rotor and motor do not match the ratio %.4f: %s %.0f rev/min, %.2f %% off (friction belts creep 0.5 "
        "to 1 %%, toothed ones not at all): %s.",
        ratio, from, hz_to_rpm(motor_hz), slip_pct, hint);
}

static bool tell_envelope(struct explanation *explanation, const struct envelope_report *envelope, struct err *err)
{
    for (size_t i = 0; i < envelope->heard_count; i++) {
        const struct envelope_heard *heard = &envelope->heard[i];
        bool is_bearing = heard->family == LINE_BEARING;
        /* Races of one bearing answer to one another: the strongest is told. */
        if (is_bearing && i > 0)
            continue;
        if (!remark_add(
                explanation, err,
                "%s: the band %.1f to %.1f kHz knocks at %.2f Hz (%s, due at %.2f Hz; %.0f dB high in the squared "
                "envelope, told from 9 dB, %d multiples)%s.",
                is_bearing ? "A bearing may be worn" : "The belt may have a bad tooth or splice",
                envelope->low_hz / 1000, envelope->high_hz / 1000, heard->hz, heard->source, heard->expected_hz,
                heard->height_db, heard->multiples, is_bearing ? "; turn it by hand, and compare with a new one" : ""))
            return false;
    }
    return true;
}

static bool is_heard_knocking(const struct naming *naming, int part)
{
    for (size_t i = 0; naming->envelope && i < naming->envelope->heard_count; i++)
        if (naming->envelope->heard[i].part == part)
            return true;
    return false;
}

static bool is_hidden(const struct naming *naming, const struct line *line)
{
    return line->family == LINE_BEARING && line->number == 1 && is_given(naming->shaft_hz) &&
           family_is_whole_order(line->hz, naming->shaft_hz) && !is_heard_knocking(naming, line->part);
}

/* A bearing's line on a whole order of the rotor's shaft can't be told from that order: silence about it says nothing.
 */
static bool tell_hidden(struct explanation *explanation, const struct naming *naming, struct err *err)
{
    struct text parts = { 0 };
    for (size_t i = 0; i < naming->lines->count; i++) {
        const struct line *line = &naming->lines->items[i];
        if (!is_hidden(naming, line))
            continue;
        int name_length = (int)(strlen(line->source) - strlen(" 1"));
        text_addf(&parts, "%s%.*s (order %.0f)", parts.length > 0 ? ", " : "", name_length, line->source,
                  line->hz / naming->shaft_hz);
    }
    bool ok = !parts.failed || err_memory(err);
    ok = ok && (parts.length == 0 ||
                remark_add(explanation, err,
                           "Not judged: %s. Without slip it can't be told from a whole order of the rotor's shaft, at "
                           "any speed; feel or listen at the bearing itself.",
                           parts.data));
    text_clear(&parts);
    return ok;
}

static bool tell_course(struct explanation *explanation, struct err *err)
{
    const struct rotor_figures *out = explanation->out;
    const struct track *track = &explanation->track;
    if (!(fabs(out->speed_drift_pct) >= DRIFT_TOLD_PCT))
        return true;
    return remark_add(explanation, err,
                      "The speed drifted by %+.2f %% through the used part, from about %.0f to %.0f rev/min (told from "
                      "%.0f %%), with a jitter of %.2f %%: levels at one speed need a steadier run.",
                      out->speed_drift_pct, hz_to_rpm(track_hz(track, 0)),
                      hz_to_rpm(track_hz(track, track->duration_s)), DRIFT_TOLD_PCT, out->speed_jitter_pct);
}

bool machine_tell(struct explanation *explanation, const struct naming *naming, const struct motor_heard *motor,
                  struct err *err)
{
    return trouble_tell(explanation, err) && tell_slip(explanation, naming, motor, err) &&
           tell_mesh(explanation, "belt mesh", "belt tension, tooth form or a nearby span resonance may make it loud",
                     err) &&
           tell_mesh(explanation, "gear mesh", "tooth form, backlash or alignment may make it loud", err) &&
           tell_whine(explanation, err) && tell_hum(explanation, err) && tell_course(explanation, err) &&
           (!naming->envelope || tell_envelope(explanation, naming->envelope, err)) &&
           tell_hidden(explanation, naming, err);
}
