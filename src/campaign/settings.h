/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_SETTINGS_H
#define THRUM_CAMPAIGN_SETTINGS_H

/* What the figures of one run rest on, as the campaign's two files say it, as names and texts. A result carries them,
 * so that a report from saved results knows when the files were changed after the run was measured. Thrust, power,
 * throttle, titles and notes are not among them: they change no figure of a run. What is not given has no entry. */

#include "campaign/campaign.h"

struct setting {
    char *name, *value; /* owned */
};

/* Starts as `{0}`; failure for lack of memory is sticky. */
struct settings {
    struct setting *items;
    size_t count, capacity;
    bool failed;
};

/* Adds those of run `index`: its variant, its microphone, the air, and how the log says it is to be read. */
void settings_add_run(struct settings *settings, const struct campaign *campaign, size_t index);
void settings_add(struct settings *settings, const char *name, const char *value);
void settings_clear(struct settings *settings);

/* The first setting that is not the same in both: its name, and in *was and *is its values, NULL where it is not given.
 * NULL when all are the same. */
const char *settings_difference(const struct settings *before, const struct settings *now, const char **was,
                                const char **is);

#endif
