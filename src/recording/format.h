/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_FORMAT_H
#define THRUM_RECORDING_FORMAT_H

/* What a format of libsndfile's is called, and how its samples are stored. */

#include "recording/recording.h"

/* Fills bits, is_float, is_lossy and format; a codec that is not known here counts as lossy. */
void format_describe(int sndfile_format, struct recording_info *info);

#endif
