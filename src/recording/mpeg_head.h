/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_MPEG_HEAD_H
#define THRUM_RECORDING_MPEG_HEAD_H

/* Whether a file that begins like MPEG audio is. The mark that starts a frame is eleven bits, which a text in UTF-16
 * has too, and the decoder under libsndfile complains on standard error of what is none: so such files are looked at
 * here before it sees them. Frame heads as in ISO/IEC 11172-3 and 13818-3 (tables from memory, checked by a test
 * against a file that libsndfile writes). */

#include "recording/declared.h"

enum mpeg_head {
    MPEG_HEAD_NONE,  /* does not begin like MPEG audio, with or without an ID3 tag before */
    MPEG_HEAD_SOUND, /* two frames follow each other as their heads say */
    MPEG_HEAD_FALSE, /* begins like it and is none */
};

enum mpeg_head mpeg_head_of(declared_read *read, void *context);

#endif
