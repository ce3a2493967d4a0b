/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_DECLARED_H
#define THRUM_RECORDING_DECLARED_H

/* What a sound file's header claims about its length, read from the container itself: a library that opens a file cut
 * to a hundredth of its declared length without a word can't be asked. Containers: RIFF and RIFX (WAV), RF64 and BW64
 * (EBU Tech 3306: the 64-bit sizes of chunk 'ds64'), Sony Wave64, AIFF and AIFF-C, CAF. Ogg (RFC 3533) does not say its
 * length, but its last page says that it is the last. The layouts are from memory and are checked by tests against
 * files that libsndfile writes. */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Reads up to `size` bytes at `offset`; the number read, 0 at the end or when it fails. */
typedef size_t declared_read(void *context, uint64_t offset, void *bytes, size_t size);

enum declared_kind {
    DECLARED_NOTHING, /* the container is not one of these, or does not say */
    DECLARED_BYTES,   /* the size of its sound data is said */
    DECLARED_FRAMES,  /* the number of frames is said */
};

struct declared {
    enum declared_kind kind;
    uint64_t frame_count;        /* FRAMES; for BYTES only where bytes_per_frame is known */
    uint64_t byte_count;         /* BYTES */
    uint64_t present_byte_count; /* BYTES: from the start of the data to the end of the file */
    unsigned bytes_per_frame;    /* BYTES: 0 for a codec without a fixed size */
    bool is_unfinished;          /* the size was never filled in (0 with data behind it), or the last page is missing */
    bool is_overflowed;          /* 4 GiB or more of data that a 32-bit size can't tell */
};

struct declared declared_length(declared_read *read, void *context, uint64_t file_size);

#endif
