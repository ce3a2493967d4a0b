/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_RECORDING_H
#define THRUM_RECORDING_RECORDING_H

/* A recording file, read in blocks through libsndfile. Samples are in units of full scale (+-1.0). What the file's
 * header claims is not trusted: the length that is really there is told beside the declared one, and non-finite samples
 * are refused by the survey. One reader belongs to one thread; any number may be open.
 *
 * Integer samples are divided by 2^(bits - 1), so that the most negative code is exactly -1; float samples are as
 * stored and may lie beyond +-1. The file is read by our own calls under libsndfile, which needs no lock: libsndfile
 * keeps the reason of a failed open in one place of the process, and nothing here reads it. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define RECORDING_BLOCK_FRAMES 8192

struct recording_info {
    double sample_rate_hz;
    int channel_count;
    uint64_t frame_count;          /* frames that can be read; lowered when reading meets the end sooner */
    uint64_t declared_frame_count; /* what the header says; equals frame_count where it does not say */
    bool is_unfinished;            /* its end is missing, though the header says no length (Ogg) */
    bool is_overflowed;            /* longer than the header's size can say; the rest can't be read */
    int bits;                      /* of a sample as stored: 8, 16, 20, 24, 32, 64; 0 for a lossy codec */
    bool is_float;
    bool is_lossy;   /* a lossy codec */
    char format[64]; /* "WAV, 24-bit PCM" */
};

struct recording;

/* NULL with `err` filled (ERR_FILE, ERR_AUDIO) when the file can't be opened, holds no frame, has no plausible rate
 * (8 to 384 kHz) or more than 32 channels. */
struct recording *recording_open(const char *path, struct err *err);
void recording_free(struct recording *recording);
const struct recording_info *recording_info(const struct recording *recording);
const char *recording_path(const struct recording *recording); /* as given to recording_open, for messages */

bool recording_seek(struct recording *recording, uint64_t frame, struct err *err) MUST_CHECK;

/* Which channel of a calibrator's or background's recording is that of a microphone that is recorded on `channel`: the
 * same, or the only one there is. */
int recording_channel_of(const struct recording *recording, int channel);

/* Reads up to `frame_count` frames of `channel_count` chosen channels (from 0) into out[i][frame]; *got is less only at
 * the end. A channel that is not there is ERR_AUDIO. */
bool recording_read(struct recording *recording, const int *channels, size_t channel_count, double *const *out,
                    size_t frame_count, size_t *got, struct err *err) MUST_CHECK;

#endif
