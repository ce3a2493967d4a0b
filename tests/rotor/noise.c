/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/rotor.h"

/* The rule of false alarms: at most 2 % of recordings of noise alone hold any tone. The noise is coloured as that of
 * rotors outdoors: wind rising towards low frequencies above a recorder's low cut, falling again above some kHz. */

#define RATE_HZ 8000.0
#define RECORDINGS 200

/* Lets `share` of the sound pass a first-order low-pass, the rest as it is. */
static void low_pass(struct sound *sound, double hz, double share)
{
    double keep = exp(-2 * PI * hz / sound->rate_hz), low = 0;
    for (size_t i = 0; i < sound->count; i++) {
        low = keep * low + (1 - keep) * sound->pa[i];
        sound->pa[i] = (1 - share) * sound->pa[i] + share * low;
    }
}

static void high_pass(struct sound *sound, double hz)
{
    double keep = exp(-2 * PI * hz / sound->rate_hz), low = 0;
    for (size_t i = 0; i < sound->count; i++) {
        low = keep * low + (1 - keep) * sound->pa[i];
        sound->pa[i] -= low;
    }
}

static struct sound rotor_noise(struct dice *dice, double length_s)
{
    struct sound sound = sound_silence(RATE_HZ, length_s);
    sound_add_noise(&sound, 1e-8, dice);
    low_pass(&sound, exp(dice_between(dice, log(20), log(300))), dice_between(dice, 0.9, 0.999));
    if (dice_uniform(dice) < 0.5)
        low_pass(&sound, exp(dice_between(dice, log(20), log(100))), dice_between(dice, 0.9, 0.999));
    low_pass(&sound, 1500, dice_uniform(dice));
    double cut_hz = dice_between(dice, 5, 20);
    int order = dice_whole(dice, 1, 6);
    for (int i = 0; i < order; i++)
        high_pass(&sound, cut_hz);
    return sound;
}

static bool holds_tone(unsigned seed, double length_s)
{
    struct dice dice = { seed };
    struct sound sound = rotor_noise(&dice, length_s);
    size_t block = 8192;
    while (5 * (block / 2) > sound.count) /* as the spectrum meter does */
        block /= 2;
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, block);
    struct sound_file file = sound_file_open(&sound, NULL);
    struct variant variant;
    variant_init(&variant);
    variant.blades = dice_whole(&dice, 2, 5);
    variant.drive = DRIVE_BELT;
    variant.motor_pulley_teeth = 16;
    variant.rotor_pulley_teeth = 60;
    variant.belt_teeth = 90;
    double rpm = exp(dice_between(&dice, log(900), log(9000)));
    struct rotor_log with = { rpm, ABSENT, ABSENT, ABSENT, -1, ABSENT };
    struct rotor_figures out;
    struct findings findings = { 0 };
    struct err err = { 0 };
    bool has_log = dice_uniform(&dice) < 0.7;
    if (!rotor_explain(&variant, has_log ? &with : NULL, &figures, &file.pressure, &out, &findings, &err)) {
        printf("Bail out! %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    bool is_any = out.tone_count > 0 || is_given(out.rpm_measured);
    for (size_t i = 0; i < out.tone_count; i++)
        printf("# seed %u: %.2f Hz, %.1f dB in its line, %s\n", seed, out.tones[i].hz, out.tones[i].line_ratio_db,
               out.tones[i].source);
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(sound.pa);
    return is_any;
}

int main(void)
{
    static const double lengths_s[] = { 3, 10 };
    for (size_t i = 0; i < 2; i++) {
        unsigned held = 0;
        for (unsigned seed = 0; seed < RECORDINGS; seed++)
            held += holds_tone(3000 + seed, lengths_s[i]);
        tap_ok(held <= RECORDINGS / 50, "%.0f s of noise: %u of %u recordings hold a tone or tell a speed (at most %u)",
               lengths_s[i], held, RECORDINGS, RECORDINGS / 50);
    }
    return tap_done();
}
