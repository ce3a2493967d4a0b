/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/pressure.h"

#include "base/clones.h"

#include <math.h>

static uint64_t frame_at(double time_s, const struct recording_info *info)
{
    double frame = floor(time_s * info->sample_rate_hz + 0.5);
    if (!(frame > 0))
        return 0;
    return frame < (double)info->frame_count ? (uint64_t)frame : info->frame_count;
}

struct pressure pressure_of(struct recording *recording, int channel, double pa_per_full_scale, double start_s,
                            double end_s)
{
    const struct recording_info *info = recording_info(recording);
    uint64_t first = frame_at(start_s, info), end = frame_at(end_s, info);
    return (struct pressure){ .recording = recording,
                              .channel = channel,
                              .pa_per_full_scale = pa_per_full_scale,
                              .sample_rate_hz = info->sample_rate_hz,
                              .first_frame = first,
                              .frame_count = end > first ? end - first : 0 };
}

bool pressure_rewind(struct pressure *pressure, uint64_t *preroll_frames, struct err *err)
{
    uint64_t preroll = preroll_frames ? *preroll_frames : 0;
    if (preroll > pressure->first_frame)
        preroll = pressure->first_frame;
    if (!recording_seek(pressure->recording, pressure->first_frame - preroll, err))
        return false;
    pressure->preroll_left = preroll;
    pressure->next_frame = 0;
    if (preroll_frames)
        *preroll_frames = preroll;
    return true;
}

WITH_CLONES static void scale(double *values, size_t count, double factor)
{
    for (size_t i = 0; i < count; i++)
        values[i] *= factor;
}

bool pressure_read(struct pressure *pressure, double *pressure_pa, size_t frame_count, size_t *got, struct err *err)
{
    uint64_t left = pressure->preroll_left + pressure->frame_count - pressure->next_frame;
    size_t wanted = frame_count < left ? frame_count : (size_t)left;
    *got = 0;
    if (wanted == 0)
        return true;
    if (!recording_read(pressure->recording, &pressure->channel, 1, &pressure_pa, wanted, got, err))
        return false;
    scale(pressure_pa, *got, pressure->pa_per_full_scale);
    uint64_t from_preroll = *got < pressure->preroll_left ? *got : pressure->preroll_left;
    pressure->preroll_left -= from_preroll;
    pressure->next_frame += *got - from_preroll;
    return true;
}
