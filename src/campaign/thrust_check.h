/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_THRUST_CHECK_H
#define THRUM_CAMPAIGN_THRUST_CHECK_H

/* Whether a thrust of the log was typed in another unit, or with a digit too many: the thrust of one rotor that stands
 * still in the air goes with the square of its speed (common practice; a rotor whose pitch is set, or in another
 * stream, deviates, but by less than the factor asked for here). */

#include "base/text.h"
#include "campaign/campaign.h"

/* Adds to `out` what is wrong with the logged thrust of run `index`, or nothing. It takes its thrust and speed and
 * those of three other runs of the variant or more, most of which agree; false for lack of memory. */
bool thrust_check(const struct campaign *campaign, size_t index, struct text *out) MUST_CHECK;

#endif
