/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/results_json.h"

#include "base/absent.h"
#include "base/version.h"
#include "measure/json_fields.h"
#include "measure/run_json.h"
#include "report/show.h"

#include <math.h>
#include <string.h>

/* Differences and intervals to 0.001 of their unit, operating values to 0.0001 of theirs. */
#define COMPARED(member, name, digits) FIELD_NUMBER_OF(struct comparison, member, name, digits)
static const struct field comparison_fields[] = {
    COMPARED(value, "value", 4),
    FIELD_OF(struct comparison, quantity, "quantity", FIELD_BUFFER),
    COMPARED(band_hz, "band_hz", 4),
    FIELD_OF(struct comparison, variant, "variant", FIELD_BUFFER),
    FIELD_OF(struct comparison, reference, "reference", FIELD_BUFFER),
    FIELD_OF(struct comparison, microphone, "microphone", FIELD_BUFFER),
    COMPARED(variant_value, "variant_value", 4),
    COMPARED(reference_value, "reference_value", 4),
    COMPARED(difference_db, "difference_db", 3),
    COMPARED(repeat_spread_db, "repeat_spread_db", 3),
    FIELD_OF(struct comparison, variant_run_count, "variant_run_count", FIELD_INT),
    FIELD_OF(struct comparison, reference_run_count, "reference_run_count", FIELD_INT),
    FIELD_OF(struct comparison, survives_many_bands, "survives_many_bands", FIELD_FLAG),
    FIELD_OF(struct comparison, basis, "basis", FIELD_BUFFER),
    FIELD_OF(struct comparison, reason, "reason", FIELD_BUFFER),
    FIELD_OF(struct comparison, words, "words", FIELD_BUFFER),
};

#define CURVE(member, digits) FIELD_NUMBER_OF(struct curve, member, #member, digits)
static const struct field curve_fields[] = {
    FIELD_OF(struct curve, quantity, "quantity", FIELD_BUFFER),
    FIELD_OF(struct curve, variant, "variant", FIELD_BUFFER),
    FIELD_OF(struct curve, microphone, "microphone", FIELD_BUFFER),
    CURVE(residual_db, 3),
    CURVE(slope_db_per_decade, 3),
    FIELD_OF(struct curve, basis, "basis", FIELD_BUFFER),
};

static const struct field curve_point_fields[] = {
    FIELD_NUMBER_OF(struct curve_point, value, "value", 4),
    FIELD_NUMBER_OF(struct curve_point, level_db, "level_db", 4),
    FIELD_OF(struct curve_point, is_doubtful, "doubtful", FIELD_FLAG),
    FIELD_OF(struct curve_point, is_upper_bound, "upper_bound", FIELD_FLAG),
};

static const struct field fit_point_fields[] = {
    FIELD_NUMBER_OF(struct fit_point, value, "value", 4),
    FIELD_NUMBER_OF(struct fit_point, level_db, "level_db", 4),
};

static const struct field budget_fields[] = {
    FIELD_OF(struct budget_line, variant, "variant", FIELD_BUFFER),
    FIELD_NUMBER_OF(struct budget_line, value, "value", 4),
    FIELD_OF(struct budget_line, microphone, "microphone", FIELD_BUFFER),
    FIELD_OF(struct budget_line, component, "component", FIELD_BUFFER),
    FIELD_NUMBER_OF(struct budget_line, standard_db, "standard_db", 4),
    FIELD_NUMBER_OF(struct budget_line, degrees_of_freedom, "degrees_of_freedom", 1), /* null: without end */
    FIELD_OF(struct budget_line, cancels, "cancels", FIELD_FLAG),
};

static const struct field equal_level_fields[] = {
    FIELD_NUMBER_OF(struct equal_level, level_db, "level_db", 2),
    FIELD_OF(struct equal_level, variant, "variant", FIELD_BUFFER),
    FIELD_OF(struct equal_level, microphone, "microphone", FIELD_BUFFER),
    FIELD_NUMBER_OF(struct equal_level, value, "value", 4),
    FIELD_OF(struct equal_level, reason, "reason", FIELD_BUFFER),
};

static const struct field contribution_fields[] = {
    FIELD_NUMBER_OF(struct contribution, value, "value", 4),
    FIELD_OF(struct contribution, variant, "variant", FIELD_BUFFER),
    FIELD_OF(struct contribution, microphone, "microphone", FIELD_BUFFER),
    FIELD_OF(struct contribution, part, "part", FIELD_BUFFER),
    FIELD_NUMBER_OF(struct contribution, band_hz, "band_hz", 4),
    FIELD_NUMBER_OF(struct contribution, share_db, "share_db", 3),
};

