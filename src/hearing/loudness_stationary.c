/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/loudness_stationary.h"

void loudness_stationary(const double band_pa2[static ZWICKER_BAND_COUNT], bool is_diffuse,
                         struct stationary_loudness *out)
{
    struct zwicker zwicker;
    double core[ZWICKER_CORE_COUNT];
    zwicker_init(&zwicker, is_diffuse);
    zwicker_core(&zwicker, band_pa2, core);
    out->sone = zwicker_loudness_sone(&zwicker, core, out->pattern);
    out->phon = sone_to_phon(out->sone);
}
