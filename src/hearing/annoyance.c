/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/annoyance.h"

#include "base/absent.h"
#include "hearing/hearing.h"

#include <math.h>

double annoyance_with_tonality(double n5_sone, double sharpness_acum, double roughness_asper, double fluctuation_vacil,
                               double tonality_tu)
{
    if (n5_sone == 0)
        return 0;
    double w_s = 0.25 * (sharpness_acum - 1.75) * log10(n5_sone + 10);
    if (sharpness_acum <= 1.75)
        w_s = 0;
    double w_fr = 2.18 / pow(n5_sone, 0.4) * (0.4 * fluctuation_vacil + 0.6 * roughness_asper);
    double w_t = 6.41 * tonality_tu / pow(n5_sone, 0.52);
    return n5_sone * (1 + sqrt(w_s * w_s + w_fr * w_fr + w_t * w_t));
}

double annoyance_zwicker(double n5_sone, double sharpness_acum, double roughness_asper, double fluctuation_vacil)
{
    return annoyance_with_tonality(n5_sone, sharpness_acum, roughness_asper, fluctuation_vacil, 0);
}

void annoyance_fill(struct hearing_figures *hearing, const struct tonality *tonality)
{
    hearing->annoyance = annoyance_zwicker(hearing->loudness_n5_sone, hearing->sharpness_acum, hearing->roughness_asper,
                                           hearing->fluctuation_vacil);
    hearing->annoyance_tonal =
        annoyance_with_tonality(hearing->loudness_n5_sone, hearing->sharpness_acum, hearing->roughness_asper,
                                hearing->fluctuation_vacil, tonality->aures_tu);
}
