/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_LOG_DOUBTS_H
#define THRUM_CLI_LOG_DOUBTS_H

#include "campaign/campaign.h"
#include "recording/finding.h"

/* The finding that the log alone gives of run `index`, a thrust that is off all others, in place of one that a saved
 * result may hold. It is of the whole log as it is now, so it is never saved with one run. */
bool log_doubts_add(const struct campaign *campaign, size_t index, struct findings *findings,
                    struct err *err) MUST_CHECK;

#endif
