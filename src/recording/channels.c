/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/channels.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/num.h"
#include "base/units.h"

#include <math.h>
#include <stdlib.h>

#define CHANNELS_MOST 32 /* of a recording */
#define SECONDS 5.0
#define LOUDER_DB 30.0
#define QUIET_DBFS (-75.0)

/* Sums of one channel. */
struct sums {
    double sum, square;
};

static void add_block(const double *samples, size_t count, struct sums *sums)
{
    for (size_t i = 0; i < count; i++) {
        sums->sum += samples[i];
        sums->square += samples[i] * samples[i];
    }
}

static bool sum_channels(struct recording *recording, uint64_t frame_count, double *room, struct sums *sums,
                         struct err *err)
{
    int channels[CHANNELS_MOST];
    double *blocks[CHANNELS_MOST];
    size_t channel_count = (size_t)recording_info(recording)->channel_count, got = 0;
    for (size_t i = 0; i < channel_count; i++) {
        channels[i] = (int)i;
        blocks[i] = room + i * RECORDING_BLOCK_FRAMES;
    }
    for (uint64_t left = frame_count; left > 0; left -= got) {
        size_t wanted = left < RECORDING_BLOCK_FRAMES ? (size_t)left : RECORDING_BLOCK_FRAMES;
        if (!recording_read(recording, channels, channel_count, blocks, wanted, &got, err))
            return false;
        if (got == 0)
            return true;
        for (size_t i = 0; i < channel_count; i++)
            add_block(blocks[i], got, &sums[i]);
    }
    return true;
}

/* Level re the rms of a full-scale sine, without the offset; 0 frames can't be. */
static double level_dbfs(const struct sums *sums, double frame_count)
{
    double mean = sums->sum / frame_count;
    return power_ratio_to_db(2 * fmax(sums->square / frame_count - mean * mean, 0));
}

bool channels_compare(struct recording *recording, int channel, double start_s, struct findings *findings,
                      struct err *err)
{
    const struct recording_info *info = recording_info(recording);
    uint64_t first = (uint64_t)(start_s * info->sample_rate_hz), count = (uint64_t)(SECONDS * info->sample_rate_hz);
    if (info->channel_count < 2 || first >= info->frame_count)
        return true;
    count = count < info->frame_count - first ? count : info->frame_count - first;
    double *room = memory_new((size_t)info->channel_count * RECORDING_BLOCK_FRAMES, sizeof *room);
    struct sums sums[CHANNELS_MOST] = { 0 };
    bool done = (room || err_memory(err)) && recording_seek(recording, first, err) &&
                sum_channels(recording, count, room, sums, err);
    free(room);
    if (!done)
        return false;
    int loudest = channel;
    for (int i = 0; i < info->channel_count; i++)
        if (level_dbfs(&sums[i], (double)count) > level_dbfs(&sums[loudest], (double)count))
            loudest = i;
    double own_dbfs = level_dbfs(&sums[channel], (double)count);
    double over_db = level_dbfs(&sums[loudest], (double)count) - own_dbfs;
    char level[32];
    if (isfinite(over_db) && over_db >= LOUDER_DB && own_dbfs < QUIET_DBFS)
        findings_add(findings, "channels", SEVERITY_DOUBTFUL, ABSENT,
                     "channel %d is as quiet as an open input (%s dBFS), and channel %d is %.0f dB louder: if the "
                     "microphone is there, say so in the log's column channel or with --channel",
                     channel + 1, num_words(level, sizeof level, own_dbfs, 0), loudest + 1, over_db);
    return true;
}
