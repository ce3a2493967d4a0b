/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/appendix.h"
#include "report/ground_marks.h"
#include "report/show.h"

#include <stdio.h>
#include <string.h>

static void add_pair(struct table *table, const char *name, const char *value)
{
    table_row(table, false);
    table_cell(table, "%s", name);
    table_cell(table, "%s", value);
}

static void add_number(struct table *table, const char *name, double value, int decimals, const char *unit)
{
    if (!is_given(value))
        return;
    table_row(table, false);
    table_cell(table, "%s", name);
    table_cell(table, "%s %s", show(value, decimals).text, unit);
}

static void add_conditions(const struct view *view, struct document *document)
{
    const struct campaign *campaign = view->results->campaign;
    struct table *table = table_new("Conditions, as the campaign says");
    table_column(table, "Condition", true);
    table_column(table, "Value", true);
    if (campaign->date && campaign->date[0])
        add_pair(table, "Date", campaign->date);
    add_number(table, "Reference distance", campaign->reference_distance_m, 2, "m");
    add_number(table, "Air temperature", campaign->air.temperature_c, 1,
               "\xc2\xb0"
               "C");
    add_number(table, "Relative humidity", campaign->air.humidity_pct, 0, "%");
    add_number(table, "Static pressure", campaign->air.pressure_kpa, 1, "kPa");
    add_number(table, "Wind", campaign->air.wind_m_s, 1, "m/s");
    document_table(document, table);
}

static const char *calibration_words(enum calibration_kind kind)
{
    switch (kind) {
    case CALIBRATION_NONE:
        return "none: levels in dBFS";
    case CALIBRATION_RECORDING:
        return "recorded calibrator";
    case CALIBRATION_FULL_SCALE:
        return "level of full scale, as given";
    case CALIBRATION_SENSITIVITY:
        return "sensitivity, as given";
    }
    return "";
}

static void add_microphones(const struct view *view, struct document *document)
{
    const struct campaign *campaign = view->results->campaign;
    struct table *table = table_new("Microphones");
    table_column(table, "Microphone", true);
    table_column(table, "Distance, m", false);
    table_column(table, "Angle, \xc2\xb0 (90: rotor's plane)", false);
    table_column(table, "Height, m", false);
    table_column(table, "Source height, m", false);
    table_column(table, "Class (IEC 61672-1)", false);
    table_column(table, "Background", true);
    table_column(table, "Calibration", true);
    for (size_t i = 0; i < campaign->microphone_count; i++) {
        const struct microphone *microphone = &campaign->microphones[i];
        table_row(table, false);
        table_cell(table, "%s", microphone->name);
        table_cell(table, "%s", show(microphone->distance_m, 2).text);
        table_cell(table, "%s", show(microphone->angle_deg, 0).text);
        table_cell(table, "%s", show(microphone->height_m, 2).text);
        table_cell(table, "%s", show(microphone->source_height_m, 2).text);
        table_cell(table, "%s",
                   microphone->meter_class > 0 ? (microphone->meter_class == 1 ? "1" : "2") : "\xe2\x80\x93");
        table_cell(table, "%s", microphone->background ? microphone->background : "none recorded");
        table_cell(table, "%s", calibration_words(microphone->calibration.kind));
    }
    document_table(document, table);
}

/* Which of two calibrator recordings is used (recording/gain.h). */
static void add_drift_words(const struct view *view, struct document *document)
{
    bool any = false;
    for (size_t i = 0; i < view->results->run_count; i++)
        any = any || is_given(view->results->runs[i].gain_drift_db);
    if (any)
        document_add(document, BLOCK_QUIET,
                     "The gain is that of the calibrator recorded before the runs, for all of them. Drift: the "
                     "calibrator recorded after them, less the one before; levels are not corrected by it, but it is "
                     "part of the uncertainty (a rectangle of that half width).");
}

static bool are_of_one_gain(const struct run_result *a, const struct run_result *b)
{
    return strcmp(a->gain_source, b->gain_source) == 0 &&
           strcmp(a->microphone ? a->microphone : "", b->microphone ? b->microphone : "") == 0;
}

