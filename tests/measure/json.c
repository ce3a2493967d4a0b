/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/memory.h"
#include "measure/run_json.h"

/* A result in which every member has a value of its own, so that two keys that were swapped would show. */
static bool fill(struct run_result *run)
{
    run_result_init(run);
    run->file = memory_copy_text("reeds \"a\" <&> é.wav");
    run->variant = memory_copy_text("slow5");
    run->microphone = memory_copy_text("main");
    run->note = memory_copy_text("wind \\ gusts");
    run->row = 7;
    double next = 1.0625;
    double *const numbers[] = {
        &run->sample_rate_hz,
        &run->duration_s,
        &run->used_start_s,
        &run->used_end_s,
        &run->rpm_given,
        &run->thrust_n,
        &run->full_scale_sine_db,
        &run->gain_drift_db,
        &run->figures.levels.laeq_db,
        &run->figures.levels.lceq_db,
        &run->figures.levels.lzeq_db,
        &run->figures.levels.lafmax_db,
        &run->figures.levels.lafmin_db,
        &run->figures.levels.lasmax_db,
        &run->figures.levels.lcpeak_db,
        &run->figures.levels.lae_db,
        &run->figures.levels.la10_db,
        &run->figures.levels.la50_db,
        &run->figures.levels.la90_db,
        &run->at_reference.laeq_db,
        &run->at_reference.background_correction_db,
        &run->at_reference.distance_correction_db,
        &run->rotor.rpm_measured,
        &run->rotor.rpm_uncertainty,
        &run->rotor.blade_shortfall_db,
        &run->rotor.unevenness_db,
        &run->rotor.shares.blade_pct,
        &run->rotor.shares.named_pct,
        &run->rotor.shares.unexplained_pct,
        &run->rotor.shares.broadband_pct,
        &run->tonality.audibility_db,
        &run->tonality.decisive_hz,
        &run->figures.hearing.loudness_stationary_sone,
        &run->figures.hearing.loudness_n5_sone,
        &run->figures.hearing.sharpness_acum,
        &run->figures.hearing.annoyance,
        &run->figures.highest_hz,
        &run->figures.spectrum.step_hz,
        &run->trace.first_hz,
        &run->trace.line_hz,
    };
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        *numbers[i] = next += 0.5;
    run->is_absolute = true;
    run->figures.third_octave.per_octave = 3;
    run->figures.third_octave.items = memory_new(2, sizeof(struct band));
    run->at_reference.bands = memory_new(2, sizeof(struct band_at_reference));
    run->rotor.tones = memory_new(1, sizeof(struct tone));
    run->rotor.blade_passages = memory_new(1, sizeof(struct blade_passage));
    run->rotor.remarks = memory_new(1, sizeof *run->rotor.remarks);
    run->trace.level_db = memory_new(3, sizeof(double));
    run->notes = memory_new(1, sizeof *run->notes);
    if (!run->figures.third_octave.items || !run->at_reference.bands || !run->rotor.tones ||
        !run->rotor.blade_passages || !run->rotor.remarks || !run->trace.level_db || !run->notes)
        return false;
    run->figures.third_octave.count = run->at_reference.band_count = 2;
    run->figures.third_octave.items[0] = (struct band){ -1, 800, 794.328, 707.9, 891.3, 51.26, 53.5, 52.5 };
    run->figures.third_octave.items[1] = (struct band){ 0, 1000, 1000, 891.3, 1122, -INFINITY, ABSENT, ABSENT };
    run->at_reference.bands[0] = (struct band_at_reference){ 31.5, 50.5, true };
    run->at_reference.bands[1] = (struct band_at_reference){ ABSENT, ABSENT, false };
    run->rotor.tone_count = run->rotor.blade_passage_count = run->rotor.remark_count = run->note_count = 1;
    run->rotor.tones[0] = (struct tone){ .hz = 140.125,
                                         .level_db = 61.5,
                                         .source = "blade 1",
                                         .alternative_count = 1,
                                         .alternatives = { "mains 3" },
                                         .misfit = 0.25,
                                         .uncertainty_hz = 0.0125,
                                         .is_prominent = true };
    run->rotor.blade_passages[0] = (struct blade_passage){ 1, 140, 2.8, 140.125, 61.5, 30.25, BLADE_SHIFTED };
    run->rotor.remarks[0] = memory_copy_text("one blade may differ");
    snprintf(run->rotor.rpm_source, sizeof run->rotor.rpm_source, "sound");
    run->trace.count = 3;
    run->trace.level_db[0] = 20.5;
    run->trace.level_db[1] = ABSENT;
    run->trace.level_db[2] = 30.5;
    settings_add(&run->settings, "bearings.front.balls", "7");
    run->notes[0] = (struct run_note){ memory_copy_text("propeller nut"), memory_copy_text("2 Nm") };
    findings_add(&run->findings, "low-snr", SEVERITY_DOUBTFUL, 25, "the background is near");
    return true;
}

