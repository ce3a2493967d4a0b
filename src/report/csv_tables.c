/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/csv.h"

#include "base/absent.h"

static void add_flag(struct text *out, bool value, bool *at_start)
{
    csv_text(out, value ? "true" : "false", at_start);
}

static void add_identity(struct text *out, const struct run_result *run, bool *at_start)
{
    csv_text(out, run->file, at_start);
    csv_number(out, run->row, 0, at_start);
    csv_text(out, run->variant, at_start);
    csv_text(out, run->microphone, at_start);
}

static const char *unit_of(const struct run_result *run)
{
    return run->error[0] ? "" : run->is_absolute ? "dB re 20 \xc2\xb5Pa" : "dBFS";
}

struct number {
    double value;
    int decimals;
};

static void add_numbers(struct text *out, const struct number *numbers, size_t count, bool *at_start)
{
    for (size_t i = 0; i < count; i++)
        csv_number(out, numbers[i].value, numbers[i].decimals, at_start);
}

/* The operating point, the levels at the microphone, and that at the reference distance with its corrections. */
static void add_levels(struct text *out, const struct run_result *run, bool *at_start)
{
    const struct levels *levels = &run->figures.levels;
    const struct at_reference *at = &run->at_reference;
    const struct number numbers[] = {
        { run->rpm_given, 3 },
        { run->rotor.rpm_measured, 2 },
        { run->tip_speed_m_s, 4 },
        { run->throttle_pct, 3 },
        { run->thrust_n, 5 },
        { run->power_w, 4 },
        { levels->laeq_db, 2 },
        { levels->lceq_db, 2 },
        { levels->lzeq_db, 2 },
        { levels->lafmax_db, 2 },
        { levels->lafmin_db, 2 },
        { levels->lasmax_db, 2 },
        { levels->lcpeak_db, 2 },
        { levels->lae_db, 2 },
        { levels->la10_db, 2 },
        { levels->la50_db, 2 },
        { levels->la90_db, 2 },
        { at->laeq_db, 2 },
        { at->background_correction_db, 2 },
        { at->distance_correction_db, 2 },
        { at->absorption_correction_db, 2 },
    };
    add_numbers(out, numbers, sizeof numbers / sizeof *numbers, at_start);
}

static void add_sound(struct text *out, const struct run_result *run, bool *at_start)
{
    const struct hearing_figures *hearing = &run->figures.hearing;
    const struct number numbers[] = {
        { hearing->loudness_n5_sone, 3 }, { hearing->loudness_stationary_sone, 3 }, { hearing->sharpness_acum, 4 },
        { hearing->roughness_asper, 4 },  { hearing->fluctuation_vacil, 4 },        { hearing->annoyance, 3 },
        { hearing->annoyance_tonal, 3 },  { run->tonality.audibility_db, 2 },
    };
    add_numbers(out, numbers, sizeof numbers / sizeof *numbers, at_start);
}

void csv_levels(const struct results *results, struct text *out)
{
    bool at_start = true;
    text_add(out, "file,row,variant,microphone,verdict,level_unit,rpm_given,rpm_measured,tip_speed_m_s,throttle_pct,"
                  "thrust_n,power_w,LAeq_db,LCeq_db,LZeq_db,LAFmax_db,LAFmin_db,LASmax_db,LCpeak_db,LAE_db,LA10_db,"
                  "LA50_db,LA90_db,LAeq_at_reference_db,background_correction_db,distance_correction_db,"
                  "absorption_correction_db,upper_bound,loudness_n5_sone,loudness_stationary_sone,sharpness_acum,"
                  "roughness_asper,fluctuation_vacil,annoyance,annoyance_tonal,audibility_db\r\n");
    for (size_t i = 0; i < results->run_count; i++) {
        const struct run_result *run = &results->runs[i];
        add_identity(out, run, &at_start);
        csv_text(out, severity_verdict(run_result_verdict(run)), &at_start);
        csv_text(out, unit_of(run), &at_start);
        add_levels(out, run, &at_start);
        add_flag(out, run->at_reference.is_upper_bound, &at_start);
        add_sound(out, run, &at_start);
        csv_end(out, &at_start);
    }
}

