/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_ROTOR_H
#define THRUM_ROTOR_ROTOR_H

/* What the drive must make, and what was found: the room's results and its entry for one recording. */

#include "campaign/campaign.h"
#include "meters/figures.h"
#include "recording/finding.h"
#include "recording/pressure.h"

#include <stdbool.h>
#include <stddef.h>

#define SOURCE_TEXT_MAX 96 /* "bearing NAME outer 1" with the longest name that a campaign takes */
#define ALTERNATIVES_MAX 4

enum blade_verdict { BLADE_AGREES, BLADE_SHIFTED, BLADE_ABSENT };

struct blade_passage {
    int harmonic;
    double expected_hz, tolerance_hz;             /* by the log; ABSENT without one */
    double measured_hz, level_db, above_noise_db; /* ABSENT when absent */
    enum blade_verdict verdict;
};

const char *blade_verdict_key(enum blade_verdict verdict); /* "agrees", "shifted", "absent" */

struct tone {
    double hz;
    double level_db;              /* power of the whole line, unweighted */
    double above_noise_db;        /* over the noise in the critical band around it */
    double bandwidth_hz;          /* of the lines counted to it */
    double line_ratio_db;         /* its highest line over the noise in that line */
    double uncertainty_hz;        /* standard uncertainty of hz */
    char source[SOURCE_TEXT_MAX]; /* "blade 2", "belt mesh 1", ..., "unexplained" */
    double expected_hz;           /* where its source should be at the measured speed; ABSENT when unexplained */
    double misfit; /* how well it fits: its distance from there over what the uncertainties allow, 0 to 1 */
    char alternatives[ALTERNATIVES_MAX][SOURCE_TEXT_MAX]; /* other parts that fit as well */
    size_t alternative_count;
    char remark[120];   /* "sideband of blade 1, +1 x shaft", "nearest: shaft order 7.02"; may be empty */
    double shaft_order; /* hz / rotor shaft; ABSENT without a speed */
    /* hearing/ fills these */
    double tone_to_noise_db, prominence_db, audibility_db;
    bool is_prominent;
};

struct shares { /* of the A-weighted energy, percent; they add up to 100 */
    double blade_pct, named_pct, unexplained_pct, broadband_pct;
};

struct rotor_figures {
    double rpm_measured, rpm_uncertainty; /* standard uncertainty, rev/min; ABSENT when no speed can be had */
    char rpm_source[16];                  /* "sound", "tachometer", "log", "" */
    struct blade_passage *blade_passages;
    size_t blade_passage_count;
    double blade_shortfall_db; /* by how much the blade tones together could be louder at the most, were each that is
                                  absent as loud as all that stands in its place; ABSENT where none is found */
    double unevenness_db; /* non-blade shaft orders against blade orders, powers; ABSENT when no order stands out */
    double belt_slip_pct; /* ABSENT where not known */
    double speed_drift_pct, speed_jitter_pct; /* through the used part; ABSENT where not measured */
    struct tone *tones;                       /* by frequency */
    size_t tone_count;
    struct shares shares;
    char **remarks; /* what it says about the machine, plain sentences; owned, each one too */
    size_t remark_count;
};

void rotor_figures_init(struct rotor_figures *figures);
void rotor_figures_clear(struct rotor_figures *figures);

struct rotor_log { /* the row of the run log that matters here; ABSENT where not given */
    double rpm, rpm_tolerance_pct, motor_rpm, voltage_v;
    int tach_channel; /* from 0; -1: none */
    double tach_pulses_per_rev;
};

/* Explains the tones of one recording. `variant` may be NULL (nothing is known of the rotor: tones only). `pressure`
 * may be NULL; it allows second passes (speed against time, order spectrum, envelope) and the tachometer channel. */
bool rotor_explain(const struct variant *variant, const struct rotor_log *log, const struct figures *figures,
                   struct pressure *pressure, struct rotor_figures *out, struct findings *findings,
                   struct err *err) MUST_CHECK;

#endif