static char *text_of(const struct run_result *run)
{
    json_t *object = run_json_write(run, NULL);
    char *text = object ? json_dumps(object, JSON_REAL_PRECISION(9)) : NULL;
    json_decref(object);
    return text;
}

static void reading_gives_back_what_was_written(void)
{
    struct run_result run;
    struct err err;
    if (!tap_ok(fill(&run), "a full result"))
        return;
    char *first = text_of(&run);
    if (!tap_ok(first && run_result_settle(&run, &err), "is settled"))
        return;
    char *second = text_of(&run);
    tap_ok(second && strcmp(first, second) == 0, "and its JSON stays the same to the byte");
    tap_near(run.figures.third_octave.items[0].level_db, 51.26, 1e-12, "a band's level");
    tap_ok(!is_given(run.figures.third_octave.items[1].level_db), "silence comes back as absent");
    tap_ok(run.at_reference.bands[0].is_upper_bound && !is_given(run.at_reference.bands[1].background_db),
           "bounds and absences come back");
    tap_text(run.rotor.tones[0].alternatives[0], "mains 3", "an alternative");
    tap_near(run.rotor.tones[0].misfit, 0.25, 0, "how well a source fits");
    tap_near(run.rotor.tones[0].uncertainty_hz, 0.0125, 0, "how well a frequency is known");
    tap_ok(run.rotor.blade_passages[0].verdict == BLADE_SHIFTED, "a verdict comes back");
    tap_text(run.notes[0].value, "2 Nm", "a note");
    tap_text(run.settings.items[0].name, "bearings.front.balls", "a setting");
    tap_text(run.settings.items[0].value, "7", "with its value");
    tap_ok(run.findings.count == 1 && run.findings.items[0].severity == SEVERITY_DOUBTFUL, "a finding comes back");
    tap_ok(run_result_verdict(&run) == SEVERITY_DOUBTFUL, "and makes the verdict");
    free(first);
    free(second);
    run_result_clear(&run);
}

/* The keys that scripts rely on, as docs/results.md promises them. */
static void promised_keys_are_there(void)
{
    static const char *const keys[] = { "file",       "row",          "variant",      "microphone", "sample_rate_hz",
                                        "duration_s", "used_s",       "rpm_given",    "thrust_n",   "power_w",
                                        "fitness",    "levels",       "at_reference", "rotor",      "tones",
                                        "tonality",   "third_octave", "throttle_pct", "shares",     "hearing" };
    static const char *const levels[] = { "LAeq_db",   "LCeq_db", "LZeq_db", "LAFmax_db", "LAFmin_db", "LASmax_db",
                                          "LCpeak_db", "LAE_db",  "LA10_db", "LA50_db",   "LA90_db" };
    struct run_result run;
    if (!fill(&run))
        return;
    json_t *object = run_json_write(&run, NULL);
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        tap_ok(json_object_get(object, keys[i]) != NULL, "key \"%s\"", keys[i]);
    for (size_t i = 0; i < sizeof levels / sizeof *levels; i++)
        tap_ok(json_is_number(json_object_get(json_object_get(object, "levels"), levels[i])), "level \"%s\"",
               levels[i]);
    json_decref(object);
    run_result_clear(&run);
}