static const struct field what_if_fields[] = {
    FIELD_NUMBER_OF(struct what_if, value, "value", 4),
    FIELD_OF(struct what_if, variant, "variant", FIELD_BUFFER),
    FIELD_OF(struct what_if, microphone, "microphone", FIELD_BUFFER),
    FIELD_OF(struct what_if, source, "source", FIELD_BUFFER),
    FIELD_NUMBER_OF(struct what_if, low_hz, "low_hz", 4),
    FIELD_NUMBER_OF(struct what_if, high_hz, "high_hz", 4),
    FIELD_NUMBER_OF(struct what_if, share_pct, "share_pct", 3),
    FIELD_NUMBER_OF(struct what_if, fall_db, "fall_db", 3), /* null: it is all there is */
    FIELD_OF(struct what_if, is_prominent, "prominent", FIELD_FLAG),
};

#define TABLE(fields) (&(const struct field_table){ fields, sizeof fields / sizeof *fields })

/* Parts may each be NULL: for lack of memory, or for what `err` says. `failed` is sticky. */
struct writer {
    bool failed;
    struct err err;
};

static void set(struct writer *writer, json_t *object, const char *key, json_t *value)
{
    if (!value || json_object_set_new(object, key, value) != 0)
        writer->failed = true;
}

static void append(struct writer *writer, json_t *list, json_t *value)
{
    if (!value || json_array_append_new(list, value) != 0)
        writer->failed = true;
}

/* An object that starts with the operating quantity, or with nothing for OPERATING_QUANTITY_COUNT. */
static json_t *object_of(struct writer *writer, enum operating_quantity at, const void *record,
                         const struct field_table *table)
{
    json_t *object = json_object();
    if (at != OPERATING_QUANTITY_COUNT)
        set(writer, object, "at", json_string(operating_quantity_key(at)));
    if (!object || !json_fields_write(object, record, table, &writer->err))
        writer->failed = true;
    return object;
}

static json_t *interval(struct writer *writer, double low, double high, int decimals)
{
    json_t *list = json_array();
    append(writer, list, json_number(low, decimals));
    append(writer, list, json_number(high, decimals));
    return list;
}

static json_t *comparisons_json(struct writer *writer, const struct comparisons *all)
{
    json_t *list = json_array();
    for (size_t i = 0; i < all->count; i++) {
        const struct comparison *item = &all->items[i];
        json_t *object = object_of(writer, item->at, item, TABLE(comparison_fields));
        set(writer, object, "ci95_db", interval(writer, item->ci95_low_db, item->ci95_high_db, 3));
        set(writer, object, "variant_ci95", interval(writer, item->variant_ci95_low, item->variant_ci95_high, 4));
        set(writer, object, "reference_ci95", interval(writer, item->reference_ci95_low, item->reference_ci95_high, 4));
        set(writer, object, "verdict", json_string(compare_verdict_key(item->verdict)));
        set(writer, object, "extrapolated", json_false()); /* by construction: such a point is refused */
        append(writer, list, object);
    }
    return list;
}

static json_t *curves_json(struct writer *writer, const struct comparisons *all)
{
    json_t *list = json_array();
    for (size_t i = 0; i < all->curve_count; i++) {
        const struct curve *curve = &all->curves[i];
        json_t *object = object_of(writer, curve->at, curve, TABLE(curve_fields));
        json_t *points = json_array(), *fit = json_array();
        set(writer, object, "slope_ci95", interval(writer, curve->slope_ci95_low, curve->slope_ci95_high, 3));
        for (size_t k = 0; k < curve->point_count; k++)
            append(writer, points,
                   object_of(writer, OPERATING_QUANTITY_COUNT, &curve->points[k], TABLE(curve_point_fields)));
        for (size_t k = 0; k < curve->fit_count; k++) {
            const struct fit_point *point = &curve->fit[k];
            json_t *item = object_of(writer, OPERATING_QUANTITY_COUNT, point, TABLE(fit_point_fields));
            set(writer, item, "ci95_db", interval(writer, point->ci95_low_db, point->ci95_high_db, 4));
            append(writer, fit, item);
        }
        set(writer, object, "points", points);
        set(writer, object, "fit", fit);
        append(writer, list, object);
    }
    return list;
}

static json_t *what_ifs_json(struct writer *writer, const struct comparisons *all)
{
    json_t *list = json_array();
    for (size_t i = 0; i < all->what_if_count; i++) {
        const struct what_if *item = &all->what_ifs[i];
        json_t *object = object_of(writer, item->at, item, TABLE(what_if_fields)), *left = json_array();
        for (size_t k = 0; k < item->prominent_left_count; k++)
            append(writer, left, json_text("prominent_left", item->prominent_left[k], &writer->err));
        set(writer, object, "kind", json_string(what_if_kind_key(item->kind)));
        set(writer, object, "prominent_left", left);
        append(writer, list, object);
    }
    return list;
}

