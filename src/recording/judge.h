/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_JUDGE_H
#define THRUM_RECORDING_JUDGE_H

/* From the steps of a recording to its findings: every rule of docs/findings.md that a survey can judge. */

#include "recording/finding.h"
#include "recording/recording.h"
#include "recording/steps.h"
#include "recording/survey.h"

struct judged {
    const struct recording_info *info;
    const struct survey_request *request;
    const struct survey *survey;
    const struct steps *steps;
    size_t first, end;           /* steps that touch the used part */
    double used_range_db;        /* of its half-second levels, ABSENT when too short */
    double used_speed_range_pct; /* of its blade frequency, ABSENT when it could not be followed */
    bool is_steady;              /* false: no steady part was found and none was asked for */
};

void judge_file(const struct judged *judged, struct findings *findings);    /* what the format and the header tell */
void judge_samples(const struct judged *judged, struct findings *findings); /* clipping, drop-outs, silence, offset … */
void judge_gain(const struct judged *judged, struct findings *findings);    /* a gain that did not stay as it was */
void judge_levels(const struct judged *judged, struct findings *findings); /* steadiness, rumble, length */

#endif