static void wrong_types_are_told(void)
{
    static const struct {
        const char *text, *part;
    } rows[] = {
        { "[]", "no object" },
        { "{}", "without \"file\"" },
        { "{\"file\": 3}", "\"file\"" },
        { "{\"file\": \"a\", \"row\": \"x\"}", "\"row\"" },
        { "{\"file\": \"a\", \"gain\": {}, \"levels\": {\"LAeq_db\": \"loud\"}}", "LAeq_db" },
        { "{\"file\": \"a\", \"gain\": {}, \"levels\": {}, \"at_reference\": {}, \"third_octave\": 3}",
          "third_octave" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct run_result run;
        struct err err = { 0 };
        json_error_t at;
        json_t *object = json_loads(rows[i].text, 0, &at);
        bool ok = run_json_read(object, "saved.json", &run, &err);
        tap_ok(!ok && strcmp(err.file, "saved.json") == 0 && strstr(err.text, rows[i].part), "%s: %s", rows[i].text,
               err.text);
        if (ok)
            run_result_clear(&run);
        json_decref(object);
    }
}

/* The parent of the last step of a path like "fitness/findings/0/severity"; *last is that step. */
static json_t *parent_of(json_t *object, const char *path, const char **last)
{
    for (const char *slash; (slash = strchr(path, '/')); path = slash + 1) {
        char step[32];
        snprintf(step, sizeof step, "%.*s", (int)(slash - path), path);
        object =
            json_is_array(object) ? json_array_get(object, (size_t)(step[0] - '0')) : json_object_get(object, step);
    }
    *last = path;
    return object;
}

/* What a figure would silently stand for is an error that names its key. */
static void nothing_is_made_up(void)
{
    static const struct {
        const char *path, *value, *part; /* no value: the key is taken away */
    } rows[] = {
        { "fitness/findings/0/severity", "\"fatal\"", "\"severity\"" },
        { "fitness/findings/0/severity", NULL, "\"severity\"" },
        { "fitness/findings", "3", "findings" },
        { "rotor/blade_passage/0/verdict", "\"perhaps\"", "\"verdict\"" },
        { "rotor/blade_passage/0/verdict", NULL, "\"verdict\"" },
        { "hearing/specific_sone_bark", "[1, 2]", "\"specific_sone_bark\"" },
        { "hearing/field", "\"reverberant\"", "\"field\"" },
        { "hearing/loudness_step_s", "\"short\"", "\"loudness_step_s\"" },
        { "tonality/adjustment_db", "2.5", "\"adjustment_db\"" },
        { "tonality/adjustment_db", "7", "\"adjustment_db\"" },
        { "tones/0/alternatives", "[\"a\", \"b\", \"c\", \"d\", \"e\"]", "alternatives" },
        { "used_s", "[1]", "used_s" },
        { "settings/bearings.front.balls", "7", "settings" },
        { "highest_hz", "\"high\"", "\"highest_hz\"" },
    };
    struct run_result run;
    if (!fill(&run))
        return;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *object = run_json_write(&run, NULL);
        const char *last;
        json_t *parent = parent_of(object, rows[i].path, &last);
        if (rows[i].value)
            json_object_set_new(parent, last, json_loads(rows[i].value, JSON_DECODE_ANY, NULL));
        else
            json_object_del(parent, last);
        struct run_result read;
        struct err err = { 0 };
        bool ok = run_json_read(object, "saved.json", &read, &err);
        tap_ok(!ok && strstr(err.text, rows[i].part), "%s %s: %s", rows[i].path,
               rows[i].value ? rows[i].value : "taken away", err.text);
        if (ok)
            run_result_clear(&read);
        json_decref(object);
    }
    run_result_clear(&run);
}

/* The first byte of a letter of two, alone: no UTF-8 (RFC 3629). */
static void a_text_that_is_none_is_named(void)
{
    struct run_result run;
    if (!fill(&run))
        return;
    char *texts[] = { run.rotor.tones[0].source, run.rotor.remarks[0], run.findings.items[0].text, run.gain_source };
    static const char *const keys[] = { "source", "remarks", "text", "source" };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct err err = { 0 };
        char kept[8];
        memcpy(kept, texts[i], sizeof kept);
        memcpy(texts[i], "reed\xd1", sizeof "reed\xd1");
        tap_ok(!run_json_write(&run, &err) && err.kind == ERR_INTERNAL && strstr(err.text, keys[i]) &&
                   strstr(err.text, "not UTF-8: reed?"),
               "a text that is not UTF-8 is named: %s", err.text);
        memcpy(texts[i], kept, sizeof kept);
    }
    run_result_clear(&run);
}

int main(void)
{
    a_text_that_is_none_is_named();
    nothing_is_made_up();
    reading_gives_back_what_was_written();
    promised_keys_are_there();
    wrong_types_are_told();
    return tap_done();
}
