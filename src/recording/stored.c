/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/stored.h"

#include "base/clones.h"

#include <sndfile.h>
#include <stdint.h>
#include <string.h>

enum stored stored_kind(int sndfile_format)
{
    switch (sndfile_format & SF_FORMAT_TYPEMASK) {
    case SF_FORMAT_WAV:
    case SF_FORMAT_WAVEX:
    case SF_FORMAT_RF64:
    case SF_FORMAT_W64:
    case SF_FORMAT_AIFF:
    case SF_FORMAT_CAF:
        break;
    default:
        return STORED_OTHERWISE;
    }
    switch (sndfile_format & SF_FORMAT_SUBMASK) {
    case SF_FORMAT_PCM_16:
        return STORED_PCM_16;
    case SF_FORMAT_PCM_24:
        return STORED_PCM_24;
    case SF_FORMAT_PCM_32:
        return STORED_PCM_32;
    case SF_FORMAT_FLOAT:
        return STORED_FLOAT;
    default:
        return STORED_OTHERWISE;
    }
}

size_t stored_bytes(enum stored stored)
{
    return stored == STORED_PCM_16 ? 2 : stored == STORED_PCM_24 ? 3 : 4;
}

static inline uint32_t word_of(const unsigned char *bytes, size_t count)
{
    uint32_t word = 0;
    for (size_t i = 0; i < count; i++)
        word |= (uint32_t)bytes[i] << (8 * (i + 4 - count));
    return word;
}

/* The bits of a sample of `size` bytes stand at the top of a word of 32, whose full scale is 2^31. */
static inline __attribute__((always_inline)) void decode_integers(const unsigned char *bytes, size_t size, size_t step,
                                                                  size_t frame_count, double *out)
{
    for (size_t i = 0; i < frame_count; i++)
        out[i] = (double)(int32_t)word_of(bytes + i * step, size) * (1.0 / 2147483648.0);
}

/* Four samples of 24 bits that follow each other: 12 bytes, moved to the top of four words by one shuffle. */
typedef uint8_t bytes16 __attribute__((vector_size(16), aligned(1)));
typedef int32_t words4 __attribute__((vector_size(16)));
typedef double values4 __attribute__((vector_size(32), aligned(8)));

WITH_CLONES static void decode_row_of_24(const unsigned char *bytes, size_t frame_count, double *out)
{
    const bytes16 zeros = { 0 };
    size_t i = 0;
    for (; i + 6 <= frame_count; i += 4) { /* 16 bytes are read: four of the samples behind */
        bytes16 packed;
        memcpy(&packed, bytes + 3 * i, sizeof packed);
        words4 words =
            (words4)__builtin_shufflevector(packed, zeros, 16, 0, 1, 2, 16, 3, 4, 5, 16, 6, 7, 8, 16, 9, 10, 11);
        *(values4 *)(out + i) = __builtin_convertvector(words, values4) * (1.0 / 2147483648.0);
    }
    decode_integers(bytes + 3 * i, 3, 3, frame_count - i, out + i);
}

static void decode_floats(const unsigned char *bytes, size_t step, size_t frame_count, double *out)
{
    for (size_t i = 0; i < frame_count; i++) {
        uint32_t word = word_of(bytes + i * step, 4);
        float sample;
        memcpy(&sample, &word, sizeof sample);
        out[i] = (double)sample;
    }
}

void stored_decode(enum stored stored, const unsigned char *bytes, int channel_count, int channel, size_t frame_count,
                   double *out)
{
    const size_t size = stored_bytes(stored), step = size * (size_t)channel_count;
    bytes += size * (size_t)channel;
    switch (stored) {
    case STORED_PCM_16:
        decode_integers(bytes, 2, step, frame_count, out);
        break;
    case STORED_PCM_24:
        if (channel_count == 1)
            decode_row_of_24(bytes, frame_count, out);
        else
            decode_integers(bytes, 3, step, frame_count, out);
        break;
    case STORED_PCM_32:
        decode_integers(bytes, 4, step, frame_count, out);
        break;
    case STORED_FLOAT:
        decode_floats(bytes, step, frame_count, out);
        break;
    case STORED_OTHERWISE:
        break;
    }
}
