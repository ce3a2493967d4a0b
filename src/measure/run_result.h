/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_RUN_RESULT_H
#define THRUM_MEASURE_RUN_RESULT_H

/* Everything that is known of one run after it was measured: one entry of "runs" in results.json. Plain data, owned. */

#include "campaign/settings.h"
#include "hearing/hearing.h"
#include "measure/trace.h"
#include "meters/at_reference.h"
#include "meters/figures.h"
#include "recording/finding.h"
#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

struct run_result {
    char *file;                 /* as in the log */
    int row;                    /* 0: not from a log */
    char *variant, *microphone; /* names; NULL where not known */
    double sample_rate_hz, duration_s, used_start_s, used_end_s;
    char used_reason[200];
    double rpm_given, rpm_tolerance_pct, motor_rpm, throttle_pct, thrust_n, power_w, tip_speed_m_s;
    char *note;
    struct run_note *notes;
    size_t note_count;
    struct settings settings; /* that the figures rest on; empty without a campaign */

    char error[800]; /* not empty: it could not be measured at all, and why; also a finding "unreadable" */
    struct findings findings;
    bool is_absolute;          /* dB re 20 uPa; false: dBFS */
    double full_scale_sine_db; /* ABSENT without a calibration */
    double gain_uncertainty_db;
    double gain_drift_db;
    char gain_source[200];

    struct figures figures; /* the spectrum itself is dropped once the trace is made: spectrum.pa2 is NULL here */
    struct at_reference at_reference;
    struct rotor_figures rotor;
    struct tonality tonality;
    struct trace trace;
};

void run_result_init(struct run_result *result);
void run_result_clear(struct run_result *result);

/* Largest severity; an error counts as unusable. */
enum severity run_result_verdict(const struct run_result *result);

#endif
