/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_CAMPAIGN_H
#define THRUM_CAMPAIGN_CAMPAIGN_H

/* What the user says was recorded: campaign.yaml and its run log, checked, every name resolved. Plain data; a number
 * that was not given is ABSENT (base/absent.h), a text that was not given is NULL, a count that was not given is 0.
 * All texts and arrays are owned by the campaign. Nothing here was read from a recording. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

enum calibration_kind {
    CALIBRATION_NONE,        /* levels are dBFS */
    CALIBRATION_RECORDING,   /* a calibrator was recorded */
    CALIBRATION_FULL_SCALE,  /* level of a full-scale sine */
    CALIBRATION_SENSITIVITY, /* microphone sensitivity and converter range */
};

struct calibration {
    enum calibration_kind kind;
    char *file; /* RECORDING: relative to the campaign's folder */
    char *after_file;
    double level_db, frequency_hz;
    double full_scale_db;     /* FULL_SCALE */
    double sensitivity_mv_pa; /* SENSITIVITY */
    double full_scale_v;      /* peak volts at digital full scale */
};

struct microphone {
    char *name;
    double distance_m;
    double angle_deg; /* 0: on the axis, upstream; 90: in the rotor's plane */
    double height_m, source_height_m;
    char *background; /* file, relative to the folder */
    int meter_class;  /* IEC 61672-1 class 1 or 2; 0: none or not given */
    struct calibration calibration;
    struct place where;
};

enum drive_kind { DRIVE_DIRECT, DRIVE_BELT, DRIVE_GEAR };
enum shaft { SHAFT_ROTOR, SHAFT_MOTOR };

struct bearing {
    char *name;
    enum shaft shaft;
    int balls;
    double ball_mm, pitch_mm, contact_deg;
    struct place where;
};

struct variant {
    char *name, *title;
    int blades;
    int rotors; /* default 1 */
    int struts;
    double diameter_mm;
    int motor_pole_pairs, motor_slots;
    double motor_pwm_hz;
    double motor_kv_rpm_v; /* unloaded speed per volt */
    enum drive_kind drive;
    int motor_pulley_teeth, rotor_pulley_teeth, belt_teeth;
    int motor_gear_teeth, rotor_gear_teeth;
    struct bearing *bearings;
    size_t bearing_count;
    double mains_hz; /* the mains where it was recorded; ABSENT: both 50 and 60 Hz are thought of */
    struct place where;
};

/* A column that is not ours, kept as a note. */
struct run_note {
    char *column, *value;
};

struct run {
    char *file;                               /* as written in the log, without "./" and doubled slashes */
    int row;                                  /* line in the log file, from 1 (the header is line 1) */
    size_t variant, microphone;               /* indices */
    double rpm, rpm_tolerance_pct, motor_rpm; /* rpm ABSENT: to be estimated */
    double throttle_pct, thrust_n, power_w;   /* thrust_g and voltage x current are converted here */
    double voltage_v, current_a;
    double start_s, end_s;
    int channel;      /* from 0 */
    int tach_channel; /* from 0; -1: none */
    double tach_pulses_per_rev;
    char *note;
    struct run_note *notes;
    size_t note_count;
};

struct air {
    double temperature_c, humidity_pct, pressure_kpa, wind_m_s;
};

/* Operating points at which the user wants the comparison. */
enum operating_quantity {
    OPERATING_THRUST_N,
    OPERATING_POWER_W,
    OPERATING_RPM,
    OPERATING_TIP_SPEED_M_S,
    OPERATING_THROTTLE_PCT,
    OPERATING_QUANTITY_COUNT
};

/* The key in files: "thrust_n", "power_w", "rpm", "tip_speed_m_s", "throttle_pct". */
const char *operating_quantity_key(enum operating_quantity quantity);

#define COMPARE_POINTS_MAX 64 /* of one quantity */

struct compare_point {
    enum operating_quantity quantity;
    double value;
};

struct campaign {
    char *folder;    /* where file names start from */
    char *yaml_path; /* as given, for messages */
    char *runs_path;
    char *title, *date;
    size_t reference; /* index of the reference variant */
    double reference_distance_m;
    struct compare_point *compare_points;
    size_t compare_point_count;
    struct air air;
    struct microphone *microphones;
    size_t microphone_count;
    struct variant *variants;
    size_t variant_count;
    struct run *runs;
    size_t run_count;
};

/* Whether a path can be meant as a campaign: a folder, or a name that ends in .yaml or .yml. */
bool campaign_is_path(const char *path);

/* Reads a campaign from a folder or the path of its campaign.yaml. On false `errors` holds every mistake of both files
 * (up to its limit) and *out is untouched. With `without_recordings` (report --from) the files that the log and the
 * microphones name need not be there. */
bool campaign_read(const char *path, bool without_recordings, struct campaign *out, struct err_list *errors) MUST_CHECK;
void campaign_clear(struct campaign *campaign);

/* The variant or microphone of that name; false when there is none. */
bool campaign_find_variant(const struct campaign *campaign, const char *name, size_t *index) MUST_CHECK;
bool campaign_find_microphone(const struct campaign *campaign, const char *name, size_t *index) MUST_CHECK;

void variant_init(struct variant *variant); /* defaults, numbers ABSENT */
void variant_clear(struct variant *variant);

/* Motor turns per rotor turn: 1 for a direct drive; ABSENT when the teeth are not given. */
double variant_drive_ratio(const struct variant *variant);

/* Speed of the blade tips, ABSENT without a diameter. */
double variant_tip_speed_m_s(const struct variant *variant, double rpm);

#endif
