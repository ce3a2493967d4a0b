/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/run_json_tables.h"

/* Decimals: levels 0.01 dB, frequencies 1 mHz, times 1 ms, which is finer than the accuracy of each. */
#define RUN(member, digits) FIELD_NUMBER_OF(struct run_result, member, #member, digits)
static const struct field run_fields[] = {
    FIELD_OF(struct run_result, file, "file", FIELD_OWNED),
    FIELD_OF(struct run_result, row, "row", FIELD_INT),
    FIELD_OF(struct run_result, variant, "variant", FIELD_OWNED),
    FIELD_OF(struct run_result, microphone, "microphone", FIELD_OWNED),
    RUN(sample_rate_hz, 3),
    RUN(duration_s, 4),
    FIELD_OF(struct run_result, used_reason, "used_reason", FIELD_BUFFER),
    RUN(rpm_given, 3),
    RUN(rpm_tolerance_pct, 3),
    RUN(motor_rpm, 3),
    RUN(throttle_pct, 3),
    RUN(thrust_n, 5),
    RUN(power_w, 4),
    RUN(tip_speed_m_s, 4),
    FIELD_OF(struct run_result, note, "note", FIELD_OWNED),
    FIELD_OF(struct run_result, error, "error", FIELD_BUFFER),
    FIELD_OF(struct run_result, is_absolute, "is_absolute", FIELD_FLAG),
};

static const struct field gain_fields[] = {
    RUN(full_scale_sine_db, 3),
    FIELD_NUMBER_OF(struct run_result, gain_uncertainty_db, "standard_uncertainty_db", 4),
    FIELD_NUMBER_OF(struct run_result, gain_drift_db, "drift_db", 3),
    FIELD_OF(struct run_result, gain_source, "source", FIELD_BUFFER),
};

#define LEVEL(member, key) FIELD_NUMBER_OF(struct levels, member, key, 2)
static const struct field level_fields[] = {
    LEVEL(laeq_db, "LAeq_db"),     LEVEL(lceq_db, "LCeq_db"),     LEVEL(lzeq_db, "LZeq_db"),
    LEVEL(lafmax_db, "LAFmax_db"), LEVEL(lafmin_db, "LAFmin_db"), LEVEL(lasmax_db, "LASmax_db"),
    LEVEL(lcpeak_db, "LCpeak_db"), LEVEL(lae_db, "LAE_db"),       LEVEL(la10_db, "LA10_db"),
    LEVEL(la50_db, "LA50_db"),     LEVEL(la90_db, "LA90_db"),
};

#define REFERENCE(member, key) FIELD_NUMBER_OF(struct at_reference, member, key, 2)
static const struct field reference_fields[] = {
    REFERENCE(laeq_db, "LAeq_db"),
    REFERENCE(background_correction_db, "background_correction_db"),
    REFERENCE(distance_correction_db, "distance_correction_db"),
    REFERENCE(absorption_correction_db, "absorption_correction_db"),
    FIELD_OF(struct at_reference, is_upper_bound, "upper_bound", FIELD_FLAG),
};

#define BAND(member, digits) FIELD_NUMBER_OF(struct band, member, #member, digits)
static const struct field band_fields[] = {
    FIELD_OF(struct band, index, "index", FIELD_INT),
    BAND(nominal_hz, 4),
    BAND(exact_hz, 4),
    BAND(low_hz, 4),
    BAND(high_hz, 4),
    BAND(level_db, 2),
    FIELD_NUMBER_OF(struct band, fmax_db, "LFmax_db", 2),
    FIELD_NUMBER_OF(struct band, smax_db, "LSmax_db", 2),
};

static const struct field band_reference_fields[] = {
    FIELD_NUMBER_OF(struct band_at_reference, background_db, "background_db", 2),
    FIELD_NUMBER_OF(struct band_at_reference, level_db, "at_reference_db", 2),
    FIELD_OF(struct band_at_reference, is_upper_bound, "upper_bound", FIELD_FLAG),
};

static const struct field finding_fields[] = {
    FIELD_OF(struct finding, code, "code", FIELD_BUFFER),
    FIELD_OF(struct finding, text, "text", FIELD_BUFFER),
    FIELD_NUMBER_OF(struct finding, band_hz, "band_hz", 4),
};

#define ROTOR(member, digits) FIELD_NUMBER_OF(struct rotor_figures, member, #member, digits)
static const struct field rotor_fields[] = {
    ROTOR(rpm_measured, 2),
    ROTOR(rpm_uncertainty, 3),
    FIELD_OF(struct rotor_figures, rpm_source, "rpm_source", FIELD_BUFFER),
    ROTOR(blade_shortfall_db, 2),
    ROTOR(unevenness_db, 2),
    ROTOR(belt_slip_pct, 3),
    ROTOR(speed_drift_pct, 4),
    ROTOR(speed_jitter_pct, 4),
};

