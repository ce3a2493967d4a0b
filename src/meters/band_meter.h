/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BAND_METER_H
#define THRUM_METERS_BAND_METER_H

/* Fractional-octave band levels with F and S maxima (IEC 61260-1:2014, class 1): third octaves into
 * figures.third_octave, and the fraction that the setup asks for into figures.bands. Time domain, decimated by octaves.
 *
 * The settling of a filter counts from the first frame of the preroll: what comes out within 3.5 / bandwidth of it
 * (0.76 s for the 20 Hz third octave; what a tone rings as it starts is then 36 dB down) is left out of level and
 * maxima, but never more than half of the used part. A band
 * whose bandwidth times the length of the used part is below 1 is ABSENT. Bits do not depend on the length of the
 * blocks that are fed. */

#include "meters/meter.h"

extern const struct meter_kind third_octave_meter;
extern const struct meter_kind fraction_meter; /* nothing is done when no other fraction is asked for */

#endif
