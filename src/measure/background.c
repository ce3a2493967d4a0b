/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/background.h"

#include "base/absent.h"
#include "base/files.h"
#include "measure/meter_run.h"
#include "measure/rotor_running.h"
#include "meters/meter_list.h"
#include "recording/pressure.h"
#include "recording/survey.h"

#include <stdlib.h>
#include <string.h>

/* A background is quiet, short and gusty by nature: that few codes of the converter are in use, that the lowest bands
 * are known less well, or that birds and wind come and go, matters only where it comes near the rotor, and there the
 * correction itself is told. */
static bool is_natural(const struct finding *finding)
{
    static const char *const codes[] = { "low-resolution", "too-short", "unsteady-level", "low-frequency-rumble",
                                         "gain-step" };
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
        if (strcmp(finding->code, codes[i]) == 0)
            return true;
    return false;
}

/* A survey's findings that matter for a background become one finding each, worded for the runs. */
static bool pass_findings_on(const char *path, const struct findings *own, struct findings *findings, struct err *err)
{
    for (size_t i = 0; i < own->count; i++) {
        const struct finding *finding = &own->items[i];
        if (finding->severity == SEVERITY_UNUSABLE)
            return err_file(err, ERR_AUDIO, path, "this background recording is unusable: %s", finding->text);
        if (finding->severity == SEVERITY_DOUBTFUL && !is_natural(finding))
            findings_add(findings, "background-doubtful", SEVERITY_DOUBTFUL, finding->band_hz,
                         "the background recording: %s", finding->text);
    }
    return true;
}

static bool levels_of(struct recording *recording, int channel, double start_s, double end_s, const struct gain *gain,
                      struct figures *out, struct err *err)
{
    struct pressure pressure = pressure_of(recording, channel, gain->pa_per_full_scale, start_s, end_s);
    struct meter_setup setup = { .is_absolute = gain->is_absolute, .expected_blade_hz = ABSENT };
    return meter_run(level_meters, level_meter_count, &setup, &pressure, out, err);
}

static bool measure_open(struct recording *recording, const char *path, int channel, const struct gain *gain,
                         struct figures *out, struct findings *findings, struct err *err)
{
    struct survey survey;
    struct findings own = { 0 };
    /* A background may be unsteady by nature: all of it counts. */
    const struct recording_info *info = recording_info(recording);
    double duration_s = (double)info->frame_count / info->sample_rate_hz;
    channel = recording_channel_of(recording, channel);
    struct survey_request request = { .channel = channel,
                                      .start_s = 0,
                                      .end_s = duration_s,
                                      .gain = *gain,
                                      .expected_blade_hz = ABSENT,
                                      .lowest_band_hz = 20 };
    bool ok = survey_recording(recording, &request, &survey, &own, err) && pass_findings_on(path, &own, findings, err);
    findings_clear(&own);
    if (!ok)
        return false;
    return levels_of(recording, channel, 0, duration_s, gain, out, err);
}

bool background_measure(const char *path, int channel, const struct gain *gain, struct figures *out,
                        struct findings *findings, struct err *err)
{
    struct recording *recording = recording_open(path, err);
    if (!recording)
        return false;
    figures_init(out);
    bool ok = measure_open(recording, path, channel, gain, out, findings, err);
    if (!ok)
        figures_clear(out);
    recording_free(recording);
    return ok;
}

static bool is_no_run(const struct campaign *campaign, const char *background, struct err *err)
{
    for (size_t i = 0; i < campaign->run_count; i++)
        if (strcmp(campaign->runs[i].file, background) == 0)
            return err_set(err, ERR_AUDIO,
                           "it is the recording of the run in row %d of the log; record the background with everything "
                           "but the rotor running",
                           campaign->runs[i].row);
    return true;
}

bool background_of_microphone(const struct campaign *campaign, size_t microphone, int channel, const struct gain *gain,
                              struct figures *out, struct findings *findings, struct err *err)
{
    const char *file = campaign->microphones[microphone].background;
    char *path = files_join(campaign->folder, file);
    bool ok = (path || err_memory(err)) && is_no_run(campaign, file, err) &&
              background_measure(path, channel, gain, out, findings, err);
    free(path);
    if (!ok)
        return false;
    ok = rotor_is_silent(campaign, microphone, channel, &out->spectrum, err);
    if (!ok)
        figures_clear(out);
    return ok;
}

bool background_compare(const char *path, int channel, double start_s, double end_s, const struct gain *gain,
                        const struct reference_conditions *conditions, struct findings *findings, struct err *err)
{
    struct recording *recording = recording_open(path, err);
    struct figures figures;
    struct at_reference at_reference = { 0 };
    figures_init(&figures);
    bool ok = recording && levels_of(recording, channel, start_s, end_s, gain, &figures, err) &&
              at_reference_compute(&figures, conditions, &at_reference, findings, err);
    at_reference_clear(&at_reference);
    figures_clear(&figures);
    recording_free(recording);
    return ok;
}
