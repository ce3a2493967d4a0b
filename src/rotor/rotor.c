/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/rotor.h"

#include "base/absent.h"

#include <stdlib.h>

const char *blade_verdict_key(enum blade_verdict verdict)
{
    switch (verdict) {
    case BLADE_AGREES:
        return "agrees";
    case BLADE_SHIFTED:
        return "shifted";
    case BLADE_ABSENT:
        return "absent";
    }
    return "absent";
}

void rotor_figures_init(struct rotor_figures *figures)
{
    *figures = (struct rotor_figures){
        .rpm_measured = ABSENT,
        .rpm_uncertainty = ABSENT,
        .blade_shortfall_db = ABSENT,
        .unevenness_db = ABSENT,
        .belt_slip_pct = ABSENT,
        .speed_drift_pct = ABSENT,
        .speed_jitter_pct = ABSENT,
        .shares = { ABSENT, ABSENT, ABSENT, ABSENT },
    };
}

void rotor_figures_clear(struct rotor_figures *figures)
{
    free(figures->blade_passages);
    free(figures->tones);
    for (size_t i = 0; i < figures->remark_count; i++)
        free(figures->remarks[i]);
    free(figures->remarks);
    rotor_figures_init(figures);
}
