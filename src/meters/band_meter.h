/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BAND_METER_H
#define THRUM_METERS_BAND_METER_H

/* Fractional-octave band levels with F and S maxima (IEC 61260-1:2014, class 1): third octaves into
 * figures.third_octave, and the fraction that the setup asks for into figures.bands. Time domain, decimated by octaves.
 *
 * The first 0.25 s, of the preroll where there is one, come in gradually, since a strong tone that is suddenly there
 * would ring in the bands beside it: by 25 dB in bands 80 dB below it, with this by 0.1 dB (tests/meters/bands.c). A
 * filter counts from 2.5 / bandwidth after that (0.79 s after the first frame for the 20 Hz third octave); of the used
 * part at least half counts, for which fade and settling are cut short. A band whose bandwidth times the length of the
 * used part is below 1 is ABSENT. Bits do not depend on the length of the blocks that are fed. */

#include "meters/band_filter.h"
#include "meters/meter.h"

extern const struct meter_kind third_octave_meter;
extern const struct meter_kind fraction_meter; /* nothing is done when no other fraction is asked for */

/* What the meter passes of steady tones into a band, its filter being that of a lower rate where the band is low. The
 * decimators before it add nothing above 0.001 dB in the bands, and at most 0.1 dB where -50 dB pass
 * (tests/meters/bands.c). */
struct band_response band_meter_response(const struct band *band, double sample_rate_hz);

#endif