static void add_comparison_blocks(struct writer *writer, json_t *root, const struct comparisons *all)
{
    json_t *budget = json_array(), *levels = json_array(), *parts = json_array(), *remarks = json_array();
    set(writer, root, "comparisons", comparisons_json(writer, all));
    set(writer, root, "curves", curves_json(writer, all));
    for (size_t i = 0; i < all->budget_count; i++)
        append(writer, budget, object_of(writer, all->budget[i].at, &all->budget[i], TABLE(budget_fields)));
    for (size_t i = 0; i < all->equal_level_count; i++) {
        const struct equal_level *item = &all->equal_levels[i];
        json_t *object = object_of(writer, item->at, item, TABLE(equal_level_fields));
        set(writer, object, "ci95", interval(writer, item->ci95_low, item->ci95_high, 4));
        append(writer, levels, object);
    }
    for (size_t i = 0; i < all->contribution_count; i++)
        append(writer, parts,
               object_of(writer, all->contributions[i].at, &all->contributions[i], TABLE(contribution_fields)));
    for (size_t i = 0; i < all->remark_count; i++)
        append(writer, remarks, json_text("remarks", all->remarks[i], &writer->err));
    set(writer, root, "budget", budget);
    set(writer, root, "equal_levels", levels);
    set(writer, root, "contributions", parts);
    set(writer, root, "what_ifs", what_ifs_json(writer, all));
    set(writer, root, "remarks", remarks);
}

static json_t *text_or_null(struct writer *writer, const char *key, const char *text)
{
    return text ? json_text(key, text, &writer->err) : json_null();
}

static json_t *campaign_json(struct writer *writer, const struct results *results)
{
    const struct campaign *campaign = results->campaign;
    json_t *object = json_object();
    set(writer, object, "title", text_or_null(writer, "title", campaign->title));
    set(writer, object, "date", text_or_null(writer, "date", campaign->date));
    set(writer, object, "reference",
        results->reference < campaign->variant_count
            ? text_or_null(writer, "reference", campaign->variants[results->reference].name)
            : json_null());
    set(writer, object, "reference_distance_m", json_number(campaign->reference_distance_m, 4));
    set(writer, object, "level_unit", json_string(show_level_unit(results)));
    json_t *air = json_object();
    set(writer, air, "temperature_c", json_number(campaign->air.temperature_c, 2));
    set(writer, air, "humidity_pct", json_number(campaign->air.humidity_pct, 2));
    set(writer, air, "pressure_kpa", json_number(campaign->air.pressure_kpa, 3));
    set(writer, air, "wind_m_s", json_number(campaign->air.wind_m_s, 2));
    set(writer, object, "air", air);
    return object;
}

static json_t *variants_json(struct writer *writer, const struct campaign *campaign)
{
    json_t *list = json_array();
    for (size_t i = 0; i < campaign->variant_count; i++) {
        const struct variant *variant = &campaign->variants[i];
        json_t *object = json_object();
        set(writer, object, "name", text_or_null(writer, "name", variant->name));
        set(writer, object, "title", text_or_null(writer, "title", variant->title));
        set(writer, object, "blades", json_integer(variant->blades));
        set(writer, object, "rotors", json_integer(variant->rotors));
        set(writer, object, "diameter_mm", json_number(variant->diameter_mm, 3));
        set(writer, object, "drive", json_string(show_drive(variant)));
        set(writer, object, "drive_ratio", json_number(variant_drive_ratio(variant), 6));
        append(writer, list, object);
    }
    return list;
}

json_t *results_json(const struct results *results, struct err *err)
{
    struct writer writer = { 0 };
    json_t *root = json_object(), *about = json_object(), *runs = json_array();
    set(&writer, about, "version", json_string(thrum_version));
    set(&writer, about, "format", json_integer(THRUM_RESULTS_FORMAT));
    set(&writer, root, "thrum", about);
    set(&writer, root, "campaign", campaign_json(&writer, results));
    set(&writer, root, "variants", variants_json(&writer, results->campaign));
    for (size_t i = 0; i < results->run_count; i++)
        append(&writer, runs, run_json_write(&results->runs[i], &writer.err));
    set(&writer, root, "runs", runs);
    add_comparison_blocks(&writer, root, &results->comparisons);
    if (!writer.failed)
        return root;
    json_decref(root);
    if (writer.err.kind == ERR_NONE)
        err_memory(err);
    else if (err)
        *err = writer.err;
    return NULL;
}
