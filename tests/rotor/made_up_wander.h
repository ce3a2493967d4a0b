/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_MADE_UP_WANDER_H
#define THRUM_TESTS_ROTOR_MADE_UP_WANDER_H

/* Made-up rotors whose speed wanders by 1 to 3 % from least to most through the recording, from a seed: two sines of
 * 0.2 to 1 Hz about the mean. Else as in made_up.h, 2 to 4 blades, the strongest blade tone 10 to 30 dB above the noise
 * in its critical band. Also ramps of the speed by a given range. */

#include "made_up.h"

#define WANDER_LENGTH_S 4.0

enum ramp_shape { RAMP_EVEN, RAMP_EASED, RAMP_SAGGING };

struct course {
    double hz[2], phase[2], share[2]; /* of the speed's relative course: two sines */
    double ramp;                      /* from start to end, share of the mean */
    enum ramp_shape shape;
};

/* From 0 at the start to 1 at the end: a straight line, a half turn of a cosine, an exponential that levels off. */
static inline double ramp_at(enum ramp_shape shape, double x)
{
    switch (shape) {
    case RAMP_EVEN:
        return x;
    case RAMP_EASED:
        return (1 - cos(PI * x)) / 2;
    case RAMP_SAGGING:
        return (1 - exp(-2 * x)) / (1 - exp(-2.0));
    }
    return x;
}

static inline double course_at(const struct course *course, double time_s)
{
    double sum = course->ramp * ramp_at(course->shape, time_s / WANDER_LENGTH_S);
    for (int i = 0; i < 2; i++)
        sum += course->share[i] * sin(2 * PI * course->hz[i] * time_s + course->phase[i]);
    return sum;
}

static inline double course_mean(const struct course *course)
{
    double mean = 0;
    for (int i = 0; i < 1000; i++)
        mean += course_at(course, WANDER_LENGTH_S * (i + 0.5) / 1000) / 1000;
    return mean;
}

/* Change of the least-squares straight line from start to end: 12 times the mean of (x - 1/2) times the course. */
static inline double course_drift(const struct course *course)
{
    double sum = 0;
    for (int i = 0; i < 1000; i++) {
        double x = (i + 0.5) / 1000;
        sum += (x - 0.5) * course_at(course, WANDER_LENGTH_S * x) / 1000;
    }
    return 12 * sum;
}

/* Two sines whose range is `range`, by samples a thousandth of the recording apart. */
static inline struct course course_of_dice(struct dice *dice, double range)
{
    struct course course = { .ramp = 0 };
    for (int i = 0; i < 2; i++) {
        course.hz[i] = dice_between(dice, 0.2, 1);
        course.phase[i] = dice_between(dice, 0, 2 * PI);
        course.share[i] = dice_between(dice, 0.3, 1);
    }
    double least = HUGE_VAL, most = -HUGE_VAL;
    for (int i = 0; i <= 1000; i++) {
        double at = course_at(&course, WANDER_LENGTH_S * i / 1000);
        least = fmin(least, at);
        most = fmax(most, at);
    }
    for (int i = 0; i < 2; i++)
        course.share[i] *= range / (most - least);
    return course;
}

struct wandering {
    struct made_up rotor; /* rpm: the mean through the recording */
    double range;
    double drift; /* of a ramp: change of the straight line fitted to the speed, share of the mean */
};