#define PASSAGE(member, digits) FIELD_NUMBER_OF(struct blade_passage, member, #member, digits)
static const struct field passage_fields[] = {
    FIELD_OF(struct blade_passage, harmonic, "harmonic", FIELD_INT),
    PASSAGE(expected_hz, 3),
    PASSAGE(tolerance_hz, 3),
    PASSAGE(measured_hz, 3),
    PASSAGE(level_db, 2),
    PASSAGE(above_noise_db, 2),
};

#define TONE(member, digits) FIELD_NUMBER_OF(struct tone, member, #member, digits)
static const struct field tone_fields[] = {
    TONE(hz, 3),
    TONE(level_db, 2),
    TONE(above_noise_db, 2),
    TONE(bandwidth_hz, 3),
    FIELD_OF(struct tone, source, "source", FIELD_BUFFER),
    TONE(expected_hz, 3),
    FIELD_OF(struct tone, remark, "remark", FIELD_BUFFER),
    TONE(shaft_order, 4),
    TONE(uncertainty_hz, 4),
    TONE(line_ratio_db, 2),
    TONE(misfit, 3),
    TONE(tone_to_noise_db, 2),
    TONE(prominence_db, 2),
    TONE(audibility_db, 2),
    FIELD_OF(struct tone, is_prominent, "prominent", FIELD_FLAG),
};

#define SHARE(member) FIELD_NUMBER_OF(struct shares, member, #member, 2)
static const struct field share_fields[] = {
    SHARE(blade_pct),
    SHARE(named_pct),
    SHARE(unexplained_pct),
    SHARE(broadband_pct),
};

#define TONALITY(member, digits) FIELD_NUMBER_OF(struct tonality, member, #member, digits)
static const struct field tonality_fields[] = {
    TONALITY(audibility_db, 2),
    TONALITY(audibility_uncertainty_db, 2),
    TONALITY(decisive_hz, 3),
    FIELD_OF(struct tonality, decisive_source, "decisive_source", FIELD_BUFFER),
    FIELD_OF(struct tonality, is_prominent, "prominent", FIELD_FLAG),
    FIELD_OF(struct tonality, criterion, "criterion", FIELD_BUFFER),
    TONALITY(prominent_hz, 3),
    FIELD_OF(struct tonality, prominent_source, "prominent_source", FIELD_BUFFER),
    TONALITY(aures_tu, 4),
};

#define HEARING(member, digits) FIELD_NUMBER_OF(struct hearing_figures, member, #member, digits)
static const struct field hearing_fields[] = {
    HEARING(loudness_stationary_sone, 3), HEARING(loudness_mean_sone, 3),
    HEARING(loudness_max_sone, 3),        HEARING(loudness_n5_sone, 3),
    HEARING(loudness_n10_sone, 3),        HEARING(loudness_level_phon, 2),
    HEARING(sharpness_acum, 4),           HEARING(roughness_asper, 4),
    HEARING(fluctuation_vacil, 4),        HEARING(annoyance, 3),
    HEARING(annoyance_tonal, 3),
};

static const struct field trace_fields[] = {
    FIELD_NUMBER_OF(struct trace, first_hz, "first_hz", 4),
    FIELD_NUMBER_OF(struct trace, line_hz, "line_hz", 6),
};

static const struct field spectrum_fields[] = {
    FIELD_NUMBER_OF(struct spectrum, step_hz, "line_spacing_hz", 6),
    FIELD_NUMBER_OF(struct spectrum, enbw_lines, "noise_bandwidth_lines", 4),
    FIELD_OF(struct spectrum, block_frames, "block_frames", FIELD_COUNT),
    FIELD_OF(struct spectrum, block_count, "block_count", FIELD_COUNT),
};

#define TABLE(of)                                                                                                      \
    {                                                                                                                  \
        of##_fields, sizeof of##_fields / sizeof *of##_fields                                                          \
    }
const struct field_table table_run = TABLE(run);
const struct field_table table_gain = TABLE(gain);
const struct field_table table_level = TABLE(level);
const struct field_table table_reference = TABLE(reference);
const struct field_table table_band = TABLE(band);
const struct field_table table_band_reference = TABLE(band_reference);
const struct field_table table_finding = TABLE(finding);
const struct field_table table_rotor = TABLE(rotor);
const struct field_table table_passage = TABLE(passage);
const struct field_table table_tone = TABLE(tone);
const struct field_table table_share = TABLE(share);
const struct field_table table_tonality = TABLE(tonality);
const struct field_table table_hearing = TABLE(hearing);
const struct field_table table_trace = TABLE(trace);
const struct field_table table_spectrum = TABLE(spectrum);
