/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_DRIVE_SCORE_H
#define THRUM_TESTS_ROTOR_DRIVE_SCORE_H

/* How well were the tones of a made-up drive named? A tone counts as right when its source is the part that made it,
 * and, where parts share a frequency and no one could tell, when the part is told among the alternatives; how many are
 * right as first choice is counted by itself. */

#include "file.h"
#include "made_up_drive.h"
#include "rotor/drive.h"

struct drive_score {
    int tones, right, first, plants, plants_named;
    int slips;                      /* sentences and remarks that tell a slip, though no drive has one */
    int speeds_right, speeds_wrong; /* without a log */
    double plants_by_chance;        /* expected: the share of the axis that lies within the lines' widths */
};

/* Share of a plant's axis that lies within 0.05 % or 0.3 Hz of a line: what a plant falls on by chance. */
static inline double drive_chance(const struct made_up_drive *drive)
{
    struct lines lines = { 0 };
    struct err err = { 0 };
    if (!drive_lines(&drive->variant, drive->rpm, 0, 9000, &lines, &err))
        return 0;
    int hits = 0, count = 2000;
    for (int i = 0; i < count; i++) {
        double hz = exp(log(150) + (log(9000) - log(150)) * (i + 0.5) / count);
        bool is_hit = false;
        for (size_t n = 0; n < lines.count; n++)
            is_hit |= lines.items[n].family != LINE_BEARING && fabs(lines.items[n].hz - hz) < fmax(5e-4 * hz, 0.3);
        hits += is_hit;
    }
    lines_clear(&lines);
    return (double)hits / count;
}

static inline bool drive_is_told(const struct tone *tone, const char *source)
{
    for (size_t i = 0; i < tone->alternative_count; i++)
        if (strcmp(tone->alternatives[i], source) == 0)
            return true;
    return strcmp(tone->source, source) == 0;
}

/* `log_rpm` ABSENT: none. */
static inline struct rotor_figures drive_explain(const struct made_up_drive *drive, double log_rpm)
{
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&drive->sound, DRIVE_BLOCK);
    struct sound_file file = sound_file_open(&drive->sound, NULL);
    struct rotor_log log = { log_rpm, ABSENT, ABSENT, ABSENT, -1, ABSENT };
    struct rotor_figures out;
    struct findings findings = { 0 };
    struct err err = { 0 };
    if (!rotor_explain(&drive->variant, &log, &figures, &file.pressure, &out, &findings, &err)) {
        fprintf(stderr, "not explained: %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    return out;
}

static inline void drive_score_add(const struct made_up_drive *drive, bool is_verbose, struct drive_score *score)
{
    struct rotor_figures out = drive_explain(drive, drive->rpm * (1 + drive->log_off));
    for (int i = 0; i < drive->tone_count; i++) {
        const struct planted *planted = &drive->tones[i];
        const struct tone *tone = NULL;
        for (size_t n = 0; n < out.tone_count; n++)
            if (fabs(out.tones[n].hz - planted->hz) < fmax(1, 5e-4 * planted->hz))
                tone = &out.tones[n];
        score->slips += tone && strncmp(tone->remark, "slip", 4) == 0;
        bool is_plant = strcmp(planted->source, "unexplained") == 0;
        bool is_right = tone && drive_is_told(tone, planted->source);
        bool is_first = tone && strcmp(tone->source, planted->source) == 0;
        score->tones += !is_plant;
        score->right += !is_plant && is_right;
        score->first += !is_plant && is_first;
        score->plants += is_plant;
        score->plants_named += is_plant && tone && strcmp(tone->source, "unexplained") != 0;
        if (is_verbose && !is_first)
            printf("# %d blades %.1f rev/min (found %.1f), %.2f Hz %s: %s %s\n", drive->variant.blades, drive->rpm,
                   out.rpm_measured, planted->hz, planted->source, tone ? tone->source : "not found",
                   tone ? tone->remark : "");
    }
    for (size_t i = 0; i < out.remark_count; i++)
        score->slips += strncmp(out.remarks[i], "Rotor and motor do not match", 28) == 0;
    for (size_t i = 0; is_verbose && i < out.remark_count; i++)
        printf("#   %s\n", out.remarks[i]);
    score->plants_by_chance += drive_chance(drive);
    rotor_figures_clear(&out);
}

/* Without a log: is the speed right within 0.1 %, is another told, or none? */
static inline void drive_score_no_log(const struct made_up_drive *drive, bool is_verbose, struct drive_score *score)
{
    struct rotor_figures out = drive_explain(drive, ABSENT);
    bool is_right = fabs(out.rpm_measured / drive->rpm - 1) <= 0.001;
    score->speeds_right += is_right;
    score->speeds_wrong += is_given(out.rpm_measured) && !is_right;
    if (is_verbose && !is_right)
        printf("# no log: %d blades %.1f rev/min, found %.1f (%.4f)\n", drive->variant.blades, drive->rpm,
               out.rpm_measured, out.rpm_measured / drive->rpm);
    rotor_figures_clear(&out);
}

#endif
