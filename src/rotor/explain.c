/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/units.h"
#include "rotor/drive.h"
#include "rotor/explanation.h"
#include "rotor/naming.h"
#include "rotor/passage.h"
#include "rotor/rotor.h"
#include "rotor/shares.h"

#include <stdlib.h>

#define DEFAULT_TOLERANCE_PCT 2.0 /* of the log, as interface.md has it */
#define PLACEHOLDER_RPM 60.0
#define LEAST_LINES 64 /* of a spectrum, below which nothing can be told */

static double belt_turn_hz(const struct lines *lines)
{
    for (size_t i = 0; i < lines->count; i++)
        if (lines->items[i].family == LINE_BELT_TURN && lines->items[i].number == 1)
            return lines->items[i].hz;
    return ABSENT;
}

static bool name_tones(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    struct variant nothing_known;
    variant_init(&nothing_known);
    const struct variant *variant = explanation->variant ? explanation->variant : &nothing_known;
    bool has_speed = is_given(explanation->speed.shaft_hz);
    struct lines lines = { 0 };
    /* Without a speed the lines on shafts are only placeholders that naming passes over. */
    if (!drive_lines(variant, has_speed ? out->rpm_measured : PLACEHOLDER_RPM, 0, explanation->highest_hz, &lines, err))
        return false;
    const struct naming naming = {
        .lines = &lines,
        .shaft_hz = explanation->speed.shaft_hz,
        .shaft_uncertainty_hz = explanation->speed.uncertainty_hz,
        .ratio = variant_drive_ratio(variant),
        .belt_turn_hz = belt_turn_hz(&lines),
        .step_hz = explanation->spectrum.step_hz,
    };
    tones_name(out->tones, out->tone_count, &naming);
    lines_clear(&lines);
    return true;
}

static bool judge_passages(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    const struct passage_question question = {
        .tones = out->tones,
        .tone_count = out->tone_count,
        .blades = explanation->variant ? explanation->variant->blades : 0,
        .log_hz = explanation->log_hz,
        .log_tolerance_pct = explanation->tolerance_pct,
        /* A comb of another blade count is no blade line of the given one. */
        .shaft_hz = explanation->heard_count > 0 ? ABSENT : explanation->speed.shaft_hz,
        .shaft_uncertainty_hz = explanation->speed.uncertainty_hz,
        .step_hz = explanation->spectrum.step_hz,
        .highest_hz = explanation->highest_hz,
    };
    return passages_judge(&question, &out->blade_passages, &out->blade_passage_count, err);
}

static bool explain(struct explanation *explanation, const struct spectrum *spectrum, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    if (!explanation_take_spectrum(explanation, spectrum, err) || !explanation_find_speed(explanation, err) ||
        !explanation_follow_speed(explanation, err) || !explanation_sharpen(explanation, err))
        return false;
    tell_speed(explanation);
    tell_count(explanation);
    if (!name_tones(explanation, err) || !judge_passages(explanation, err))
        return false;
    out->shares = shares_of_energy(&explanation->spectrum, out->tones, out->tone_count);
    return true;
}

bool rotor_explain(const struct variant *variant, const struct rotor_log *log, const struct figures *figures,
                   struct pressure *pressure, struct rotor_figures *out, struct findings *findings, struct err *err)
{
    struct rotor_figures made;
    rotor_figures_init(&made);
    struct explanation explanation = {
        .variant = variant,
        .log = log,
        .pressure = pressure,
        .log_hz = log ? rpm_to_hz(log->rpm) : ABSENT,
        .tolerance_pct = log && is_given(log->rpm_tolerance_pct) ? log->rpm_tolerance_pct : DEFAULT_TOLERANCE_PCT,
        .speed = { ABSENT, ABSENT, 0, 0 },
        .track = { .mean_hz = ABSENT },
        .out = &made,
        .findings = findings,
    };
    bool is_ok = figures->spectrum.count < LEAST_LINES || explain(&explanation, &figures->spectrum, err);
    free(explanation.noise_pa2);
    if (explanation.has_own_spectrum)
        free(explanation.spectrum.pa2);
    track_clear(&explanation.track);
    if (!is_ok) {
        rotor_figures_clear(&made);
        return false;
    }
    *out = made;
    return true;
}
