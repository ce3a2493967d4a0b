/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_GROWTH_H
#define THRUM_COMPARE_GROWTH_H

/* What gives way as the speed rises: blades that bend apart, a hub that loosens. Blades that are unequal by the same
 * share at every speed keep the shaft's own orders as far below the blade orders (superposition: all grow alike); a
 * rotor that changes its shape does not. */

#include "compare/grid.h"

/* A remark for each variant at each microphone whose unevenness (struct rotor_figures) rises with lg of the speed: by
 * 6 dB or more over the range (common practice) in runs at three or more speeds that reach over a fifth, with the whole
 * 95 % interval of the fitted rise above 0. */
bool growth_tell(const struct grid_source *source, struct comparisons *list, struct err *err) MUST_CHECK;

#endif
