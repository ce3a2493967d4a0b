/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/run_json.h"

#include "base/absent.h"
#include "base/memory.h"
#include "measure/run_json_tables.h"

#include <stdlib.h>
#include <string.h>

struct reader {
    const char *path;
    struct err *err;
};

static bool fields_in(const struct reader *reader, const json_t *object, const char *where, void *record,
                      const struct field_table *table)
{
    return json_fields_read(object, reader->path, where, record, table, reader->err);
}

/* Room for the items of a list; a missing list is an empty one. */
static bool list_in(const struct reader *reader, const json_t *list, const char *where, size_t size, void **items,
                    size_t *count)
{
    *count = json_array_size(list);
    *items = NULL;
    if (list && !json_is_array(list))
        return err_file(reader->err, ERR_SYNTAX, reader->path, "%s is no list", where);
    if (*count > 0 && !(*items = memory_new(*count, size))) {
        *count = 0;
        return err_memory(reader->err);
    }
    return true;
}

static bool bands_in(const struct reader *reader, const json_t *list, struct bands *bands,
                     struct at_reference *at_reference)
{
    void *items;
    if (!list_in(reader, list, "third_octave", sizeof *bands->items, &items, &bands->count))
        return false;
    bands->items = items;
    if (at_reference) {
        at_reference->bands = memory_new(bands->count, sizeof *at_reference->bands);
        if (!at_reference->bands)
            return err_memory(reader->err);
        at_reference->band_count = bands->count;
    }
    for (size_t i = 0; i < bands->count; i++) {
        const json_t *item = json_array_get(list, i);
        if (!fields_in(reader, item, "a band", &bands->items[i], &table_band))
            return false;
        if (at_reference && !fields_in(reader, item, "a band", &at_reference->bands[i], &table_band_reference))
            return false;
    }
    return true;
}

static bool findings_in(const struct reader *reader, const json_t *fitness, struct findings *findings)
{
    const json_t *list = json_object_get(fitness, "findings");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *item = json_array_get(list, i);
        struct finding finding = { .band_hz = ABSENT };
        if (!fields_in(reader, item, "a finding", &finding, &table_finding))
            return false;
        const char *key = json_string_value(json_object_get(item, "severity"));
        for (enum severity s = SEVERITY_NOTE; s <= SEVERITY_UNUSABLE; s++)
            if (key && strcmp(key, severity_key(s)) == 0)
                finding.severity = s;
        findings_add(findings, finding.code, finding.severity, finding.band_hz, "%s", finding.text);
    }
    return !findings->failed || err_memory(reader->err);
}

static bool rotor_in(const struct reader *reader, const json_t *object, struct rotor_figures *rotor)
{
    if (!fields_in(reader, object, "rotor", rotor, &table_rotor))
        return false;
    void *items;
    const json_t *list = json_object_get(object, "blade_passage");
    if (!list_in(reader, list, "blade_passage", sizeof *rotor->blade_passages, &items, &rotor->blade_passage_count))
        return false;
    rotor->blade_passages = items;
    for (size_t i = 0; i < rotor->blade_passage_count; i++) {
        struct blade_passage *passage = &rotor->blade_passages[i];
        const json_t *item = json_array_get(list, i);
        if (!fields_in(reader, item, "a blade passage", passage, &table_passage))
            return false;
        const char *key = json_string_value(json_object_get(item, "verdict"));
        passage->verdict = BLADE_ABSENT;
        for (enum blade_verdict v = BLADE_AGREES; v <= BLADE_ABSENT; v++)
            if (key && strcmp(key, blade_verdict_key(v)) == 0)
                passage->verdict = v;
    }
    list = json_object_get(object, "remarks");
    if (!list_in(reader, list, "remarks", sizeof *rotor->remarks, &items, &rotor->remark_count))
        return false;
    rotor->remarks = items;
    for (size_t i = 0; i < rotor->remark_count; i++) {
        const char *text = json_string_value(json_array_get(list, i));
        if (!text)
            return err_file(reader->err, ERR_SYNTAX, reader->path, "a remark is no text");
        if (!(rotor->remarks[i] = memory_copy_text(text)))
            return err_memory(reader->err);
    }
    return true;
}

static bool tones_in(const struct reader *reader, const json_t *list, struct rotor_figures *rotor)
{
    void *items;
    if (!list_in(reader, list, "tones", sizeof *rotor->tones, &items, &rotor->tone_count))
        return false;
    rotor->tones = items;
    for (size_t i = 0; i < rotor->tone_count; i++) {
        struct tone *tone = &rotor->tones[i];
        const json_t *item = json_array_get(list, i), *alternatives = json_object_get(item, "alternatives");
        if (!fields_in(reader, item, "a tone", tone, &table_tone))
            return false;
        for (size_t j = 0; j < json_array_size(alternatives) && j < ALTERNATIVES_MAX; j++) {
            const char *text = json_string_value(json_array_get(alternatives, j));
            if (!text || strlen(text) >= SOURCE_TEXT_MAX)
                return err_file(reader->err, ERR_SYNTAX, reader->path, "an alternative of a tone is no text that fits");
            memcpy(tone->alternatives[tone->alternative_count++], text, strlen(text) + 1);
        }
    }
    return true;
}

