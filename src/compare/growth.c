/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/growth.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "compare/collect.h"
#include "compare/gum.h"
#include "compare/operating.h"
#include "compare/words.h"

#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define GROWTH_TOLD_DB 6.0
#define SPEEDS_LEAST 3
#define SPEEDS_APART_RATIO 1.02 /* nearer ones are one speed, as everywhere in this room */
#define RANGE_LEAST_RATIO 1.2

struct points {
    double *lg_rpm, *unevenness_db; /* by speed */
    size_t count;
};

static void insert(struct points *points, double lg_rpm, double unevenness_db)
{
    size_t at = points->count++;
    for (; at > 0 && points->lg_rpm[at - 1] > lg_rpm; at--) {
        points->lg_rpm[at] = points->lg_rpm[at - 1];
        points->unevenness_db[at] = points->unevenness_db[at - 1];
    }
    points->lg_rpm[at] = lg_rpm;
    points->unevenness_db[at] = unevenness_db;
}

static void gather(const struct grid_source *source, size_t variant, size_t microphone, struct points *out)
{
    out->count = 0;
    for (size_t i = 0; i < source->run_count; i++) {
        const struct run_result *run = &source->runs[i];
        if (source->run_variant[i] != variant || source->run_microphone[i] != microphone || !run_is_usable(run) ||
            !is_given(run->rotor.unevenness_db))
            continue;
        double rpm = operating_value(run, &source->campaign->variants[variant], OPERATING_RPM);
        if (rpm > 0)
            insert(out, log10(rpm), run->rotor.unevenness_db);
    }
}

static bool is_wide(const struct points *points)
{
    size_t speeds = points->count > 0;
    for (size_t i = 1; i < points->count; i++)
        speeds += points->lg_rpm[i] - points->lg_rpm[i - 1] > log10(SPEEDS_APART_RATIO);
    return speeds >= SPEEDS_LEAST && points->lg_rpm[points->count - 1] - points->lg_rpm[0] >= log10(RANGE_LEAST_RATIO);
}

static bool tell(const struct points *points, const char *variant, const char *at_microphone, struct comparisons *list,
                 struct err *err)
{
    double c0, c1, c00, c01, c11, squares;
    gsl_fit_linear(points->lg_rpm, 1, points->unevenness_db, 1, points->count, &c0, &c1, &c00, &c01, &c11, &squares);
    double reach = student_factor_two_sided((double)points->count - 2, 0.95) * sqrt(c11);
    double low_lg = points->lg_rpm[0], high_lg = points->lg_rpm[points->count - 1], rise_db = c1 * (high_lg - low_lg);
    if (!(c1 - reach > 0) || rise_db < GROWTH_TOLD_DB)
        return true;
    char rise[40], low[40], high[40], slow[40], fast[40];
    words_number(rise_db, 0, rise, sizeof rise);
    words_number((c1 - reach) * (high_lg - low_lg), 0, low, sizeof low);
    words_number((c1 + reach) * (high_lg - low_lg), 0, high, sizeof high);
    words_number(c0 + c1 * low_lg, 0, slow, sizeof slow);
    words_number(c0 + c1 * high_lg, 0, fast, sizeof fast);
    return collect_remark(list, err,
                          "%s%s changes with speed: its shaft's own orders rise against its blade tones by %s dB "
                          "(%s to %s), from %s dB "
                          "at %.0f rev/min to %s dB at %.0f. Blades that bend apart, a loose hub or a growing "
                          "imbalance sound so; stop and "
                          "look it over before it runs faster.",
                          variant, at_microphone, rise, low, high, slow, db_to_power_ratio(10 * low_lg), fast,
                          db_to_power_ratio(10 * high_lg));
}

bool growth_tell(const struct grid_source *source, struct comparisons *list, struct err *err)
{
    const struct campaign *campaign = source->campaign;
    struct points points = { memory_new(source->run_count, sizeof(double)),
                             memory_new(source->run_count, sizeof(double)), 0 };
    bool fine = points.lg_rpm && points.unevenness_db ? true : err_memory(err);
    for (size_t v = 0; fine && v < campaign->variant_count; v++)
        for (size_t m = 0; fine && m < campaign->microphone_count; m++) {
            char at_microphone[80] = "";
            if (campaign->microphone_count > 1)
                snprintf(at_microphone, sizeof at_microphone, " at microphone %s", campaign->microphones[m].name);
            gather(source, v, m, &points);
            if (is_wide(&points))
                fine = tell(&points, campaign->variants[v].name, at_microphone, list, err);
        }
    free(points.lg_rpm);
    free(points.unevenness_db);
    return fine;
}
