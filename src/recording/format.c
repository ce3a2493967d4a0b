/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/format.h"

#include <sndfile.h>
#include <stdio.h>

static const char *container_name(int format)
{
    switch (format & SF_FORMAT_TYPEMASK) {
    case SF_FORMAT_WAV:
    case SF_FORMAT_WAVEX:
        return "WAV";
    case SF_FORMAT_RF64:
        return "RF64";
    case SF_FORMAT_W64:
        return "Wave64";
    case SF_FORMAT_AIFF:
        return "AIFF";
    case SF_FORMAT_CAF:
        return "CAF";
    case SF_FORMAT_FLAC:
        return "FLAC";
    case SF_FORMAT_OGG:
        return "Ogg";
    case SF_FORMAT_AU:
        return "AU";
    case SF_FORMAT_MPEG:
        return "MPEG";
    default:
        return "other container";
    }
}

static const struct codec {
    int subtype;
    int bits;
    bool is_float, is_lossy;
    const char *name;
} codecs[] = {
    { SF_FORMAT_PCM_S8, 8, false, false, "8-bit PCM" },
    { SF_FORMAT_PCM_U8, 8, false, false, "8-bit PCM" },
    { SF_FORMAT_PCM_16, 16, false, false, "16-bit PCM" },
    { SF_FORMAT_PCM_24, 24, false, false, "24-bit PCM" },
    { SF_FORMAT_PCM_32, 32, false, false, "32-bit PCM" },
    { SF_FORMAT_FLOAT, 32, true, false, "32-bit float" },
    { SF_FORMAT_DOUBLE, 64, true, false, "64-bit float" },
    { SF_FORMAT_ALAC_16, 16, false, false, "16-bit ALAC" },
    { SF_FORMAT_ALAC_20, 20, false, false, "20-bit ALAC" },
    { SF_FORMAT_ALAC_24, 24, false, false, "24-bit ALAC" },
    { SF_FORMAT_ALAC_32, 32, false, false, "32-bit ALAC" },
    { SF_FORMAT_VORBIS, 0, false, true, "Vorbis" },
    { SF_FORMAT_OPUS, 0, false, true, "Opus" },
    { SF_FORMAT_MPEG_LAYER_I, 0, false, true, "layer I" },
    { SF_FORMAT_MPEG_LAYER_II, 0, false, true, "layer II" },
    { SF_FORMAT_MPEG_LAYER_III, 0, false, true, "layer III" },
    { SF_FORMAT_ULAW, 0, false, true, "u-law" },
    { SF_FORMAT_ALAW, 0, false, true, "A-law" },
    { SF_FORMAT_IMA_ADPCM, 0, false, true, "ADPCM" },
    { SF_FORMAT_MS_ADPCM, 0, false, true, "ADPCM" },
};

void format_describe(int sndfile_format, struct recording_info *info)
{
    static const struct codec unknown = { 0, 0, false, true, "a codec that is not known here, taken as lossy" };
    const struct codec *codec = &unknown;
    for (size_t i = 0; i < sizeof codecs / sizeof codecs[0]; i++)
        if (codecs[i].subtype == (sndfile_format & SF_FORMAT_SUBMASK))
            codec = &codecs[i];
    info->bits = codec->bits;
    info->is_float = codec->is_float;
    info->is_lossy = codec->is_lossy;
    snprintf(info->format, sizeof info->format, "%s, %s", container_name(sndfile_format), codec->name);
}
