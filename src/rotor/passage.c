/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/passage.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SAME_SHARE 1e-6

/* The tone that was named after this line (not after another rotor's, nor as a sideband), the nearest of several. */
static const struct tone *named_tone(const struct passage_question *question, int harmonic, double line_hz)
{
    char source[SOURCE_TEXT_MAX];
    snprintf(source, sizeof source, "blade %d", harmonic);
    const struct tone *best = NULL;
    for (size_t i = 0; i < question->tone_count; i++) {
        const struct tone *tone = &question->tones[i];
        bool is_its = strcmp(tone->source, source) == 0 && fabs(tone->expected_hz - line_hz) <= SAME_SHARE * line_hz;
        if (is_its && (!best || fabs(tone->hz - line_hz) < fabs(best->hz - line_hz)))
            best = tone;
    }
    return best;
}

static struct blade_passage judge(const struct passage_question *question, int harmonic)
{
    double order = (double)harmonic * question->blades;
    struct blade_passage passage = { .harmonic = harmonic,
                                     .expected_hz = order * question->log_hz,
                                     .tolerance_hz = order * question->log_hz * question->log_tolerance_pct / 100,
                                     .measured_hz = ABSENT,
                                     .level_db = ABSENT,
                                     .above_noise_db = ABSENT,
                                     .verdict = BLADE_ABSENT };
    if (!is_given(question->shaft_hz))
        return passage;
    double line_hz = order * question->shaft_hz;
    const struct tone *tone = named_tone(question, harmonic, line_hz);
    if (!tone)
        return passage;
    passage.measured_hz = tone->hz;
    passage.level_db = tone->level_db;
    passage.above_noise_db = tone->above_noise_db;
    /* Whether the log is off is the speed's question: at the tolerance's edge all lines go one way. */
    bool is_off = is_given(question->log_hz) &&
                  fabs(question->shaft_hz / question->log_hz - 1) > question->log_tolerance_pct / 100;
    passage.verdict = is_off ? BLADE_SHIFTED : BLADE_AGREES;
    return passage;
}

bool passages_judge(const struct passage_question *question, struct blade_passage **out, size_t *count, struct err *err)
{
    double base_hz = is_given(question->shaft_hz) ? question->shaft_hz : question->log_hz;
    *out = NULL;
    *count = 0;
    if (question->blades <= 0 || !is_given(base_hz))
        return true;
    struct blade_passage *passages = memory_new(PASSAGES_MAX, sizeof *passages);
    if (!passages)
        return err_memory(err);
    int listed = 0, last_found = 0;
    for (int harmonic = 1; harmonic <= PASSAGES_MAX; harmonic++) {
        if (harmonic * question->blades * base_hz > question->highest_hz)
            break;
        passages[harmonic - 1] = judge(question, harmonic);
        listed = harmonic;
        if (passages[harmonic - 1].verdict != BLADE_ABSENT)
            last_found = harmonic;
    }
    int wanted = last_found + PASSAGES_BEYOND > PASSAGES_LEAST ? last_found + PASSAGES_BEYOND : PASSAGES_LEAST;
    *count = (size_t)(wanted < listed ? wanted : listed);
    *out = passages;
    return true;
}

/* Mean square of all that stands around `hz`. */
static double place_pa2(const struct spectrum *spectrum, double hz)
{
    double middle = round(hz / spectrum->step_hz), sum_pa2 = 0;
    for (double k = fmax(middle - PASSAGE_LINES, 0); k <= middle + PASSAGE_LINES && k < (double)spectrum->count; k++)
        sum_pa2 += spectrum->pa2[(size_t)k] / spectrum->enbw_lines;
    return sum_pa2;
}

struct passages_hidden passages_hidden(const struct blade_passage *passages, size_t count, int blades, double shaft_hz,
                                       const struct spectrum *spectrum)
{
    struct passages_hidden hidden = { ABSENT, 0, ABSENT, ABSENT };
    double found_pa2 = 0, hidden_pa2 = 0, most_pa2 = 0;
    for (size_t i = 0; i < count; i++) {
        if (passages[i].verdict != BLADE_ABSENT) {
            found_pa2 += db_to_pa2(passages[i].level_db);
            continue;
        }
        double hz = passages[i].harmonic * blades * shaft_hz, pa2 = place_pa2(spectrum, hz);
        hidden_pa2 += pa2;
        if (pa2 > most_pa2) {
            most_pa2 = pa2;
            hidden.harmonic = passages[i].harmonic;
            hidden.hz = hz;
            hidden.most_db = pa2_to_db(pa2);
        }
    }
    if (found_pa2 > 0)
        hidden.shortfall_db = power_ratio_to_db(1 + hidden_pa2 / found_pa2);
    return hidden;
}