void csv_third_octave(const struct results *results, struct text *out)
{
    bool at_start = true;
    text_add(out, "file,row,variant,microphone,level_unit,nominal_hz,exact_hz,level_db,fmax_db,smax_db,background_db,"
                  "at_reference_db,upper_bound\r\n");
    for (size_t i = 0; i < results->run_count; i++) {
        const struct run_result *run = &results->runs[i];
        for (size_t k = 0; k < run->figures.third_octave.count; k++) {
            const struct band *band = &run->figures.third_octave.items[k];
            bool has_reference = k < run->at_reference.band_count;
            add_identity(out, run, &at_start);
            csv_text(out, unit_of(run), &at_start);
            csv_number(out, band->nominal_hz, 4, &at_start);
            csv_number(out, band->exact_hz, 4, &at_start);
            csv_number(out, band->level_db, 2, &at_start);
            csv_number(out, band->fmax_db, 2, &at_start);
            csv_number(out, band->smax_db, 2, &at_start);
            csv_number(out, has_reference ? run->at_reference.bands[k].background_db : ABSENT, 2, &at_start);
            csv_number(out, has_reference ? run->at_reference.bands[k].level_db : ABSENT, 2, &at_start);
            add_flag(out, has_reference && run->at_reference.bands[k].is_upper_bound, &at_start);
            csv_end(out, &at_start);
        }
    }
}

void csv_tones(const struct results *results, struct text *out)
{
    bool at_start = true;
    text_add(out, "file,row,variant,microphone,level_unit,hz,level_db,above_noise_db,bandwidth_hz,source,expected_hz,"
                  "shaft_order,alternatives,remark,tone_to_noise_db,prominence_db,audibility_db,prominent\r\n");
    for (size_t i = 0; i < results->run_count; i++)
        for (size_t k = 0; k < results->runs[i].rotor.tone_count; k++) {
            const struct run_result *run = &results->runs[i];
            const struct tone *tone = &run->rotor.tones[k];
            struct text others = { 0 };
            for (size_t n = 0; n < tone->alternative_count; n++)
                text_addf(&others, "%s%s", n > 0 ? "; " : "", tone->alternatives[n]);
            add_identity(out, run, &at_start);
            csv_text(out, unit_of(run), &at_start);
            csv_number(out, tone->hz, 3, &at_start);
            csv_number(out, tone->level_db, 2, &at_start);
            csv_number(out, tone->above_noise_db, 2, &at_start);
            csv_number(out, tone->bandwidth_hz, 3, &at_start);
            csv_text(out, tone->source, &at_start);
            csv_number(out, tone->expected_hz, 3, &at_start);
            csv_number(out, tone->shaft_order, 4, &at_start);
            csv_text(out, others.data, &at_start);
            csv_text(out, tone->remark, &at_start);
            csv_number(out, tone->tone_to_noise_db, 2, &at_start);
            csv_number(out, tone->prominence_db, 2, &at_start);
            csv_number(out, tone->audibility_db, 2, &at_start);
            add_flag(out, tone->is_prominent, &at_start);
            csv_end(out, &at_start);
            out->failed = out->failed || others.failed;
            text_clear(&others);
        }
}

