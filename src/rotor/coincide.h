/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_COINCIDE_H
#define THRUM_ROTOR_COINCIDE_H

/* Lines of different parts that fall on the same frequency, so that a tone there could be either. Two lines on shafts
 * do so at every speed when their orders are equal (or within a bearing's slip); a line fixed in Hz meets a shaft's
 * line only at some speeds. Each group has a sentence that ends with what to do about it. */

#include "rotor/drive.h"

#define COINCIDENCE_MEMBERS_MAX 6

struct coincidence {
    double hz;                               /* of the lowest line */
    size_t members[COINCIDENCE_MEMBERS_MAX]; /* indices into the lines */
    size_t member_count;
    bool at_every_speed;
    char text[COINCIDENCE_MEMBERS_MAX * (SOURCE_TEXT_MAX + 5) + 120]; /* holds the longest names */
};

struct coincidences {
    struct coincidence *items; /* by frequency; owned */
    size_t count, capacity;
};

/* Lines nearer than `resolution_hz` (three lines of the spectrum that will be used; 3 Hz for recordings of some
 * seconds) or within their own tolerances. */
bool coincidences_find(const struct lines *lines, double resolution_hz, struct coincidences *out,
                       struct err *err) MUST_CHECK;
void coincidences_clear(struct coincidences *coincidences);

#endif
