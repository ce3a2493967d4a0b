/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_STORED_H
#define THRUM_RECORDING_STORED_H

/* Samples as they lie in an uncompressed file, least significant byte first, to units of full scale. Most recordings
 * are stored so; decoding them here, only the channels that are wanted, costs a third of what going through
 * libsndfile's converters does, and gives the same bits (tests/recording/stored.c). */

#include <stddef.h>

enum stored { STORED_OTHERWISE, STORED_PCM_16, STORED_PCM_24, STORED_PCM_32, STORED_FLOAT };

/* Of a format as libsndfile tells it; STORED_OTHERWISE: leave the decoding to libsndfile. Whether the bytes are swapped
 * is the caller's to ask. */
enum stored stored_kind(int sndfile_format);

size_t stored_bytes(enum stored stored); /* of one sample */

/* out[i]: channel `channel` of frame i of `channel_count` interleaved channels. */
void stored_decode(enum stored stored, const unsigned char *bytes, int channel_count, int channel, size_t frame_count,
                   double *out);

#endif
