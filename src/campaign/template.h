/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_TEMPLATE_H
#define THRUM_CAMPAIGN_TEMPLATE_H

/* The files of a new campaign folder, commented, to be filled in. The test suite reads them as a campaign. */

#include <stddef.h>

struct template_file {
    const char *name;          /* in the new folder */
    const char *const *pieces; /* the text in pieces, ends with NULL */
};

/* campaign.yaml, runs.csv and RECORDING.txt (how to plan and make the recordings, and the cautions). */
extern const struct template_file campaign_template[];
extern const size_t campaign_template_count;

/* The whole text of one file, owned by the caller; NULL when memory is out. */
char *template_text(const struct template_file *file);

#endif
