/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/mpeg_head.h"

#include <string.h>

#define BITRATES 14 /* indices 1 to 14; 0 says nothing, 15 is forbidden */

/* kbit/s: version 1 layers I, II, III; version 2 layer I; version 2 layers II and III. */
static const unsigned short bitrates_kbit_s[5][BITRATES] = {
    { 32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448 },
    { 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384 },
    { 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320 },
    { 32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256 },
    { 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160 },
};
static const unsigned rates_hz[3] = { 44100, 48000, 32000 };

static bool is_mark(const unsigned char *head)
{
    return head[0] == 0xFF && (head[1] & 0xE0) == 0xE0;
}

/* Bytes of the frame that starts with `head`; 0 when it can't be a head. Versions: 3 is 1, 2 is 2, 0 is 2.5; layers: 3
 * is I, 2 is II, 1 is III. */
static unsigned frame_bytes(const unsigned char *head)
{
    unsigned version = head[1] >> 3 & 3, layer = head[1] >> 1 & 3, bitrate = head[2] >> 4, rate = head[2] >> 2 & 3;
    if (!is_mark(head) || version == 1 || layer == 0 || bitrate == 0 || bitrate == 15 || rate == 3)
        return 0;
    unsigned row = version == 3 ? 3 - layer : layer == 3 ? 3 : 4;
    unsigned bits_s = 1000u * bitrates_kbit_s[row][bitrate - 1];
    unsigned rate_hz = rates_hz[rate] >> (version == 3 ? 0 : version == 2 ? 1 : 2), padding = head[2] >> 1 & 1;
    if (layer == 3)
        return 4 * (12 * bits_s / rate_hz + padding);
    return (layer == 1 && version != 3 ? 72 : 144) * bits_s / rate_hz + padding;
}

/* Length of an ID3 version 2 tag at the start, its size in four times seven bits; 0 for none. */
static uint64_t tag_bytes(const unsigned char *start)
{
    if (memcmp(start, "ID3", 3) != 0)
        return 0;
    uint64_t size = 0;
    for (int i = 6; i < 10; i++)
        size = size << 7 | (start[i] & 0x7F);
    return size + ((start[5] & 0x10) ? 20 : 10);
}

enum mpeg_head mpeg_head_of(declared_read *read, void *context)
{
    unsigned char start[10], head[4], next[4];
    if (read(context, 0, start, sizeof start) != sizeof start)
        return MPEG_HEAD_NONE;
    uint64_t first = tag_bytes(start);
    if (read(context, first, head, sizeof head) != sizeof head || !is_mark(head))
        return MPEG_HEAD_NONE;
    unsigned length = frame_bytes(head);
    if (length == 0 || read(context, first + length, next, sizeof next) != sizeof next || frame_bytes(next) == 0)
        return MPEG_HEAD_FALSE;
    /* Version, layer and rate stay through a file. */
    bool is_same = (head[1] & 0x1E) == (next[1] & 0x1E) && (head[2] & 0x0C) == (next[2] & 0x0C);
    return is_same ? MPEG_HEAD_SOUND : MPEG_HEAD_FALSE;
}
