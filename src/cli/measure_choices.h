/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_MEASURE_CHOICES_H
#define THRUM_CLI_MEASURE_CHOICES_H

/* Options that report and measure share. */

extern const char *const band_choices[];  /* "1/1" …; BANDS_DEFAULT is "1/3" */
extern const char *const field_choices[]; /* "free", "diffuse" */

#define BANDS_DEFAULT 1

#define BANDS_ROW(struct_of)                                                                                           \
    {                                                                                                                  \
        .name = "bands", .kind = OPTION_VALUE, .argument = "FRACTION",                                                 \
        .value = { .type = VALUE_CHOICE, .offset = offsetof(struct_of, bands), .choices = band_choices },              \
        .help = "also bands of this fraction of an octave: 1/1, 1/6, 1/12 or 1/24; default: third octaves, 1/3, alone" \
    }
#define FIELD_ROW(struct_of)                                                                                           \
    {                                                                                                                  \
        .name = "field", .kind = OPTION_VALUE, .argument = "FIELD",                                                    \
        .value = { .type = VALUE_CHOICE, .offset = offsetof(struct_of, field), .choices = field_choices },             \
        .help = "sound field for loudness: free or diffuse; default: free"                                             \
    }

int bands_per_octave(int choice);

/* The number of jobs that was given, or that of the processors for 0. */
unsigned job_count(int given);

#endif
