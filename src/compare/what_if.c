/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/what_if.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "compare/collect.h"
#include "compare/energy.h"
#include "hearing/ecma.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The narrowest row of third octaves that is told holds at least this part of the broadband energy. */
#define MAIN_BANDS_SHARE 0.5

const char *what_if_kind_key(enum what_if_kind kind)
{
    switch (kind) {
    case WHAT_IF_TONES:
        return "tones";
    case WHAT_IF_BROADBAND:
        return "broadband";
    case WHAT_IF_MAIN_BANDS:
        return "main bands";
    }
    return "";
}

/* What is told of one variant at one microphone. */
struct teller {
    const struct compare_job *job;
    const struct cell *cell;
    struct sample *samples; /* whose energy is known, by value */
    size_t count;
    enum operating_quantity at;
};

/* The parts of the machine with a prominent tone, highest above its limit first. */
struct prominent {
    char sources[WHAT_IF_PROMINENT_MAX][SOURCE_TEXT_MAX];
    double above_db[WHAT_IF_PROMINENT_MAX];
    size_t count;
};

static double above_limit_db(const struct tone *tone)
{
    double by_ratio = tone->tone_to_noise_db - ecma_tone_to_noise_limit_db(tone->hz);
    double by_prominence = tone->prominence_db - ecma_prominence_limit_db(tone->hz);
    return fmax(by_ratio, by_prominence); /* the other one where one is absent */
}

/* Keeps the list in order; of one source the highest counts. */
static void take_prominent(struct prominent *list, const char *source, double above_db)
{
    size_t place = 0;
    while (place < list->count && strcmp(list->sources[place], source) != 0)
        place++;
    if (place < list->count && !(above_db > list->above_db[place]))
        return;
    if (place == list->count && list->count < WHAT_IF_PROMINENT_MAX)
        list->count++;
    else if (place == list->count && !(above_db > list->above_db[--place]))
        return;
    for (; place > 0 && above_db > list->above_db[place - 1]; place--) {
        memcpy(list->sources[place], list->sources[place - 1], sizeof list->sources[place]);
        list->above_db[place] = list->above_db[place - 1];
    }
    collect_name(list->sources[place], sizeof list->sources[place], source);
    list->above_db[place] = above_db;
}

static struct prominent prominent_of(const struct run_result *run)
{
    struct prominent out = { .count = 0 };
    for (size_t i = 0; i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        char name[SOURCE_TEXT_MAX];
        energy_part_name(tone->source, name, sizeof name);
        if (tone->is_prominent)
            take_prominent(&out, name, above_limit_db(tone));
    }
    return out;
}

/* Where it is told, and what is prominent there. */
struct spot {
    double value;
    struct prominent prominent;
};

static bool tell(const struct teller *teller, const struct spot *spot, enum what_if_kind kind, const char *source,
                 double share_pct, struct what_if **out)
{
    const struct campaign *campaign = teller->job->source.campaign;
    struct what_if *item = collect_what_if(teller->job->out);
    if (!item)
        return err_memory(teller->job->err);
    item->at = teller->at;
    item->value = spot->value;
    item->kind = kind;
    item->low_hz = item->high_hz = ABSENT;
    item->share_pct = share_pct;
    item->fall_db = share_pct < 100 ? power_ratio_to_db(1 / (1 - share_pct / 100)) : HUGE_VAL;
    collect_name(item->variant, sizeof item->variant, campaign->variants[teller->cell->variant].name);
    collect_name(item->microphone, sizeof item->microphone, campaign->microphones[teller->cell->microphone].name);
    collect_name(item->source, sizeof item->source, source);
    for (size_t i = 0; i < spot->prominent.count; i++) {
        const char *prominent = spot->prominent.sources[i];
        if (strcmp(prominent, source) == 0)
            item->is_prominent = true;
        else
            collect_name(item->prominent_left[item->prominent_left_count++], SOURCE_TEXT_MAX, prominent);
    }
    *out = item;
    return true;
}

struct band_row {
    size_t first, last;
    double share_pct; /* 0: there is none */
};

/* The shortest row of neighbouring bands (by index) with that part of the energy; of several the one with most. */
static struct band_row main_bands(const struct energy *energy)
{
    struct band_row out = { 0 };
    double whole = 0;
    for (size_t i = 0; i < SKIRTS_BAND_COUNT; i++)
        whole += energy->band_pct[i];
    for (size_t length = 1; length <= SKIRTS_BAND_COUNT && !(out.share_pct > 0); length++)
        for (size_t first = 0; first + length <= SKIRTS_BAND_COUNT; first++) {
            double sum = 0;
            for (size_t i = first; i < first + length; i++)
                sum += energy->band_pct[i];
            if (sum >= MAIN_BANDS_SHARE * whole && sum > out.share_pct)
                out = (struct band_row){ first, first + length - 1, sum };
        }
    return out;
}

static bool tell_broadband(const struct teller *teller, const struct spot *spot, const struct energy *energy)
{
    struct what_if *item;
    struct band_row row = main_bands(energy);
    if (!tell(teller, spot, WHAT_IF_BROADBAND, "broadband", energy->broadband_pct, &item))
        return false;
    if (!(row.share_pct > 0))
        return true;
    if (!tell(teller, spot, WHAT_IF_MAIN_BANDS, "broadband", row.share_pct, &item))
        return false;
    item->low_hz = energy->band_nominal_hz[row.first];
    item->high_hz = energy->band_nominal_hz[row.last];
    return true;
}

/* By falling share; parts that share alike in the order of their names, so that the order of runs does not matter. */
static int compare_parts(const void *a, const void *b)
{
    const struct energy_part *left = a, *right = b;
    if (left->pct != right->pct)
        return left->pct > right->pct ? -1 : 1;
    return strcmp(left->source, right->source);
}

