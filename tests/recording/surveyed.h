/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_RECORDING_SURVEYED_H
#define THRUM_TESTS_RECORDING_SURVEYED_H

/* A made sound, written, opened and surveyed as a run would be. */

#include "signals.h"

#include "base/absent.h"
#include "recording/survey.h"

#define WAV16 (SF_FORMAT_WAV | SF_FORMAT_PCM_16)
#define WAV24 (SF_FORMAT_WAV | SF_FORMAT_PCM_24)

struct surveyed {
    struct survey survey;
    struct findings findings;
    struct err err;
    bool done;
};

/* 100 Hz: its third octave needs 3.3 s for an error of 0.5 dB, so that sounds of 4 s are long enough. */
static inline struct survey_request request_of(double expected_blade_hz)
{
    return (struct survey_request){ .start_s = ABSENT,
                                    .end_s = ABSENT,
                                    .gain = gain_of_full_scale(ABSENT),
                                    .expected_blade_hz = expected_blade_hz,
                                    .lowest_band_hz = 100 };
}

static inline struct surveyed survey_file(const char *path, const struct survey_request *request)
{
    struct surveyed surveyed = { .done = false };
    struct recording *recording = recording_open(path, &surveyed.err);
    surveyed.done =
        recording && survey_recording(recording, request, &surveyed.survey, &surveyed.findings, &surveyed.err);
    recording_free(recording);
    return surveyed;
}

static inline struct surveyed survey_sound(const struct sound *sound, int format, const struct survey_request *request)
{
    struct surveyed surveyed = { .done = false };
    if (sound_write(sound, "run", format))
        surveyed = survey_file(signals_path("run"), request);
    signals_remove("run");
    return surveyed;
}

/* All codes that were found, in order, with one space between. */
static inline const char *codes_of(const struct findings *findings)
{
    static char codes[1000];
    codes[0] = '\0';
    for (size_t i = 0; i < findings->count; i++) {
        size_t length = strlen(codes);
        snprintf(codes + length, sizeof codes - length, "%s%s", i ? " " : "", findings->items[i].code);
    }
    return codes;
}

/* Exactly these codes, and this as the worst severity. The sentences are printed for the reader. */
static inline void finds(const struct surveyed *surveyed, const char *codes, const char *verdict, const char *what)
{
    tap_ok(surveyed->done && strcmp(codes_of(&surveyed->findings), codes) == 0 &&
               strcmp(severity_verdict(findings_worst(&surveyed->findings)), verdict) == 0,
           "%s: found \"%s\" (%s), goal \"%s\" (%s) %s", what, codes_of(&surveyed->findings),
           severity_verdict(findings_worst(&surveyed->findings)), codes, verdict, surveyed->err.text);
    for (size_t i = 0; i < surveyed->findings.count; i++)
        printf("# %s\n", surveyed->findings.items[i].text);
}

static inline void surveyed_clear(struct surveyed *surveyed)
{
    findings_clear(&surveyed->findings);
}

/* Surveys and checks in one go, the whole file unless `request` says otherwise; frees the sound. */
static inline void sound_has(struct sound *sound, int format, const struct survey_request *request, const char *codes,
                             const char *verdict, const char *what)
{
    struct surveyed surveyed = survey_sound(sound, format, request);
    finds(&surveyed, codes, verdict, what);
    surveyed_clear(&surveyed);
    sound_free(sound);
}

#endif
