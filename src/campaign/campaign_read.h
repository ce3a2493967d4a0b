/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_CAMPAIGN_READ_H
#define THRUM_CAMPAIGN_CAMPAIGN_READ_H

/* The parts of campaign_read, each callable with a text in memory. */

#include "campaign/campaign.h"
#include "campaign/yaml_tree.h"

#include <stdbool.h>
#include <stddef.h>

/* No campaign text is larger. */
#define CAMPAIGN_TEXT_MAX ((size_t)1 << 20)

/* What reading needs to know beside the text. */
struct campaign_reader {
    const char *file;          /* the text being read, for messages */
    const char *folder;        /* the real path of the campaign's folder; NULL: no file is looked for */
    bool without_recordings;   /* recordings need not be there, the run log must */
    struct campaign *campaign; /* filled */
    struct err_list *errors;
};

/* Mistakes told so far, kept or not: what was read in between is whole when it did not grow. */
size_t reader_mistake_count(const struct campaign_reader *reader);
void reader_out_of_memory(struct campaign_reader *reader);

/* "KEY names no VARIANT, "stokc2"; perhaps stock2 is meant". `kind` is "variant" or "microphone". */
void reader_unknown_name(struct campaign_reader *reader, const struct place *where, const char *key, const char *kind,
                         const char *name);

/* A file name as written: inside the folder and, where `is_needed`, there. "./" and doubled slashes are taken out of it
 * in place. False after telling the mistake: nobody need tell it again. */
bool reader_check_file(struct campaign_reader *reader, bool is_needed, char *name, const struct place *where);

/* campaign.yaml: fills reader->campaign but for its runs and paths; *runs_name is the run log's name (owned by the
 * caller; NULL when it is not given). Places in the campaign point to reader->file. */
void campaign_read_yaml(struct campaign_reader *reader, const char *text, size_t size, char **runs_name);

/* The run log: fills the runs of a campaign whose variants and microphones are known. */
void campaign_read_runs(struct campaign_reader *reader, const char *text, size_t size);

#endif