static bool tell_energy(const struct teller *teller, const struct spot *spot, struct energy *energy)
{
    bool is_told = false;
    struct what_if *item;
    if (energy->count > 0)
        qsort(energy->parts, energy->count, sizeof *energy->parts, compare_parts);
    for (size_t i = 0; i < energy->count; i++) {
        if (!is_told && !(energy->parts[i].pct > energy->broadband_pct)) {
            is_told = true;
            if (!tell_broadband(teller, spot, energy))
                return false;
        }
        if (!tell(teller, spot, WHAT_IF_TONES, energy->parts[i].source, energy->parts[i].pct, &item))
            return false;
    }
    return is_told || tell_broadband(teller, spot, energy);
}

/* One operating point of the variant: its samples and their mean value. */
struct group {
    size_t first, end;
    double lg_value;
};

static struct group group_at(const struct teller *teller, size_t first)
{
    struct group out = { first, sample_group_end(teller->samples, teller->count, first), 0 };
    for (size_t i = first; i < out.end; i++)
        out.lg_value += log10(teller->samples[i].value) / (double)(out.end - first);
    return out;
}

static bool add_group(const struct teller *teller, const struct group *group, double weight, struct energy *sum)
{
    double each = weight / (double)(group->end - group->first);
    for (size_t i = group->first; i < group->end && weight > 0; i++)
        if (!energy_add(sum, teller->job->source.skirts, &teller->job->source.runs[teller->samples[i].run], each,
                        teller->job->err))
            return false;
    return true;
}

/* The first good run of an operating point, else its first. */
static const struct run_result *run_of(const struct teller *teller, const struct group *group)
{
    const struct run_result *runs = teller->job->source.runs;
    for (size_t i = group->first; i < group->end; i++)
        if (!teller->samples[i].is_doubtful)
            return &runs[teller->samples[i].run];
    return &runs[teller->samples[group->first].run];
}

/* The operating points on both sides of a value; the same one twice beyond the first and last. */
static void find_sides(const struct teller *teller, double lg_value, struct group *below, struct group *above)
{
    *below = *above = group_at(teller, 0);
    for (size_t i = above->end; above->lg_value < lg_value && i < teller->count; i = above->end) {
        *below = *above;
        *above = group_at(teller, i);
    }
    if (above->lg_value < lg_value)
        *below = *above;
}

static bool tell_point(const struct teller *teller, double value)
{
    struct group below, above;
    struct energy energy = { 0 };
    double lg_value = log10(value);
    find_sides(teller, lg_value, &below, &above);
    double distance = above.lg_value - below.lg_value;
    double part = distance > 0 ? (lg_value - below.lg_value) / distance : 1;
    const struct run_result *run = run_of(teller, part < 0.5 ? &below : &above);
    struct spot spot = { value, prominent_of(run) };
    bool fine = add_group(teller, &below, 1 - part, &energy) && add_group(teller, &above, part, &energy) &&
                tell_energy(teller, &spot, &energy);
    energy_clear(&energy);
    return fine;
}

static bool is_about(const struct comparison *item, const struct teller *teller)
{
    const char *name = teller->job->source.campaign->variants[teller->cell->variant].name;
    return item->at == teller->at && item->verdict != COMPARE_REFUSED && strcmp(item->quantity, "LAeq_db") == 0 &&
           (strcmp(item->variant, name) == 0 || strcmp(item->reference, name) == 0) &&
           item->value * SAME_POINT_RATIO >= teller->samples[0].value &&
           item->value <= SAME_POINT_RATIO * teller->samples[teller->count - 1].value;
}

#define TOLD_MAX 256 /* points of one variant: 2 % apart they span a factor of 160 */

/* Each compared point once; without fits each pair has its own, and those within 2 % of each other are one. */
static bool tell_compared(const struct teller *teller, bool *any)
{
    const struct comparisons *list = teller->job->out;
    double told[TOLD_MAX];
    size_t count = 0;
    for (size_t i = 0; i < list->count && count < TOLD_MAX; i++) {
        double value = list->items[i].value;
        bool is_new = is_about(&list->items[i], teller);
        for (size_t k = 0; k < count && is_new; k++)
            is_new = fmax(value / told[k], told[k] / value) >= SAME_POINT_RATIO;
        if (!is_new)
            continue;
        if (!tell_point(teller, value))
            return false;
        told[count++] = value;
    }
    *any = count > 0;
    return true;
}

static double middle_value(const struct teller *teller)
{
    size_t count = sample_point_count(teller->samples, teller->count);
    struct group group = group_at(teller, 0);
    for (size_t i = 0; i < (count - 1) / 2; i++)
        group = group_at(teller, group.end);
    return db_to_power_ratio(10 * group.lg_value);
}

static bool tell_cell(const struct compare_job *job, enum operating_quantity at, const struct cell *cell)
{
    struct teller teller = { .job = job, .cell = cell, .at = at };
    teller.samples = memory_new(cell->count, sizeof *teller.samples);
    if (!teller.samples)
        return err_memory(job->err);
    for (size_t i = 0; i < cell->count; i++)
        if (energy_is_known(&job->source.runs[cell->samples[i].run]))
            teller.samples[teller.count++] = cell->samples[i];
    bool any = false;
    bool fine =
        teller.count == 0 || (tell_compared(&teller, &any) && (any || tell_point(&teller, middle_value(&teller))));
    free(teller.samples);
    return fine;
}

bool what_ifs_add(const struct compare_job *job, const struct grid *levels)
{
    for (size_t i = 0; i < levels->cell_count; i++)
        if (levels->cells[i].count > 0 && !tell_cell(job, levels->at, &levels->cells[i]))
            return false;
    return true;
}