/* Each gain of each microphone once, with what the calibration recordings gave. */
static void add_gains(const struct view *view, struct document *document)
{
    struct table *table = table_new("Calibration, as found");
    table_column(table, "Microphone", true);
    table_column(table, "From", true);
    table_column(table, "Full-scale sine, dB re 20 \xc2\xb5Pa", false);
    table_column(table, "Standard uncertainty, dB", false);
    table_column(table, "Drift, dB", false);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        bool is_new = run->gain_source[0] != '\0';
        for (size_t k = 0; k < i && is_new; k++)
            is_new = !are_of_one_gain(&view->results->runs[k], run);
        if (!is_new)
            continue;
        table_row(table, false);
        table_cell(table, "%s", run->microphone ? run->microphone : "");
        table_cell(table, "%s", run->gain_source);
        table_cell(table, "%s", show(run->full_scale_sine_db, 2).text);
        table_cell(table, "%s", show(run->gain_uncertainty_db, 2).text);
        table_cell(table, "%s", show_signed(run->gain_drift_db, 2).text);
    }
    document_table(document, table);
    add_drift_words(view, document);
    for (size_t i = 0; i < view->results->run_count; i++)
        if (!view->results->runs[i].is_absolute && !view->results->runs[i].error[0]) {
            document_add(document, BLOCK_WARNING,
                         "Some or all recordings have no calibration. Their levels are in dBFS (0 dBFS: the rms of a "
                         "full-scale sine), not sound pressure levels: only differences between recordings of the same "
                         "microphone at the same gain and place mean anything.");
            break;
        }
}

static void add_variants(const struct view *view, struct document *document)
{
    struct table *table = table_new("Rotors");
    table_column(table, "Rotor", true);
    table_column(table, "Title", true);
    table_column(table, "Blades", false);
    table_column(table, "Rotors", false);
    table_column(table, "Diameter, mm", false);
    table_column(table, "Drive", true);
    table_column(table, "Drive ratio", false);
    table_column(table, "Motor pole pairs", false);
    for (size_t v = 0; v < view_variant_count(view); v++) {
        const struct variant *variant = view_variant(view, v);
        table_row(table, false);
        table_cell(table, "%s", variant->name);
        table_look(table, view_look(view, v));
        table_cell(table, "%s", variant->title ? variant->title : "");
        table_cell(table, "%d", variant->blades);
        table_cell(table, "%d", variant->rotors);
        table_cell(table, "%s", show(variant->diameter_mm, 0).text);
        table_cell(table, "%s", show_drive(variant));
        table_cell(table, "%s", show(variant_drive_ratio(variant), 3).text);
        if (variant->motor_pole_pairs > 0)
            table_cell(table, "%d", variant->motor_pole_pairs);
        else
            table_cell(table, "\xe2\x80\x93");
    }
    appendix_table(document, table, "campaign.yaml");
}

static const char *const method[] = {
    "Levels: A, C and Z weighting, F and S time weighting and C peak by the formulae of IEC 61672-1:2013; levels are "
    "energy "
    "means over the used part of each recording.",
    "Third octaves: IEC 61260-1:2014, base ten, named by their nominal mid-frequencies (ISO 266).",
    "Spectra: averaged transforms with a Hann window and half overlap; a line shows the mean square of a tone that "
    "falls on "
    "it.",
    "To the reference distance: background taken off by band as K1 of ISO 3744:2010, spreading 20 lg of the distance "
    "(free "
    "field), air absorption to ISO 9613-1:1993 where it matters. Within 6 dB of the background a level is an upper "
    "bound.",
    "Tones: peaks of the spectrum over the noise beside them, matched with the lines that blades, shafts, belt or "
    "gears, "
    "bearings, motor and mains must make at the speed found in the sound.",
    "Hearing: loudness to ISO 532-1:2017, sharpness to DIN 45692:2009, tone-to-noise and prominence ratio to "
    "ECMA-418-1, tonal "
    "audibility to ISO/PAS 20065:2016 with the adjustment of ISO 1996-2:2017; roughness, fluctuation strength and "
    "psychoacoustic annoyance by published models (Fastl and Zwicker; Di and others for tonality).",
    "Comparison: fits of each rotor's runs against the operating point, differences only inside the range that both "
    "were "
    "measured in, 95 % intervals by Student's t and the GUM (JCGM 100:2008).",
};

static const char *const not_claimed[] = {
    "No sound power level: one or few microphones, no measurement surface of ISO 3744.",
    "No class of the recording chain: the formulae are of class 1 accuracy, the microphone and recorder are as good as "
    "they "
    "are.",
    "No noise label, type approval, rating level or certification of any kind.",
    "Nothing about other places: ground, walls, wind and the drone's body change what is heard.",
};

void section_method(const struct view *view, struct document *document)
{
    document_section(document, "method", "Conditions, calibration, method");
    add_conditions(view, document);
    add_variants(view, document);
    add_microphones(view, document);
    ground_marks_list(view, document);
    add_gains(view, document);
    document_add(document, BLOCK_HEADING, "Method in short");
    for (size_t i = 0; i < sizeof method / sizeof *method; i++)
        document_add(document, BLOCK_ITEM, "%s", method[i]);
    document_add(document, BLOCK_HEADING, "What is not claimed");
    for (size_t i = 0; i < sizeof not_claimed / sizeof *not_claimed; i++)
        document_add(document, BLOCK_ITEM, "%s", not_claimed[i]);
}
