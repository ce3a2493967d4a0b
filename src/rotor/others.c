/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/others.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/naming.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { HARMONICS = 40 };

/* Names the tones of another rotor's comb; tells whether there was one. */
static bool take(const struct speed_question *question, const struct speed *other, double shaft_hz, struct tone *tones,
                 size_t count)
{
    bool is_any = false;
    for (size_t i = 0; i < count; i++) {
        double spacing_hz = other->shaft_hz * question->blades;
        double harmonic = round(tones[i].hz / spacing_hz), line_hz = harmonic * spacing_hz;
        double width_hz = speed_match_hz(tones[i].uncertainty_hz, line_hz, other->uncertainty_hz / other->shaft_hz,
                                         question->step_hz);
        if (harmonic < 1 || harmonic > HARMONICS || fabs(tones[i].hz - line_hz) > width_hz ||
            !tone_is_unexplained(&tones[i]))
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

bool others_name(const struct speed_question *question, double shaft_hz, int rotor_count, struct tone *tones,
                 size_t tone_count, struct others *out, struct err *err)
{
    *out = (struct others){ .count = 0 };
    struct tone *left = memory_new(tone_count, sizeof *left);
    if (!left)
        return err_memory(err);
    while (out->count < rotor_count - 1 && out->count < OTHERS_MOST) {
        struct speed_question rest = *question;
        rest.tones = left;
        rest.tone_count = 0;
        for (size_t i = 0; i < tone_count; i++)
            if (tone_is_unexplained(&tones[i]))
                left[rest.tone_count++] = tones[i];
        rest.log_hz = shaft_hz;
        rest.log_tolerance_pct = rest.search_pct = OTHERS_REACH_PCT;
        struct speed other = speed_from_tones(&rest);
        if (!is_given(other.shaft_hz) || !take(question, &other, shaft_hz, tones, tone_count))
            break;
        out->shaft_hz[out->count++] = other.shaft_hz;
    }
    free(left);
    return true;
}
