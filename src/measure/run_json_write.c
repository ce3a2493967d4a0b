/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/run_json.h"

#include "measure/run_json_tables.h"

/* Writers build a tree from parts that may each be NULL: for lack of memory, or for what `err` says. Of the object that
 * is made, `failed` is sticky. */
struct writer {
    bool failed;
    struct err *err;
};

static json_t *object_of(struct writer *writer, const void *record, const struct field_table *table)
{
    json_t *object = json_object();
    if (!object || !json_fields_write(object, record, table, writer->err))
        writer->failed = true;
    return object;
}

static json_t *text(struct writer *writer, const char *key, const char *string)
{
    return json_text(key, string, writer->err);
}

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

static json_t *findings_json(struct writer *writer, const struct run_result *result)
{
    json_t *fitness = json_object(), *list = json_array();
    set(writer, fitness, "verdict", json_string(severity_verdict(run_result_verdict(result))));
    for (size_t i = 0; i < result->findings.count; i++) {
        const struct finding *finding = &result->findings.items[i];
        json_t *item = object_of(writer, finding, &table_finding);
        set(writer, item, "severity", json_string(severity_key(finding->severity)));
        append(writer, list, item);
    }
    set(writer, fitness, "findings", list);
    return fitness;
}

static json_t *bands_json(struct writer *writer, const struct bands *bands, const struct at_reference *at_reference)
{
    json_t *list = json_array();
    for (size_t i = 0; i < bands->count; i++) {
        json_t *item = object_of(writer, &bands->items[i], &table_band);
        if (at_reference && i < at_reference->band_count && item &&
            !json_fields_write(item, &at_reference->bands[i], &table_band_reference, writer->err))
            writer->failed = true;
        append(writer, list, item);
    }
    return list;
}

static json_t *rotor_json(struct writer *writer, const struct rotor_figures *rotor)
{
    json_t *object = object_of(writer, rotor, &table_rotor);
    json_t *passages = json_array(), *remarks = json_array();
    for (size_t i = 0; i < rotor->blade_passage_count; i++) {
        const struct blade_passage *passage = &rotor->blade_passages[i];
        json_t *item = object_of(writer, passage, &table_passage);
        set(writer, item, "verdict", json_string(blade_verdict_key(passage->verdict)));
        append(writer, passages, item);
    }
    for (size_t i = 0; i < rotor->remark_count; i++)
        append(writer, remarks, text(writer, "remarks", rotor->remarks[i]));
    set(writer, object, "blade_passage", passages);
    set(writer, object, "remarks", remarks);
    return object;
}

static json_t *tones_json(struct writer *writer, const struct rotor_figures *rotor)
{
    json_t *list = json_array();
    for (size_t i = 0; i < rotor->tone_count; i++) {
        const struct tone *tone = &rotor->tones[i];
        json_t *item = object_of(writer, tone, &table_tone), *alternatives = json_array();
        for (size_t j = 0; j < tone->alternative_count; j++)
            append(writer, alternatives, text(writer, "alternatives", tone->alternatives[j]));
        set(writer, item, "alternatives", alternatives);
        append(writer, list, item);
    }
    return list;
}

static json_t *hearing_json(struct writer *writer, const struct run_result *result)
{
    const struct hearing_figures *hearing = &result->figures.hearing;
    if (!result->is_absolute)
        return json_null();
    json_t *object = object_of(writer, hearing, &table_hearing);
    set(writer, object, "field", json_string(hearing->is_diffuse ? "diffuse" : "free"));
    set(writer, object, "specific_sone_bark", json_numbers(hearing->specific_sone_bark, SPECIFIC_LOUDNESS_COUNT, 4));
    set(writer, object, "loudness_step_s", json_number(hearing->loudness_step_s, 6));
    set(writer, object, "loudness_sone", json_numbers(hearing->loudness_sone, hearing->loudness_count, 3));
    return object;
}

static json_t *tonality_json(struct writer *writer, const struct tonality *tonality)
{
    json_t *object = object_of(writer, tonality, &table_tonality);
    set(writer, object, "adjustment_db",
        tonality->adjustment_db < 0 ? json_null() : json_integer(tonality->adjustment_db));
    return object;
}

static json_t *settings_json(struct writer *writer, const struct settings *settings)
{
    json_t *object = json_object();
    for (size_t i = 0; i < settings->count; i++)
        set(writer, object, settings->items[i].name, text(writer, "settings", settings->items[i].value));
    return object;
}

json_t *run_json_write(const struct run_result *result, struct err *err)
{
    struct err why = { 0 };
    struct writer writer = { false, &why };
    json_t *run = object_of(&writer, result, &table_run);
    json_t *used = json_array(), *notes = json_object();
    append(&writer, used, json_number(result->used_start_s, 4));
    append(&writer, used, json_number(result->used_end_s, 4));
    set(&writer, run, "used_s", used);
    for (size_t i = 0; i < result->note_count; i++)
        set(&writer, notes, result->notes[i].column, text(&writer, "notes", result->notes[i].value));
    set(&writer, run, "notes", notes);
    if (result->settings.count > 0)
        set(&writer, run, "settings", settings_json(&writer, &result->settings));
    set(&writer, run, "fitness", findings_json(&writer, result));
    set(&writer, run, "gain", object_of(&writer, result, &table_gain));
    if (!result->error[0]) {
        const struct figures *figures = &result->figures;
        set(&writer, run, "highest_hz", json_number(figures->highest_hz, 3));
        set(&writer, run, "levels", object_of(&writer, &figures->levels, &table_level));
        set(&writer, run, "at_reference", object_of(&writer, &result->at_reference, &table_reference));
        set(&writer, run, "third_octave", bands_json(&writer, &figures->third_octave, &result->at_reference));
        if (figures->bands.count > 0) {
            json_t *bands = json_object();
            set(&writer, bands, "per_octave", json_integer(figures->bands.per_octave));
            set(&writer, bands, "items", bands_json(&writer, &figures->bands, NULL));
            set(&writer, run, "bands", bands);
        }
        set(&writer, run, "rotor", rotor_json(&writer, &result->rotor));
        set(&writer, run, "tones", tones_json(&writer, &result->rotor));
        set(&writer, run, "tonality", tonality_json(&writer, &result->tonality));
        set(&writer, run, "shares", object_of(&writer, &result->rotor.shares, &table_share));
        set(&writer, run, "hearing", hearing_json(&writer, result));
        json_t *spectrum = object_of(&writer, &figures->spectrum, &table_spectrum);
        if (spectrum && !json_fields_write(spectrum, &result->trace, &table_trace, writer.err))
            writer.failed = true;
        set(&writer, spectrum, "level_db", json_numbers(result->trace.level_db, result->trace.count, 1));
        set(&writer, run, "spectrum", spectrum);
    }
    if (!writer.failed)
        return run;
    json_decref(run);
    if (why.kind == ERR_NONE)
        err_memory(&why);
    if (err)
        *err = why;
    return NULL;
}
