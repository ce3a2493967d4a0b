/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/run_result.h"

#include "base/absent.h"

#include <stdlib.h>

void run_result_init(struct run_result *result)
{
    *result = (struct run_result){
        .sample_rate_hz = ABSENT,
        .duration_s = ABSENT,
        .used_start_s = ABSENT,
        .used_end_s = ABSENT,
        .rpm_given = ABSENT,
        .rpm_tolerance_pct = ABSENT,
        .motor_rpm = ABSENT,
        .throttle_pct = ABSENT,
        .thrust_n = ABSENT,
        .power_w = ABSENT,
        .tip_speed_m_s = ABSENT,
        .full_scale_sine_db = ABSENT,
        .gain_uncertainty_db = ABSENT,
        .gain_drift_db = ABSENT,
        .at_reference = { .laeq_db = ABSENT,
                          .background_correction_db = ABSENT,
                          .distance_correction_db = ABSENT,
                          .absorption_correction_db = ABSENT },
        .tonality = { .audibility_db = ABSENT,
                      .audibility_uncertainty_db = ABSENT,
                      .adjustment_db = -1,
                      .decisive_hz = ABSENT,
                      .prominent_hz = ABSENT,
                      .aures_tu = ABSENT },
    };
    figures_init(&result->figures);
    rotor_figures_init(&result->rotor);
}

void run_result_clear(struct run_result *result)
{
    free(result->file);
    free(result->variant);
    free(result->microphone);
    free(result->note);
    for (size_t i = 0; i < result->note_count; i++) {
        free(result->notes[i].column);
        free(result->notes[i].value);
    }
    free(result->notes);
    settings_clear(&result->settings);
    findings_clear(&result->findings);
    figures_clear(&result->figures);
    at_reference_clear(&result->at_reference);
    rotor_figures_clear(&result->rotor);
    free(result->trace.level_db);
    run_result_init(result);
}

enum severity run_result_verdict(const struct run_result *result)
{
    return result->error[0] ? SEVERITY_UNUSABLE : findings_worst(&result->findings);
}
