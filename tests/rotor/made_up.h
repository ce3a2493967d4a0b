/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_MADE_UP_H
#define THRUM_TESTS_ROTOR_MADE_UP_H

/* Made-up rotors from a seed: 900 to 14000 rev/min, 2 to 6 blades, the strongest blade tone 6 to 30 dB above the noise
 * in its critical band, speed drifting by up to 0.5 % through the recording, some unequal blades, some foreign tones.
 * The suite runs a few, tests/bench/rotor hundreds, with the scores counted the same way. */

#include "base/absent.h"
#include "base/units.h"
#include "file.h"
#include "rotor/rotor.h"
#include "sound.h"

#define MADE_UP_RATE_HZ 44100.0
#define MADE_UP_LENGTH_S 5.0
#define MADE_UP_BLOCK 65536

struct made_up {
    double rpm; /* mean over the recording */
    int blades;
    double above_noise_db, drift;
    double unequal; /* amplitude of the other shaft orders beside the blade orders */
    double log_off; /* share, up to 1.5 % */
    struct sound sound;
};

/* ECMA-418-1 clause 10, typed in again: this file shares nothing with what it tests. */
static inline double made_up_critical_hz(double hz)
{
    return 25 + 75 * pow(1 + 1.4e-6 * hz * hz, 0.69);
}

static inline void made_up_foreign(struct made_up *rotor, struct dice *dice)
{
    int count = dice_whole(dice, 0, 3);
    for (int i = 0; i < count; i++) {
        double hz = exp(dice_between(dice, log(200), log(8000)));
        sound_add_tone(&rotor->sound, hz, db_to_amplitude_ratio(dice_between(dice, -30, -5)), dice_between(dice, 0, 6),
                       0);
    }
    if (dice_uniform(dice) < 0.3)
        for (int multiple = 1; multiple <= 3; multiple++)
            sound_add_tone(&rotor->sound, 50.0 * multiple, db_to_amplitude_ratio(dice_between(dice, -40, -15)), 0, 0);
}

/* `with_rotor` false leaves the noise and the foreign tones. */
static inline struct made_up made_up_rotor(uint64_t seed, bool with_rotor)
{
    struct dice dice = { seed * 7919 + 17 };
    struct made_up rotor = { .rpm = exp(dice_between(&dice, log(900), log(14000))), .blades = dice_whole(&dice, 2, 6) };
    rotor.above_noise_db = dice_between(&dice, 6, 30);
    rotor.drift = dice_between(&dice, -0.005, 0.005);
    rotor.log_off = dice_between(&dice, -0.015, 0.015);
    rotor.unequal = dice_uniform(&dice) < 0.5 ? 0 : db_to_amplitude_ratio(dice_between(&dice, -40, -15));
    rotor.sound = sound_silence(MADE_UP_RATE_HZ, MADE_UP_LENGTH_S);
    double base_hz = rpm_to_hz(rotor.rpm) * rotor.blades;
    double density = 1 / db_to_power_ratio(rotor.above_noise_db) / made_up_critical_hz(base_hz);
    sound_add_noise(&rotor.sound, density, &dice);
    made_up_foreign(&rotor, &dice);
    double fall_db = dice_between(&dice, 2, 10);
    for (int order = 1; with_rotor && order <= 12 * rotor.blades; order++) {
        double hz = rpm_to_hz(rotor.rpm) * order;
        double level_db = -fall_db * fmax((double)order / rotor.blades - 1, 0);
        if (order > rotor.blades)
            level_db += dice_between(&dice, -3, 3);
        double pa = db_to_amplitude_ratio(level_db) * (order % rotor.blades == 0 ? 1 : rotor.unequal);
        if (pa > 0 && hz < 0.4 * MADE_UP_RATE_HZ)
            sound_add_tone(&rotor.sound, hz, pa, dice_between(&dice, 0, 2 * PI), rotor.drift);
    }
    return rotor;
}

/* The rotor as explained with a variant of `blades` and a log of `log_rpm` (ABSENT: none). Second passes read `file`;
 * NULL leaves them out. */
static inline struct rotor_figures made_up_explain(const struct figures *figures, struct sound_file *file, int blades,
                                                   double log_rpm, struct findings *findings)
{
    struct variant variant;
    variant_init(&variant);
    variant.blades = blades;
    struct rotor_log log = { log_rpm, ABSENT, ABSENT, ABSENT, -1, ABSENT };
    struct rotor_figures out;
    struct err err = { 0 };
    if (!rotor_explain(&variant, &log, figures, file ? &file->pressure : NULL, &out, findings, &err)) {
        fprintf(stderr, "not explained: %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    return out;
}

#endif