void csv_blade_passage(const struct results *results, struct text *out)
{
    bool at_start = true;
    text_add(out, "file,row,variant,microphone,level_unit,harmonic,expected_hz,tolerance_hz,measured_hz,level_db,"
                  "above_noise_db,verdict\r\n");
    for (size_t i = 0; i < results->run_count; i++)
        for (size_t k = 0; k < results->runs[i].rotor.blade_passage_count; k++) {
            const struct run_result *run = &results->runs[i];
            const struct blade_passage *line = &run->rotor.blade_passages[k];
            add_identity(out, run, &at_start);
            csv_text(out, unit_of(run), &at_start);
            csv_number(out, line->harmonic, 0, &at_start);
            csv_number(out, line->expected_hz, 3, &at_start);
            csv_number(out, line->tolerance_hz, 3, &at_start);
            csv_number(out, line->measured_hz, 3, &at_start);
            csv_number(out, line->level_db, 2, &at_start);
            csv_number(out, line->above_noise_db, 2, &at_start);
            csv_text(out, blade_verdict_key(line->verdict), &at_start);
            csv_end(out, &at_start);
        }
}

void csv_comparisons(const struct results *results, struct text *out)
{
    bool at_start = true;
    text_add(out,
             "at,value,quantity,band_hz,variant,reference,microphone,variant_value,variant_ci95_low,variant_ci95_high,"
             "reference_value,reference_ci95_low,reference_ci95_high,difference,ci95_low,ci95_high,repeat_spread,"
             "variant_run_count,reference_run_count,verdict,survives_many_bands,basis,reason,words\r\n");
    for (size_t i = 0; i < results->comparisons.count; i++) {
        const struct comparison *item = &results->comparisons.items[i];
        const double numbers[] = { item->variant_value,   item->variant_ci95_low,   item->variant_ci95_high,
                                   item->reference_value, item->reference_ci95_low, item->reference_ci95_high,
                                   item->difference_db,   item->ci95_low_db,        item->ci95_high_db,
                                   item->repeat_spread_db };
        csv_text(out, operating_quantity_key(item->at), &at_start);
        csv_number(out, item->value, 4, &at_start);
        csv_text(out, item->quantity, &at_start);
        csv_number(out, item->band_hz, 4, &at_start);
        csv_text(out, item->variant, &at_start);
        csv_text(out, item->reference, &at_start);
        csv_text(out, item->microphone, &at_start);
        for (size_t k = 0; k < sizeof numbers / sizeof *numbers; k++)
            csv_number(out, numbers[k], 3, &at_start);
        csv_number(out, item->variant_run_count, 0, &at_start);
        csv_number(out, item->reference_run_count, 0, &at_start);
        csv_text(out, compare_verdict_key(item->verdict), &at_start);
        add_flag(out, item->survives_many_bands, &at_start);
        csv_text(out, item->basis, &at_start);
        csv_text(out, item->reason, &at_start);
        csv_text(out, item->words, &at_start);
        csv_end(out, &at_start);
    }
}

void csv_what_ifs(const struct results *results, struct text *out)
{
    bool at_start = true;
    text_add(out,
             "at,value,variant,microphone,kind,source,low_hz,high_hz,share_pct,fall_db,prominent,prominent_left\r\n");
    for (size_t i = 0; i < results->comparisons.what_if_count; i++) {
        const struct what_if *item = &results->comparisons.what_ifs[i];
        struct text left = { 0 };
        for (size_t k = 0; k < item->prominent_left_count; k++)
            text_addf(&left, "%s%s", k > 0 ? "; " : "", item->prominent_left[k]);
        csv_text(out, operating_quantity_key(item->at), &at_start);
        csv_number(out, item->value, 4, &at_start);
        csv_text(out, item->variant, &at_start);
        csv_text(out, item->microphone, &at_start);
        csv_text(out, what_if_kind_key(item->kind), &at_start);
        csv_text(out, item->source, &at_start);
        csv_number(out, item->low_hz, 4, &at_start);
        csv_number(out, item->high_hz, 4, &at_start);
        csv_number(out, item->share_pct, 3, &at_start);
        csv_number(out, item->fall_db, 3, &at_start);
        add_flag(out, item->is_prominent, &at_start);
        csv_text(out, left.data, &at_start);
        csv_end(out, &at_start);
        out->failed = out->failed || left.failed;
        text_clear(&left);
    }
}
