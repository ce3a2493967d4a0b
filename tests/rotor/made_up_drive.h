/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_MADE_UP_DRIVE_H
#define THRUM_TESTS_ROTOR_MADE_UP_DRIVE_H

/* Made-up belt and gear drives from a seed, each with 3 to 8 tones of its parts and up to two plants that no part
 * makes. The frequency of each tone is worked out here from teeth, poles and balls, apart from the code under test. */

#include "base/absent.h"
#include "base/units.h"
#include "rotor/rotor.h"
#include "sound.h"

#define DRIVE_RATE_HZ 44100.0
#define DRIVE_LENGTH_S 4.0
#define DRIVE_BLOCK 65536
#define DRIVE_TONES_MAX 12
#define DRIVE_APART_HZ 5.0 /* tones nearer than this are not put side by side */

struct planted {
    double hz;
    char source[SOURCE_TEXT_MAX];
};

struct made_up_drive {
    struct variant variant;
    struct bearing bearing;
    char bearing_name[8];
    double rpm, log_off;
    struct planted tones[DRIVE_TONES_MAX];
    int tone_count;
    struct sound sound;
};

static inline bool drive_put(struct made_up_drive *drive, struct dice *dice, double hz, double pa, const char *source)
{
    if (drive->tone_count >= DRIVE_TONES_MAX || hz < 25 || hz > 0.4 * DRIVE_RATE_HZ)
        return false;
    for (int i = 0; i < drive->tone_count; i++)
        if (fabs(drive->tones[i].hz - hz) < DRIVE_APART_HZ)
            return false;
    struct planted *tone = &drive->tones[drive->tone_count++];
    tone->hz = hz;
    snprintf(tone->source, sizeof tone->source, "%s", source);
    sound_add_tone(&drive->sound, hz, pa, dice_between(dice, 0, 2 * PI), 0);
    return true;
}

/* One more tone of some part. */
static inline void drive_put_part(struct made_up_drive *drive, struct dice *dice)
{
    const struct variant *v = &drive->variant;
    bool is_belt = v->drive == DRIVE_BELT;
    double shaft_hz = rpm_to_hz(drive->rpm);
    int motor_teeth = is_belt ? v->motor_pulley_teeth : v->motor_gear_teeth;
    int rotor_teeth = is_belt ? v->rotor_pulley_teeth : v->rotor_gear_teeth;
    double motor_hz = shaft_hz * rotor_teeth / motor_teeth;
    double pa = db_to_amplitude_ratio(dice_between(dice, -15, 5));
    int number = dice_whole(dice, 1, 2);
    char source[SOURCE_TEXT_MAX];
    switch (dice_whole(dice, 0, 6)) {
    case 0:
        snprintf(source, sizeof source, "%s %d", is_belt ? "belt mesh" : "gear mesh", number);
        drive_put(drive, dice, number * rotor_teeth * shaft_hz, pa, source);
        break;
    case 1:
        snprintf(source, sizeof source, "motor shaft %d", number);
        drive_put(drive, dice, number * motor_hz, pa, source);
        break;
    case 2: {
        static const int multiples[] = { 1, 2, 6 };
        int multiple = multiples[dice_whole(dice, 0, 2)];
        snprintf(source, sizeof source, "motor electrical %d", multiple);
        drive_put(drive, dice, multiple * v->motor_pole_pairs * motor_hz, pa, source);
        break;
    }
    case 3:
        snprintf(source, sizeof source, "shaft %d", 1);
        drive_put(drive, dice, shaft_hz, pa, source);
        break;
    case 4:
        if (is_belt) {
            snprintf(source, sizeof source, "belt turn %d", number);
            drive_put(drive, dice, number * rotor_teeth * shaft_hz / v->belt_teeth, pa, source);
        }
        break;
    case 5:
        snprintf(source, sizeof source, "mains %d", number);
        drive_put(drive, dice, 50.0 * number * dice_between(dice, 0.9995, 1.0005), pa, source);
        break;
    case 6: {
        double g = drive->bearing.ball_mm / drive->bearing.pitch_mm;
        double slip = dice_between(dice, 0.985, 1.0);
        double outer_hz =
            drive->bearing.balls * (1 - g) / 2 * slip * (drive->bearing.shaft == SHAFT_MOTOR ? motor_hz : shaft_hz);
        for (int multiple = 1; multiple <= 3; multiple++) {
            snprintf(source, sizeof source, "bearing %s outer %d", drive->bearing_name, multiple);
            drive_put(drive, dice, multiple * outer_hz, pa, source);
        }
        break;
    }
    }
}

static inline void made_up_drive(uint64_t seed, struct made_up_drive *drive)
{
    struct dice dice = { seed * 104729 + 5 };
    *drive = (struct made_up_drive){ .rpm = exp(dice_between(&dice, log(900), log(6000))) };
    struct variant *variant = &drive->variant;
    variant_init(variant);
    variant->blades = dice_whole(&dice, 2, 6);
    variant->drive = dice_uniform(&dice) < 0.5 ? DRIVE_BELT : DRIVE_GEAR;
    variant->motor_pulley_teeth = variant->motor_gear_teeth = dice_whole(&dice, 10, 24);
    variant->rotor_pulley_teeth = variant->rotor_gear_teeth = dice_whole(&dice, 30, 90);
    variant->belt_teeth = dice_whole(&dice, 100, 200);
    variant->motor_pole_pairs = dice_whole(&dice, 4, 11);
    variant->motor_slots = 12;
    snprintf(drive->bearing_name, sizeof drive->bearing_name, "front");
    drive->bearing = (struct bearing){ .name = drive->bearing_name,
                                       .shaft = dice_uniform(&dice) < 0.5 ? SHAFT_ROTOR : SHAFT_MOTOR,
                                       .balls = dice_whole(&dice, 6, 9),
                                       .ball_mm = 3.2,
                                       .pitch_mm = dice_between(&dice, 12, 16) };
    variant->bearings = &drive->bearing;
    variant->bearing_count = 1;
    drive->log_off = dice_between(&dice, -0.015, 0.015);
    drive->sound = sound_silence(DRIVE_RATE_HZ, DRIVE_LENGTH_S);
    /* 0 dB is 20 dB above the noise in a critical band of 100 Hz. */
    sound_add_noise(&drive->sound, 1e-4, &dice);
    int wanted = dice_whole(&dice, 3, 8), blade_tones = dice_whole(&dice, 2, wanted < 4 ? wanted : 4);
    for (int number = 1; number <= blade_tones; number++) {
        char source[SOURCE_TEXT_MAX];
        snprintf(source, sizeof source, "blade %d", number);
        drive_put(drive, &dice, number * variant->blades * rpm_to_hz(drive->rpm),
                  db_to_amplitude_ratio(-4 * number + dice_between(&dice, 0, 6)), source);
    }
    for (int tries = 0; tries < 20 && drive->tone_count < wanted; tries++)
        drive_put_part(drive, &dice);
    int plants = dice_whole(&dice, 0, 2);
    for (int i = 0; i < plants; i++)
        drive_put(drive, &dice, exp(dice_between(&dice, log(150), log(9000))),
                  db_to_amplitude_ratio(dice_between(&dice, -15, 5)), "unexplained");
}

#endif
