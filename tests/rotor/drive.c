/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "rotor/drive.h"

/* Lines of the drive against published multiples and closed forms. `status` as in the reference notes: verified (seen
 * printed), derived (algebra), from memory. */

static struct err err;

static const struct line *find(const struct lines *lines, const char *source)
{
    for (size_t i = 0; i < lines->count; i++)
        if (strcmp(lines->items[i].source, source) == 0 && lines->items[i].sideband == 0)
            return &lines->items[i];
    return NULL;
}

static void line_is(const struct lines *lines, const char *source, double hz, double tolerance_hz, const char *from)
{
    const struct line *line = find(lines, source);
    if (tap_ok(line != NULL, "%s is there", source))
        tap_near(line->hz, hz, tolerance_hz, "%s (%s)", source, from);
}

static struct lines lines_of(const struct variant *variant, double rpm, double highest_hz)
{
    struct lines lines = { 0 };
    tap_ok(drive_lines(variant, rpm, 2, highest_hz, &lines, &err), "lines at %g rev/min", rpm);
    return lines;
}

static const struct {
    const char *name, *part;
    int balls;
    double ball, pitch, contact_deg, shaft_hz, expected_hz, tolerance_hz;
    const char *from;
} bearings[] = {
    { "6205", "inner 1", 9, 0.3126, 1.537, 0, 1, 5.4152, 1.2e-4, "university bearing data set; verified" },
    { "6205", "outer 1", 9, 0.3126, 1.537, 0, 1, 3.5848, 1.2e-4, "university bearing data set; verified" },
    { "6205", "cage 1", 9, 0.3126, 1.537, 0, 1, 0.39828, 1.2e-4, "university bearing data set; verified" },
    { "6205", "ball 2", 9, 0.3126, 1.537, 0, 1, 4.7135, 6e-4, "university bearing data set; verified" },
    { "6203", "inner 1", 8, 0.2656, 1.122, 0, 1, 4.9469, 2e-4, "university bearing data set; verified" },
    { "6203", "outer 1", 8, 0.2656, 1.122, 0, 1, 3.0530, 2e-4, "university bearing data set; verified" },
    { "6203", "ball 2", 8, 0.2656, 1.122, 0, 1, 3.9874, 6e-4, "university bearing data set; verified" },
    { "ER-16K", "inner 1", 9, 7.9375, 38.50, 0, 1, 5.428, 6e-4, "Curtin University data set; verified" },
    { "ER-16K", "outer 1", 9, 7.9375, 38.50, 0, 1, 3.572, 6e-4, "Curtin University data set; verified" },
    { "ER-16K", "cage 1", 9, 7.9375, 38.50, 0, 1, 0.3969, 6e-5, "Curtin University data set; verified" },
    { "ER-16K", "ball 1", 9, 7.9375, 38.50, 0, 1, 2.32, 4e-3, "Curtin University data set; verified" },
    { "ZA-2115", "outer 1", 16, 0.331, 2.815, 15.17, 2000.0 / 60, 236.4, 0.15, "Qiu 2006; from memory" },
    { "ZA-2115", "inner 1", 16, 0.331, 2.815, 15.17, 2000.0 / 60, 296.9, 0.15, "Qiu 2006; from memory" },
    { "ZA-2115", "ball 1", 16, 0.331, 2.815, 15.17, 2000.0 / 60, 139.9, 0.15, "Qiu 2006; from memory" },
    { "UER204", "outer 1", 8, 7.92, 34.55, 0, 35, 107.91, 0.05, "data set note; from memory" },
    { "UER204", "inner 1", 8, 7.92, 34.55, 0, 35, 172.09, 0.05, "data set note; from memory" },
    { "MFPT", "outer 1", 8, 0.235, 1.245, 0, 25, 81.125, 0.05, "fields of the MFPT fault data" },
    { "MFPT", "inner 1", 8, 0.235, 1.245, 0, 25, 118.875, 0.05, "fields of the MFPT fault data" },
};

