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

static bool wrong(const struct reader *reader, const char *key, const char *want)
{
    return err_file(reader->err, ERR_SYNTAX, reader->path,
                    "\"%s\" is not %s; this file was not written by thrum measure --json", key, want);
}

/* Which of the words a key says. */
static bool word_in(const struct reader *reader, const json_t *object, const char *key, const char *const *words,
                    size_t count, size_t *which)
{
    const char *word = json_string_value(json_object_get(object, key));
    for (*which = 0; word && *which < count; ++*which)
        if (strcmp(word, words[*which]) == 0)
            return true;
    return wrong(reader, key, "one of its words");
}

/* null is absent; a missing key leaves it as it is. */
static bool number_in(const struct reader *reader, const json_t *object, const char *key, double *out)
{
    const json_t *value = json_object_get(object, key);
    if (value && !json_is_number(value) && !json_is_null(value))
        return wrong(reader, key, "a number");
    if (value)
        *out = json_is_null(value) ? ABSENT : json_number_value(value);
    return true;
}

/* Room for the items of a list; a missing list is an empty one. */
static bool list_in(const struct reader *reader, const json_t *list, const char *where, size_t size, void **items,
                    size_t *count)
{
    *count = json_array_size(list);
    *items = NULL;
    if (list && !json_is_array(list))
        return wrong(reader, where, "a list");
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
    const char *const severities[] = { severity_key(SEVERITY_NOTE), severity_key(SEVERITY_DOUBTFUL),
                                       severity_key(SEVERITY_UNUSABLE) };
    const json_t *list = json_object_get(fitness, "findings");
    if (list && !json_is_array(list))
        return wrong(reader, "findings", "a list");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *item = json_array_get(list, i);
        struct finding finding = { .band_hz = ABSENT };
        size_t severity;
        if (!fields_in(reader, item, "a finding", &finding, &table_finding) ||
            !word_in(reader, item, "severity", severities, 3, &severity))
            return false;
        findings_add(findings, finding.code, (enum severity)(SEVERITY_NOTE + severity), finding.band_hz, "%s",
                     finding.text);
    }
    return !findings->failed || err_memory(reader->err);
}

static bool rotor_in(const struct reader *reader, const json_t *object, struct rotor_figures *rotor)
{
    if (!fields_in(reader, object, "rotor", rotor, &table_rotor))
        return false;
    const char *const verdicts[] = { blade_verdict_key(BLADE_AGREES), blade_verdict_key(BLADE_SHIFTED),
                                     blade_verdict_key(BLADE_ABSENT) };
    void *items;
    const json_t *list = json_object_get(object, "blade_passage");
    if (!list_in(reader, list, "blade_passage", sizeof *rotor->blade_passages, &items, &rotor->blade_passage_count))
        return false;
    rotor->blade_passages = items;
    for (size_t i = 0; i < rotor->blade_passage_count; i++) {
        struct blade_passage *passage = &rotor->blade_passages[i];
        const json_t *item = json_array_get(list, i);
        size_t verdict;
        if (!fields_in(reader, item, "a blade passage", passage, &table_passage) ||
            !word_in(reader, item, "verdict", verdicts, 3, &verdict))
            return false;
        passage->verdict = (enum blade_verdict)(BLADE_AGREES + verdict);
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
        if (json_array_size(alternatives) > ALTERNATIVES_MAX)
            return wrong(reader, "alternatives", "a list of four at most");
        for (size_t j = 0; j < json_array_size(alternatives); j++) {
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
    static const char *const fields[] = { "free", "diffuse" };
    double *specific;
    size_t count, field;
    if (!word_in(reader, object, "field", fields, 2, &field) ||
        !number_in(reader, object, "loudness_step_s", &hearing->loudness_step_s) ||
        !json_numbers_read(json_object_get(object, "specific_sone_bark"), reader->path, "specific loudness", &specific,
                           &count, reader->err))
        return false;
    hearing->is_diffuse = field == 1;
    if (count == SPECIFIC_LOUDNESS_COUNT)
        memcpy(hearing->specific_sone_bark, specific, sizeof hearing->specific_sone_bark);
    free(specific);
    if (count > 0 && count != SPECIFIC_LOUDNESS_COUNT)
        return wrong(reader, "specific_sone_bark", "a value for every 0.1 bark");
    return json_numbers_read(json_object_get(object, "loudness_sone"), reader->path, "loudness",
                             &hearing->loudness_sone, &hearing->loudness_count, reader->err);
}

/* 0 to 6 dB; null where there is no decisive tone. */
static bool adjustment_in(const struct reader *reader, const json_t *object, struct tonality *tonality)
{
    const json_t *value = json_object_get(object, "adjustment_db");
    tonality->adjustment_db = -1;
    if (!value || json_is_null(value))
        return true;
    if (!json_is_integer(value) || json_integer_value(value) < 0 || json_integer_value(value) > 6)
        return wrong(reader, "adjustment_db", "a whole number from 0 to 6, or null");
    tonality->adjustment_db = (int)json_integer_value(value);
    return true;
}

static bool measured_in(const struct reader *reader, const json_t *object, struct run_result *out)
{
    struct figures *figures = &out->figures;
    const json_t *bands = json_object_get(object, "bands"), *spectrum = json_object_get(object, "spectrum");
    const json_t *tonality = json_object_get(object, "tonality");
    figures->third_octave.per_octave = 3;
    if (!number_in(reader, object, "highest_hz", &figures->highest_hz) ||
        !fields_in(reader, json_object_get(object, "levels"), "levels", &figures->levels, &table_level) ||
        !fields_in(reader, json_object_get(object, "at_reference"), "at_reference", &out->at_reference,
                   &table_reference) ||
        !bands_in(reader, json_object_get(object, "third_octave"), &figures->third_octave, &out->at_reference) ||
        !rotor_in(reader, json_object_get(object, "rotor"), &out->rotor) ||
        !tones_in(reader, json_object_get(object, "tones"), &out->rotor) ||
        !fields_in(reader, tonality, "tonality", &out->tonality, &table_tonality) ||
        !adjustment_in(reader, tonality, &out->tonality) ||
        !fields_in(reader, json_object_get(object, "shares"), "shares", &out->rotor.shares, &table_share) ||
        !hearing_in(reader, json_object_get(object, "hearing"), &figures->hearing) ||
        !fields_in(reader, spectrum, "spectrum", &figures->spectrum, &table_spectrum) ||
        !fields_in(reader, spectrum, "spectrum", &out->trace, &table_trace))
        return false;
    if (bands) {
        const json_t *per_octave = json_object_get(bands, "per_octave");
        if (!json_is_integer(per_octave))
            return wrong(reader, "per_octave", "a whole number");
        figures->bands.per_octave = (int)json_integer_value(per_octave);
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

static bool settings_in(const struct reader *reader, json_t *object, struct settings *settings)
{
    const char *key;
    json_t *value;
    json_object_foreach(object, key, value)
    {
        if (!json_is_string(value))
            return wrong(reader, "settings", "an object of texts");
        settings_add(settings, key, json_string_value(value));
    }
    return !settings->failed || err_memory(reader->err);
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
        !settings_in(reader, json_object_get(object, "settings"), &out->settings) ||
        !json_numbers_read(used, reader->path, "used_s", &span, &count, reader->err))
        return false;
    if (count == 2) {
        out->used_start_s = span[0];
        out->used_end_s = span[1];
    }
    free(span);
    if (count > 0 && count != 2)
        return wrong(reader, "used_s", "a list of two numbers");
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