static bool hearing_in(const struct reader *reader, const json_t *object, struct hearing_figures *hearing)
{
    if (!object || json_is_null(object))
        return true;
    if (!fields_in(reader, object, "hearing", hearing, &table_hearing))
        return false;
    const char *field = json_string_value(json_object_get(object, "field"));
    hearing->is_diffuse = field && strcmp(field, "diffuse") == 0;
    double *specific;
    size_t count;
    if (!json_numbers_read(json_object_get(object, "specific_sone_bark"), reader->path, "specific loudness", &specific,
                           &count, reader->err))
        return false;
    if (count == SPECIFIC_LOUDNESS_COUNT)
        memcpy(hearing->specific_sone_bark, specific, sizeof hearing->specific_sone_bark);
    free(specific);
    hearing->loudness_step_s = json_number_value(json_object_get(object, "loudness_step_s"));
    return json_numbers_read(json_object_get(object, "loudness_sone"), reader->path, "loudness",
                             &hearing->loudness_sone, &hearing->loudness_count, reader->err);
}

static bool measured_in(const struct reader *reader, const json_t *object, struct run_result *out)
{
    struct figures *figures = &out->figures;
    const json_t *bands = json_object_get(object, "bands"), *spectrum = json_object_get(object, "spectrum");
    const json_t *tonality = json_object_get(object, "tonality"), *highest = json_object_get(object, "highest_hz");
    figures->third_octave.per_octave = 3;
    figures->highest_hz = json_is_number(highest) ? json_number_value(highest) : ABSENT;
    if (!fields_in(reader, json_object_get(object, "levels"), "levels", &figures->levels, &table_level) ||
        !fields_in(reader, json_object_get(object, "at_reference"), "at_reference", &out->at_reference,
                   &table_reference) ||
        !bands_in(reader, json_object_get(object, "third_octave"), &figures->third_octave, &out->at_reference) ||
        !rotor_in(reader, json_object_get(object, "rotor"), &out->rotor) ||
        !tones_in(reader, json_object_get(object, "tones"), &out->rotor) ||
        !fields_in(reader, tonality, "tonality", &out->tonality, &table_tonality) ||
        !fields_in(reader, json_object_get(object, "shares"), "shares", &out->rotor.shares, &table_share) ||
        !hearing_in(reader, json_object_get(object, "hearing"), &figures->hearing) ||
        !fields_in(reader, spectrum, "spectrum", &figures->spectrum, &table_spectrum) ||
        !fields_in(reader, spectrum, "spectrum", &out->trace, &table_trace))
        return false;
    const json_t *adjustment = json_object_get(tonality, "adjustment_db");
    out->tonality.adjustment_db = json_is_integer(adjustment) ? (int)json_integer_value(adjustment) : -1;
    if (bands) {
        figures->bands.per_octave = (int)json_integer_value(json_object_get(bands, "per_octave"));
        if (!bands_in(reader, json_object_get(bands, "items"), &figures->bands, NULL))
            return false;
    }
    return json_numbers_read(json_object_get(spectrum, "level_db"), reader->path, "spectrum", &out->trace.level_db,
                             &out->trace.count, reader->err);
}

static bool notes_in(const struct reader *reader, json_t *notes, struct run_result *out)
{
    void *items;
    size_t capacity = json_object_size(notes);
    if (capacity == 0)
        return true;
    if (!(items = memory_new(capacity, sizeof *out->notes)))
        return err_memory(reader->err);
    out->notes = items;
    const char *key;
    json_t *value;
    json_object_foreach(notes, key, value)
    {
        const char *text = json_string_value(value);
        struct run_note *note = &out->notes[out->note_count++];
        note->column = memory_copy_text(key);
        note->value = memory_copy_text(text ? text : "");
        if (!note->column || !note->value)
            return err_memory(reader->err);
    }
    return true;
}

static bool run_in(const struct reader *reader, const json_t *object, struct run_result *out)
{
    const json_t *used = json_object_get(object, "used_s");
    double *span;
    size_t count;
    if (!fields_in(reader, object, "a run", out, &table_run))
        return false;
    if (!out->file)
        return err_file(reader->err, ERR_SYNTAX, reader->path,
                        "a run without \"file\"; this file was not written by thrum measure --json");
    if (!fields_in(reader, json_object_get(object, "gain"), "gain", out, &table_gain) ||
        !findings_in(reader, json_object_get(object, "fitness"), &out->findings) ||
        !notes_in(reader, json_object_get(object, "notes"), out) ||
        !json_numbers_read(used, reader->path, "used_s", &span, &count, reader->err))
        return false;
    if (count == 2) {
        out->used_start_s = span[0];
        out->used_end_s = span[1];
    }
    free(span);
    return out->error[0] || measured_in(reader, object, out);
}

bool run_json_read(const json_t *object, const char *path, struct run_result *out, struct err *err)
{
    struct run_result result;
    run_result_init(&result);
    if (!run_in(&(struct reader){ path, err }, object, &result)) {
        run_result_clear(&result);
        return false;
    }
    *out = result;
    return true;
}

bool run_result_settle(struct run_result *result, struct err *err)
{
    json_t *object = run_json_write(result, err);
    if (!object)
        return false;
    struct run_result settled;
    bool ok = run_json_read(object, result->file, &settled, err);
    json_decref(object);
    if (ok) {
        run_result_clear(result);
        *result = settled;
    }
    return ok;
}