/* The rotor's tones along a course; the course's mean is taken out. */
static inline void wandering_add(struct wandering *made, struct dice *dice, const struct course *course)
{
    double mean = course_mean(course);
    struct sound *sound = &made->rotor.sound;
    int blades = made->rotor.blades, last = 8 * blades;
    double *pa = must(calloc((size_t)last + 1, sizeof *pa)), *phase = must(calloc((size_t)last + 1, sizeof *phase));
    double fall_db = dice_between(dice, 2, 8), shaft_hz = rpm_to_hz(made->rotor.rpm);
    for (int order = 1; order <= last; order++) {
        double level_db = -fall_db * fmax((double)order / blades - 1, 0);
        level_db += order > blades ? dice_between(dice, -3, 3) : 0;
        pa[order] = sqrt(2) * db_to_amplitude_ratio(level_db) * (order % blades == 0 ? 1 : made->rotor.unequal);
        phase[order] = dice_between(dice, 0, 2 * PI);
        if (shaft_hz * order > 0.4 * sound->rate_hz)
            last = order - 1;
    }
    double turns = 0;
    for (size_t i = 0; i < sound->count; i++) {
        struct phasor shaft = phasor_at(turns), now = { 1, 0 };
        for (int order = 1; order <= last; order++) {
            now = phasor_times(now, shaft);
            if (pa[order] > 0)
                sound->pa[i] += pa[order] * (now.imaginary * cos(phase[order]) + now.real * sin(phase[order]));
        }
        turns += shaft_hz * (1 + course_at(course, (double)i / sound->rate_hz) - mean) / sound->rate_hz;
    }
    free(pa);
    free(phase);
}

/* All but the speed's course, which has the range `range`. */
static inline struct wandering wandering_begin(struct dice *dice, double range)
{
    struct wandering made = { .range = range };
    made.rotor = (struct made_up){ .rpm = exp(dice_between(dice, log(1500), log(9000))),
                                   .blades = dice_whole(dice, 2, 4),
                                   .above_noise_db = dice_between(dice, 10, 30),
                                   .sound = sound_silence(22050, WANDER_LENGTH_S) };
    made.rotor.unequal = dice_uniform(dice) < 0.5 ? 0 : db_to_amplitude_ratio(dice_between(dice, -40, -15));
    double base_hz = rpm_to_hz(made.rotor.rpm) * made.rotor.blades;
    double density = 1 / db_to_power_ratio(made.rotor.above_noise_db) / made_up_critical_hz(base_hz);
    sound_add_noise(&made.rotor.sound, density, dice);
    made_up_foreign(&made.rotor, dice);
    return made;
}

static inline struct wandering made_up_wandering(uint64_t seed)
{
    struct dice dice = { seed * 6007 + 29 };
    double range = dice_between(&dice, 0.01, 0.03);
    struct wandering made = wandering_begin(&dice, range);
    struct course course = course_of_dice(&dice, made.range);
    wandering_add(&made, &dice, &course);
    return made;
}

/* A ramp from start to end by `ramp` of the mean, of one of three shapes, with a wander of 0.3 % on it. */
static inline struct wandering made_up_ramp(uint64_t seed, double ramp)
{
    struct dice dice = { seed * 9337 + 41 };
    struct wandering made = wandering_begin(&dice, fabs(ramp));
    struct course course = course_of_dice(&dice, 0.003);
    course.ramp = ramp;
    made.rotor.log_off = dice_between(&dice, -0.015, 0.015);
    course.shape = (enum ramp_shape)dice_whole(&dice, RAMP_EVEN, RAMP_SAGGING);
    made.drift = course_drift(&course);
    wandering_add(&made, &dice, &course);
    return made;
}

/* The rotor of a sound as told with a log of `log_rpm`; ABSENT: none. */
static inline struct rotor_figures with_log(const struct sound *sound, int blades, double log_rpm)
{
    struct figures figures;
    figures_init(&figures);
    size_t block = 65536;
    while (5 * (block / 2) > sound->count) /* as the spectrum meter does */
        block /= 2;
    figures.spectrum = sound_spectrum(sound, block);
    struct sound_file file = sound_file_open(sound, NULL);
    struct findings findings = { 0 };
    struct rotor_figures out = made_up_explain(&figures, &file, blades, log_rpm, &findings);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    return out;
}

static inline struct rotor_figures without_log(const struct sound *sound, int blades)
{
    return with_log(sound, blades, ABSENT);
}

#endif