static void bearing_rates(void)
{
    for (size_t i = 0; i < sizeof bearings / sizeof *bearings; i++) {
        char name[16], source[SOURCE_TEXT_MAX];
        snprintf(name, sizeof name, "%s", bearings[i].name);
        struct bearing bearing = { .name = name,
                                   .shaft = SHAFT_ROTOR,
                                   .balls = bearings[i].balls,
                                   .ball_mm = bearings[i].ball,
                                   .pitch_mm = bearings[i].pitch,
                                   .contact_deg = bearings[i].contact_deg };
        struct variant variant;
        variant_init(&variant);
        variant.blades = 2;
        variant.bearings = &bearing;
        variant.bearing_count = 1;
        struct lines lines = lines_of(&variant, bearings[i].shaft_hz * 60, 2000);
        snprintf(source, sizeof source, "bearing %s %s", name, bearings[i].part);
        line_is(&lines, source, bearings[i].expected_hz, bearings[i].tolerance_hz, bearings[i].from);
        const struct line *line = find(&lines, source);
        if (line)
            tap_near(line->tolerance_hz, line->hz * 0.04, 1e-9, "2 %% of speed and 2 %% of slip");
        lines_clear(&lines);
    }
}

static const struct {
    int slots, pole_pairs, per_turn;
    const char *from;
} cogging[] = {
    { 12, 5, 60, "printed in public listings; verified" },
    { 12, 7, 84, "lcm; derived" },
    { 9, 6, 36, "lcm; derived" },
    { 9, 3, 18, "lcm; derived" },
    { 12, 8, 48, "lcm; derived" },
    { 18, 8, 144, "lcm; derived" },
    { 24, 11, 264, "lcm; derived" },
    { 24, 14, 168, "lcm; derived" },
    { 36, 21, 252, "lcm; derived" },
    { 6, 2, 12, "printed in public listings; verified" },
};

static void motor_lines(void)
{
    for (size_t i = 0; i < sizeof cogging / sizeof *cogging; i++) {
        struct variant variant;
        variant_init(&variant);
        variant.blades = 2;
        variant.motor_slots = cogging[i].slots;
        variant.motor_pole_pairs = cogging[i].pole_pairs;
        struct lines lines = lines_of(&variant, 60, 1000);
        line_is(&lines, "motor cogging 1", cogging[i].per_turn, 1e-9, cogging[i].from);
        lines_clear(&lines);
    }
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    variant.motor_pole_pairs = 7;
    variant.motor_pwm_hz = 24000;
    struct lines lines = lines_of(&variant, 6000, 50000);
    line_is(&lines, "motor electrical 1", 700, 1e-9, "14 magnets at 6000 rev/min; derived");
    line_is(&lines, "motor electrical 2", 1400, 1e-9, "magnet pass; from memory");
    line_is(&lines, "motor electrical 6", 4200, 1e-9, "torque ripple; verified");
    line_is(&lines, "pwm 1", 24000, 1e-9, "as given");
    static const double sides_hz[] = { 25400, 22600, 26800, 21200, 48700, 47300 }; /* from memory */
    for (size_t i = 0; i < sizeof sides_hz / sizeof *sides_hz; i++) {
        bool is_there = false;
        for (size_t n = 0; n < lines.count; n++)
            is_there |= lines.items[n].family == LINE_PWM && fabs(lines.items[n].hz - sides_hz[i]) < 1e-6;
        tap_ok(is_there, "PWM sideband at %g Hz (from memory)", sides_hz[i]);
    }
    lines_clear(&lines);
}

