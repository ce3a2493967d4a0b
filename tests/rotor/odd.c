/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/rotor.h"

/* Recordings at the edges: rates from 8 to 384 kHz, some hundred frames to seconds, silence, an offset, one tone,
 * noise, a rotor; with everything known of the drive and with nothing. Whatever comes out is finite or absent, shares
 * add up, tones are in order; nothing fails. Also a logged speed without a blade count, where orders of the shaft stand
 * too little above each other to tell the count. */

static struct err err;

enum content { SILENCE, OFFSET, ONE_TONE, NOISE, ROTOR, UNEQUAL_BLADES, CONTENTS };

static void fill(struct sound *sound, enum content content, struct dice *dice)
{
    for (size_t i = 0; content == OFFSET && i < sound->count; i++)
        sound->pa[i] = 0.5;
    if (content == ONE_TONE)
        sound_add_tone(sound, 0.11 * sound->rate_hz, 1, 0, 0);
    if (content == NOISE || content == ROTOR || content == UNEQUAL_BLADES)
        sound_add_noise(sound, 1e-7, dice);
    for (int number = 1; content == ROTOR && number <= 8; number++)
        sound_add_tone(sound, 150.3 * number, 0.1 / number, number, 0.002);
    for (int order = 1; content == UNEQUAL_BLADES && order <= 12; order++)
        sound_add_tone(sound, 75.15 * order, order % 2 ? 0.07 : 0.1, order, 0.002);
}

static bool is_sound(const struct rotor_figures *out, double rate_hz)
{
    double last_hz = 0;
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        if (!(tone->hz >= last_hz && tone->hz <= rate_hz / 2 && isfinite(tone->level_db) && tone->bandwidth_hz > 0 &&
              isfinite(tone->above_noise_db) && tone->source[0] != '\0'))
            return false;
        last_hz = tone->hz;
    }
    for (size_t i = 0; i < out->blade_passage_count; i++)
        if ((out->blade_passages[i].verdict != BLADE_ABSENT) != is_given(out->blade_passages[i].measured_hz))
            return false;
    const struct shares *shares = &out->shares;
    double sum = shares->blade_pct + shares->named_pct + shares->unexplained_pct + shares->broadband_pct;
    return !is_given(sum) || fabs(sum - 100) < 1e-6;
}

static void explain(const struct sound *sound, const struct variant *variant, double log_rpm, const char *what)
{
    struct figures figures;
    figures_init(&figures);
    size_t block = 256;
    while (sound->rate_hz / (double)block > 1 && 5 * block <= sound->count)
        block *= 2;
    figures.spectrum = sound_spectrum(sound, block);
    double *tach = must(calloc(sound->count, sizeof *tach));
    for (size_t i = 0; i < sound->count; i++)
        tach[i] = fmod(75.15 * (double)i / sound->rate_hz, 1) < 0.2;
    struct sound_file file = sound_file_open(sound, tach);
    for (int with_tach = 0; with_tach <= 1; with_tach++) {
        struct rotor_log log = { log_rpm, ABSENT, 20000, 11.1, with_tach ? 1 : -1, 1 };
        struct rotor_figures out;
        struct findings findings = { 0 };
        bool is_ok = rotor_explain(variant, &log, &figures, &file.pressure, &out, &findings, &err);
        tap_ok(is_ok && is_sound(&out, sound->rate_hz), "%s, %zu frames at %.0f Hz, log %.0f%s%s", what, sound->count,
               sound->rate_hz, log_rpm, with_tach ? ", tachometer" : "",
               !variant               ? ", nothing known"
               : variant->blades == 0 ? ", no blade count"
                                      : "");
        if (is_ok)
            rotor_figures_clear(&out);
        findings_clear(&findings);
    }
    sound_file_close(&file);
    free(tach);
    figures_clear(&figures);
}

int main(void)
{
    static const double rates_hz[] = { 8000, 44100, 384000 };
    static const double lengths_s[] = { 0.04, 0.3, 1.1 };
    static const char *const names[] = { "silence", "an offset", "one tone", "noise", "a rotor", "unequal blades" };
    char front[] = "front", back[] = "back";
    struct bearing bearings[] = {
        { .name = front, .shaft = SHAFT_ROTOR, .balls = 7, .ball_mm = 3.969, .pitch_mm = 15, .contact_deg = 0 },
        { .name = back, .shaft = SHAFT_MOTOR, .balls = 9, .ball_mm = 2, .pitch_mm = 12, .contact_deg = 15 },
    };
    struct variant variant, uncounted;
    variant_init(&uncounted);
    variant_init(&variant);
    variant.blades = 2;
    variant.rotors = 4;
    variant.struts = 3;
    variant.motor_pole_pairs = 7;
    variant.motor_slots = 12;
    variant.motor_pwm_hz = 24000;
    variant.motor_kv_rpm_v = 400;
    variant.drive = DRIVE_BELT;
    variant.motor_pulley_teeth = 12;
    variant.rotor_pulley_teeth = 60;
    variant.belt_teeth = 130;
    variant.bearings = bearings;
    variant.bearing_count = 2;
    for (size_t r = 0; r < 3; r++)
        for (size_t l = 0; l < 3; l++)
            for (int content = 0; content < CONTENTS; content++) {
                struct dice dice = { 100 + r + 10 * l };
                struct sound sound = sound_silence(rates_hz[r], lengths_s[l]);
                fill(&sound, (enum content)content, &dice);
                explain(&sound, &variant, 4500, names[content]);
                explain(&sound, NULL, ABSENT, names[content]);
                explain(&sound, &uncounted, 4500, names[content]);
                free(sound.pa);
            }
    return tap_done();
}
