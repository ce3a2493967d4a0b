/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_SURVEY_H
#define THRUM_RECORDING_SURVEY_H

/* The first pass over a recording: is it fit to use, and which part of it is steady? It reads the whole file once,
 * before any meter is fed, and keeps memory that does not grow with the length except one record a tenth of a second
 * (bounded, see steps.h). The rule for the steady part stands in steady.h, those of the findings in docs/findings.md.
 *
 * Cost, measured on ten minutes of 48 kHz 24-bit mono (processor time): decoding included 0.22 times a decoding with
 * one Hann-windowed transform of 16384, half overlapping; without the decoding 0.12 times. */

#include "recording/finding.h"
#include "recording/gain.h"
#include "recording/recording.h"

#include <stdbool.h>

struct survey_request {
    int channel;           /* from 0 */
    double start_s, end_s; /* the part that the user asks for; ABSENT: to be found */
    struct gain gain;
    double expected_blade_hz; /* blade passage by the log, ABSENT without one: helps to judge steadiness */
    double lowest_band_hz;    /* of interest; decides what is too short. 20 where nothing else is known */
};

struct survey {
    double duration_s;
    double used_start_s, used_end_s;
    bool used_was_found; /* false: as asked for */
    char used_reason[200];
    double peak_full_scale; /* largest absolute sample of the file */
};

/* Below this the survey takes sound for rumble: half of the expected blade passage, between 5 and 50 Hz; 20 Hz where
 * none is known. */
double survey_rumble_limit_hz(const struct survey_request *request);

/* Surveys `recording` from its start. Findings are added with their severity; an unusable recording still gives a
 * survey (the caller decides). False only when the file cannot be read, has no such channel, the part asked for does
 * not lie in it, or memory is out. */
bool survey_recording(struct recording *recording, const struct survey_request *request, struct survey *out,
                      struct findings *findings, struct err *err) MUST_CHECK;

#endif
