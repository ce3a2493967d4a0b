/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/judge.h"

#include "base/absent.h"

#include <math.h>

/* The A-weighted range ends at 20 kHz; a recording holds frequencies up to 0.44 of its rate (the rest is the
 * recorder's own filter; common practice). Below 10 kHz much of a small rotor's A-level may be missing. */
#define RECORDED_SHARE_OF_RATE 0.44
#define A_RANGE_END_HZ 20000.0
#define A_RANGE_LOSS_HZ 10000.0

void judge_file(const struct judged *judged, struct findings *findings)
{
    const struct recording_info *info = judged->info;
    double declared_s = (double)info->declared_frame_count / info->sample_rate_hz;
    double present_s = (double)info->frame_count / info->sample_rate_hz;
    if (info->declared_frame_count > info->frame_count)
        findings_add(findings, "truncated", SEVERITY_DOUBTFUL, ABSENT,
                     "the file is cut: its header promises %.2f s, %.2f s are there; copy it again from the recorder",
                     declared_s, present_s);
    else if (info->is_unfinished)
        findings_add(
            findings, "truncated", SEVERITY_DOUBTFUL, ABSENT,
            "the file's last page is missing, so it is cut or was never finished (%.2f s are there); copy it again "
            "from the recorder",
            present_s);
    else if (info->is_overflowed)
        findings_add(
            findings, "truncated", SEVERITY_DOUBTFUL, ABSENT,
            "the file is longer than its header can say (4 GiB), and only %.2f s of it can be read; record RF64 or "
            "shorter files",
            present_s);
    if (info->is_lossy)
        findings_add(
            findings, "lossy-source", SEVERITY_DOUBTFUL, ABSENT,
            "the sound was stored by a lossy codec (%s), which drops what an ear is thought to miss: weak tones and "
            "high bands can be wrong; record WAV or FLAC",
            info->format);
    if (info->channel_count > 1 && judged->request->channel == 0)
        findings_add(findings, "channels", SEVERITY_NOTE, ABSENT,
                     "of %d channels the first is taken for the microphone's; another one is named in the log's column "
                     "channel or with --channel",
                     info->channel_count);
    double highest_hz = RECORDED_SHARE_OF_RATE * info->sample_rate_hz;
    /* 44.1 kHz reaches 19.4 kHz: the standard's tolerance above 16 kHz has no lower limit worth a word. */
    if (info->sample_rate_hz < 44100)
        findings_add(
            findings, "low-rate", highest_hz < A_RANGE_LOSS_HZ ? SEVERITY_DOUBTFUL : SEVERITY_NOTE, ABSENT,
            "a sample rate of %g Hz holds nothing above %.1f kHz, so the A-level lacks what lies from there to "
            "%g kHz; record at 44.1 or 48 kHz",
            info->sample_rate_hz, highest_hz / 1000, A_RANGE_END_HZ / 1000);
}