static void drives(void)
{
    struct variant variant;
    variant_init(&variant);
    variant.blades = 5;
    variant.drive = DRIVE_BELT;
    variant.motor_pulley_teeth = 20;
    variant.rotor_pulley_teeth = 60;
    variant.belt_teeth = 100;
    struct lines lines = lines_of(&variant, 4000, 10000);
    line_is(&lines, "belt mesh 1", 4000, 1e-9, "20 teeth at 12000 rev/min; derived");
    line_is(&lines, "belt turn 1", 40, 1e-9, "pi D n / L; derived");
    line_is(&lines, "shaft 1", 66.666666667, 1e-6, "driven pulley; derived");
    line_is(&lines, "motor shaft 1", 200, 1e-9, "12000 rev/min");
    line_is(&lines, "mains 3", 150, 1e-9, "50 Hz first");
    lines_clear(&lines);
    variant.drive = DRIVE_GEAR;
    variant.motor_gear_teeth = 20;
    variant.rotor_gear_teeth = 60;
    lines = lines_of(&variant, 2000, 10000);
    line_is(&lines, "gear mesh 1", 2000, 1e-9, "20/60 at 100 Hz; verified");
    tap_ok(find(&lines, "belt turn 1") == NULL, "a gear has no belt");
    lines_clear(&lines);
    variant.motor_gear_teeth = 0;
    lines = lines_of(&variant, 2000, 10000);
    tap_ok(find(&lines, "gear mesh 1") == NULL && find(&lines, "motor shaft 1") == NULL,
           "without its teeth a gear makes no lines");
    lines_clear(&lines);
}

static void blades(void)
{
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    struct lines lines = lines_of(&variant, 5400, 1000);
    line_is(&lines, "blade 1", 180, 1e-9, "B n / 60, two blades at 5400 rev/min; derived");
    line_is(&lines, "shaft 1", 90, 1e-9, "n / 60");
    tap_ok(find(&lines, "shaft 2") == NULL, "an order of the blades is told as a blade line");
    for (size_t i = 1; i < lines.count; i++)
        if (lines.items[i - 1].hz > lines.items[i].hz)
            tap_ok(false, "lines are sorted");
    tap_near(find(&lines, "blade 1")->tolerance_hz, 3.6, 1e-9, "2 %% of 180 Hz");
    tap_ok(!is_given(find(&lines, "mains 1")->rotor_order), "the mains has no order");
    lines_clear(&lines);
    struct lines none = { 0 };
    tap_ok(!drive_lines(&variant, 0, 2, 1000, &none, &err) && err.kind == ERR_RANGE, "0 rev/min is refused");
    tap_ok(!drive_lines(&variant, ABSENT, 2, 1000, &none, &err) && err.kind == ERR_RANGE, "no speed is refused");
}

/* 63 bytes, as long as a campaign's names may be; apart in their last letter only. */
static void long_bearing_names(void)
{
    char front[64] = "a", rear[64] = "a";
    struct bearing bearings_of_rotor[2] = {
        { .name = front, .shaft = SHAFT_ROTOR, .balls = 7, .ball_mm = 3.969, .pitch_mm = 15, .contact_deg = 0 },
        { .name = rear, .shaft = SHAFT_ROTOR, .balls = 9, .ball_mm = 3.969, .pitch_mm = 15, .contact_deg = 0 },
    };
    for (size_t i = 1; i < 63; i += 2) {
        memcpy(front + i, "\u0449", sizeof "\u0449");
        memcpy(rear + i, i < 61 ? "\u0449" : "\u0448", sizeof "\u0449");
    }
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    variant.bearings = bearings_of_rotor;
    variant.bearing_count = 2;
    struct lines lines = lines_of(&variant, 4200, 2000);
    for (int i = 0; i < 2; i++) {
        char source[SOURCE_TEXT_MAX];
        snprintf(source, sizeof source, "bearing %s outer 1", bearings_of_rotor[i].name);
        tap_ok(find(&lines, source) != NULL, "a line has its bearing's whole name: %s", source);
    }
    lines_clear(&lines);
}

int main(void)
{
    long_bearing_names();
    bearing_rates();
    motor_lines();
    drives();
    blades();
    return tap_done();
}
