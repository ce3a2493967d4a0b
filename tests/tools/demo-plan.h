/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TOOLS_DEMO_PLAN_H
#define THRUM_TOOLS_DEMO_PLAN_H

/* The invented campaign of recordings-demo/: three rotors of a reed-bed survey drone, the laws that their sound
 * follows, and what was recorded. Levels are dB re 20 uPa at the microphone, 3 m from the hub in the rotor's plane;
 * densities are dB re (20 uPa)^2/Hz. Everything is made up; the shapes follow common rules: blade harmonics that fall
 * off, broadband noise as a haystack that grows with 60 lg n (its density with 50 lg n, for its width grows with n),
 * thrust with n^2, power with n^3. */

#include <stdbool.h>
#include <stddef.h>

#define DEMO_SAMPLE_RATE_HZ 44100

/* A run, as cut from a longer recording in an editor: faded in, then steady to its end. The sound repeats after its
 * period, so that over any whole period of the steady part its power is known to the last digit. The log of some runs
 * names DEMO_START_S to the end as the part to use, one period; in the others the steady part is to be found. */
#define DEMO_PERIOD_S 4
#define DEMO_FADE_S 0.1
#define DEMO_START_S 0.5
#define DEMO_END_S (DEMO_START_S + DEMO_PERIOD_S)

/* What was recorded beside the runs is one period of its own, without fades. */
#define DEMO_BACKGROUND_S 4
#define DEMO_CALIBRATOR_S 2
#define DEMO_BLADE_HARMONICS_MAX 8

/* A haystack of noise: density(f) = 2 peak / ((peak_hz / f)^low_exponent + (f / peak_hz)^high_exponent). */
struct demo_haystack {
    double peak_density_db, peak_hz, low_exponent, high_exponent;
};

/* A tone tied to the rotor shaft that no blade makes. */
struct demo_part {
    const char *source; /* as thrum names it; NULL: the rotor has none */
    double rotor_order, level_db, db_per_decade;
};

struct demo_variant {
    const char *name;
    int blades;
    double reference_rpm; /* where the levels below hold */
    double thrust_n_per_rpm2, power_w_per_rpm3;
    double blade_db[DEMO_BLADE_HARMONICS_MAX]; /* harmonic 1 first; 0: no more */
    double blade_db_per_decade;
    double unevenness_pct; /* how much stronger one of two blades is than the other: shaft orders appear */
    struct demo_haystack noise;
    struct demo_part part;
    double motor_turns_per_turn;
};

enum demo_fault { DEMO_SOUND, DEMO_CLIPPED, DEMO_WRONG_LOG, DEMO_HUM };

struct demo_run {
    const char *file;
    size_t variant;
    double true_rpm, logged_rpm;
    bool is_marked; /* the log says which part to use */
    enum demo_fault fault;
};

extern const struct demo_variant demo_variants[];
extern const size_t demo_variant_count;
extern const struct demo_run demo_runs[];
extern const size_t demo_run_count;

/* The reeds on a calm morning and what is left of the wind, present in every recording. */
extern const struct demo_haystack demo_background[2];

/* Level of a full-scale sine at the gain of the runs, and how far the gain is from it at the two calibrator recordings
 * (the recorder drifted while all was packed up); the clipped run was made with the gain turned up by mistake. */
#define DEMO_FULL_SCALE_SINE_DB 97.0
#define DEMO_GAIN_BEFORE_DB 0.0
#define DEMO_GAIN_AFTER_DB (-0.08)
#define DEMO_CLIPPED_GAIN_DB 27.0
#define DEMO_CALIBRATOR_DB 94.0
#define DEMO_CALIBRATOR_HZ 1000.0

/* The bystander's generator: mains harmonics, level in dB, 0 where there is none. */
#define DEMO_MAINS_HZ 50.0
#define DEMO_HUM_HARMONICS 5
extern const double demo_hum_db[DEMO_HUM_HARMONICS];

const char *demo_fault_key(enum demo_fault fault);

/* Mean square a hertz of `count` haystacks together. */
double demo_density_pa2_hz(const struct demo_haystack *haystacks, size_t count, double hz);

/* The noise of a recording at a speed: the blades' haystack, the unsteady wake below 50 Hz, both raised by
 * `scatter_db`, and the background. The first DEMO_ROTOR_NOISES are the rotor's own. */
#define DEMO_NOISES 4
#define DEMO_ROTOR_NOISES 2
void demo_noise_at(const struct demo_variant *variant, double rpm, double scatter_db,
                   struct demo_haystack noise[DEMO_NOISES]);

/* One tone of a rotor by its law. */
struct demo_tone {
    char source[32];
    double hz, level_db;
};

#define DEMO_TONES_MAX 32

/* The tones of `variant` at a speed, without the scatter of a run; returns how many. */
size_t demo_tones_at(const struct demo_variant *variant, double rpm, struct demo_tone tones[DEMO_TONES_MAX]);

double demo_thrust_n(const struct demo_variant *variant, double rpm);
double demo_rpm_of_thrust(const struct demo_variant *variant, double thrust_n);
double demo_power_w(const struct demo_variant *variant, double rpm);

#endif
