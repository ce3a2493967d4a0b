/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

/* NIOSH publication 98-126 (1998): 85 dB(A) over 8 h, 3 dB exchange; peaks of 140 dB. */
static const char *const cautions[] = {
    "Rotors throw parts. Stay out of the plane of rotation, put a guard around the stand, wear eye protection, and "
    "start "
    "and stop from a distance. Take the power off before you touch a rotor, and stop at any crack or new noise.",
    "Ears: the recommended limit of NIOSH (the US National Institute for Occupational Safety and Health, 1998) is 85 "
    "dB(A) over 8 h with a 3 dB exchange rate: 88 dB(A) for 4 h, 94 dB(A) for 1 h, 100 dB(A) for 15 min. Peaks of 140 "
    "dB "
    "C are held to do harm at once. Close to a rotor the level is higher than at the microphone: wear hearing "
    "protection.",
    "Lithium packs burn when they are overloaded, punctured or charged unattended. Keep them apart from people and "
    "from "
    "what burns, and let them cool before charging.",
    "A level measured here is no legal or certification measurement. What a drone may sound like, and who may measure "
    "it "
    "for a rule, is decided by local rules and licensed practice.",
};

void section_cautions(const struct view *view, struct document *document)
{
    (void)view;
    document_section(document, "cautions", "Cautions");
    for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
        document_add(document, BLOCK_WARNING, "%s", cautions[i]);
}
