/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/drive.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/text.h"
#include "base/units.h"
#include "rotor/whole.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* How many multiples of a part are worth looking for. Blade tones of small rotors are unsteady loading and go far up;
 * shaft orders beyond some tens lie so close together that any tone would fit one. Common practice, no source. */
enum {
    BLADE_HARMONICS = 60,
    SHAFT_ORDERS = 36,
    MESH_HARMONICS = 6,
    BELT_TURN_HARMONICS = 4,
    MOTOR_SHAFT_HARMONICS = 6,
    COGGING_HARMONICS = 2,
    PWM_HARMONICS = 2,
    PWM_SIDEBANDS = 4,
    RACE_HARMONICS = 6,
    BALL_HARMONICS = 4,
    CAGE_HARMONICS = 3,
    MAINS_HARMONICS = 20,
    MAINS_MAJOR = 6,
};

#define BEARING_SLIP_PCT 2.0    /* lines sit 1 to 2 % off and wander (Randall and Antoni 2011; from memory) */
#define MAINS_TOLERANCE_PCT 0.2 /* large grids stay within 0.1 Hz in normal running (common practice) */
#define PWM_TOLERANCE_PCT 1.0   /* RC clocks of small controllers (common practice, no source) */

struct builder {
    struct lines lines;
    size_t capacity;
    double rotor_hz, ratio, highest_hz, rpm_tolerance_pct;
    int part;
    bool failed;
};

struct part {
    enum line_family family;
    const char *name;
    enum shaft shaft;
    double order;    /* on its shaft; ABSENT: fixed_hz instead */
    double fixed_hz; /* ABSENT for parts on a shaft */
    double own_tolerance_pct;
};

static double part_hz(const struct builder *builder, const struct part *part)
{
    if (is_given(part->fixed_hz))
        return part->fixed_hz;
    return part->order * builder->rotor_hz * (part->shaft == SHAFT_MOTOR ? builder->ratio : 1.0);
}

static struct line *add_line(struct builder *builder, const struct part *part, double hz, int number)
{
    if (!(hz > 0) || hz > builder->highest_hz || builder->failed)
        return NULL;
    void *items = builder->lines.items;
    if (!memory_grow(&items, &builder->capacity, builder->lines.count + 1, sizeof *builder->lines.items)) {
        builder->failed = true;
        return NULL;
    }
    builder->lines.items = items;
    bool is_fixed = is_given(part->fixed_hz);
    struct line *line = &builder->lines.items[builder->lines.count++];
    *line = (struct line){
        .family = part->family,
        .number = number,
        .hz = hz,
        .tolerance_hz = hz * ((is_fixed ? 0.0 : builder->rpm_tolerance_pct) + part->own_tolerance_pct) / 100.0,
        .rotor_order = is_fixed ? ABSENT : hz / builder->rotor_hz,
        .part = builder->part,
        .is_on_motor = !is_fixed && part->shaft == SHAFT_MOTOR,
        .own_tolerance_pct = part->own_tolerance_pct,
    };
    text_fit(line->source, sizeof line->source, "%s %d", part->name, number);
    return line;
}

static void add_multiples(struct builder *builder, const struct part *part, int last)
{
    builder->part++;
    double hz = part_hz(builder, part);
    for (int number = 1; number <= last; number++)
        add_line(builder, part, hz * number, number);
}

static struct part on_shaft(enum line_family family, const char *name, enum shaft shaft, double order)
{
    return (struct part){ .family = family, .name = name, .shaft = shaft, .order = order, .fixed_hz = ABSENT };
}

/* Blade passage m B f (NASA RP-1258, chapter 1). Unequal or unevenly spaced blades add every other order of the shaft
 * (symmetry). Struts in the wake and several rotors at one speed change levels, not frequencies (Tyler and Sofrin, SAE
 * Trans. 70, 1962; from memory). */
static void add_rotor(struct builder *builder, int blades)
{
    if (blades > 0) {
        struct part blade = on_shaft(LINE_BLADE, "blade", SHAFT_ROTOR, blades);
        add_multiples(builder, &blade, BLADE_HARMONICS);
    }
    struct part shaft = on_shaft(LINE_SHAFT, "shaft", SHAFT_ROTOR, 1);
    builder->part++;
    for (int order = 1; order <= SHAFT_ORDERS; order++)
        if (blades == 0 || order % blades != 0)
            add_line(builder, &shaft, order * builder->rotor_hz, order);
}

int drive_motor_teeth(const struct variant *variant)
{
    switch (variant->drive) {
    case DRIVE_DIRECT:
        return 0;
    case DRIVE_BELT:
        return variant->motor_pulley_teeth;
    case DRIVE_GEAR:
        return variant->motor_gear_teeth;
    }
    return 0;
}

/* Tooth mesh z f of a wheel on either shaft; belt rotation z f / N (kinematics; training article at power-mi.com, node
 * 2928, for gears; belt pass frequency in public listings). */
static void add_mesh(struct builder *builder, const struct variant *variant, enum shaft shaft, int teeth)
{
    bool is_belt = variant->drive == DRIVE_BELT;
    struct part mesh =
        on_shaft(is_belt ? LINE_BELT_MESH : LINE_GEAR_MESH, is_belt ? "belt mesh" : "gear mesh", shaft, teeth);
    add_multiples(builder, &mesh, MESH_HARMONICS);
    if (is_belt && variant->belt_teeth > 0) {
        struct part turn = on_shaft(LINE_BELT_TURN, "belt turn", shaft, (double)teeth / variant->belt_teeth);
        add_multiples(builder, &turn, BELT_TURN_HARMONICS);
    }
}

/* Where the ratio is not that of the teeth, the belt goes with either wheel. */
static void add_drive(struct builder *builder, const struct variant *variant)
{
    if (variant->drive == DRIVE_DIRECT || !is_given(builder->ratio))
        return;
    bool is_belt = variant->drive == DRIVE_BELT;
    add_mesh(builder, variant, SHAFT_ROTOR, is_belt ? variant->rotor_pulley_teeth : variant->rotor_gear_teeth);
    if (builder->ratio != variant_drive_ratio(variant))
        add_mesh(builder, variant, SHAFT_MOTOR, drive_motor_teeth(variant));
    struct part motor = on_shaft(LINE_MOTOR_SHAFT, "motor shaft", SHAFT_MOTOR, 1);
    add_multiples(builder, &motor, MOTOR_SHAFT_HARMONICS);
}

/* PWM: f_pwm +- 2k f_e and 2 f_pwm +- (2k + 1) f_e (from memory). */
static void add_pwm(struct builder *builder, double pwm_hz, double electrical_hz)
{
    struct part pwm = { .family = LINE_PWM,
                        .name = "pwm",
                        .shaft = SHAFT_MOTOR,
                        .order = ABSENT,
                        .fixed_hz = pwm_hz,
                        .own_tolerance_pct = PWM_TOLERANCE_PCT };
    builder->part++;
    for (int number = 1; number <= PWM_HARMONICS; number++)
        for (int k = -PWM_SIDEBANDS - 1; k <= PWM_SIDEBANDS + 1; k++) {
            bool is_there = k == 0 || (number % 2 != 0 ? k % 2 == 0 : k % 2 != 0);
            if (!is_there || (k != 0 && !is_given(electrical_hz)))
                continue;
            double side_hz = k == 0 ? 0 : k * electrical_hz;
            struct line *line = add_line(builder, &pwm, number * pwm_hz + side_hz, number);
            if (!line)
                continue;
            line->sideband = k;
            line->tolerance_hz =
                number * pwm_hz * PWM_TOLERANCE_PCT / 100.0 + fabs(side_hz) * builder->rpm_tolerance_pct / 100.0;
            line->own_tolerance_pct = 100.0 * number * pwm_hz * (PWM_TOLERANCE_PCT / 100.0) / line->hz;
        }
}

/* Electrical frequency p f (definition); 2 p f magnet passing (from memory); 6 p f torque ripple of six-step drive and
 * of dead time (public listing; 2/35 of the torque by its Fourier series); cogging lcm(slots, poles) a turn (12 slots
 * with 10 poles: 60, printed in public listings). */
static void add_motor(struct builder *builder, const struct variant *variant)
{
    static const int multiples[] = { 1, 2, 4, 6, 12, 18, 24 };
    double electrical_hz = ABSENT;
    if (variant->motor_pole_pairs > 0 && is_given(builder->ratio)) {
        int pole_pairs = variant->motor_pole_pairs;
        struct part electrical = on_shaft(LINE_MOTOR_ELECTRICAL, "motor electrical", SHAFT_MOTOR, pole_pairs);
        electrical_hz = part_hz(builder, &electrical);
        builder->part++;
        for (size_t i = 0; i < sizeof multiples / sizeof *multiples; i++)
            add_line(builder, &electrical, multiples[i] * electrical_hz, multiples[i]);
        if (variant->motor_slots > 0) {
            int poles = 2 * pole_pairs;
            int per_turn = variant->motor_slots / greatest_common_divisor(variant->motor_slots, poles) * poles;
            struct part cogging = on_shaft(LINE_MOTOR_COGGING, "motor cogging", SHAFT_MOTOR, per_turn);
            add_multiples(builder, &cogging, COGGING_HARMONICS);
        }
    }
    if (is_given(variant->motor_pwm_hz))
        add_pwm(builder, variant->motor_pwm_hz, electrical_hz);
}

/* Rolling bearings, inner ring turning with the shaft, g = d/D cos(contact): cage (1 - g)/2, outer race N (1 - g)/2,
 * inner race N (1 + g)/2, ball spin D/(2d) (1 - g^2), the last usually seen at its double. Reproduces the tables of
 * two public bearing data sets (tests/rotor/drive.c). */
static void add_bearing(struct builder *builder, const struct bearing *bearing)
{
    double g = bearing->ball_mm / bearing->pitch_mm * cos(bearing->contact_deg * PI / 180.0);
    double balls = bearing->balls;
    if (!(balls > 0 && g > 0 && g < 1) || (bearing->shaft == SHAFT_MOTOR && !is_given(builder->ratio)))
        return;
    const struct {
        const char *name;
        double order;
        int harmonics;
    } rates[] = {
        { "outer", balls * (1 - g) / 2, RACE_HARMONICS },
        { "inner", balls * (1 + g) / 2, RACE_HARMONICS },
        { "ball", bearing->pitch_mm / (2 * bearing->ball_mm) * (1 - g * g), BALL_HARMONICS },
        { "cage", (1 - g) / 2, CAGE_HARMONICS },
    };
    for (size_t i = 0; i < sizeof rates / sizeof *rates; i++) {
        char name[SOURCE_TEXT_MAX];
        text_fit(name, sizeof name, "bearing %s %s", bearing->name ? bearing->name : "", rates[i].name);
        struct part part = on_shaft(LINE_BEARING, name, bearing->shaft, rates[i].order);
        part.own_tolerance_pct = BEARING_SLIP_PCT;
        add_multiples(builder, &part, rates[i].harmonics);
    }
}

static void add_mains(struct builder *builder, double mains_hz)
{
    static const double both_hz[] = { 50, 60 };
    for (size_t i = 0; i < 2; i++) {
        if (is_given(mains_hz) && i > 0)
            break;
        struct part mains = { .family = LINE_MAINS,
                              .name = "mains",
                              .shaft = SHAFT_ROTOR,
                              .order = ABSENT,
                              .fixed_hz = is_given(mains_hz) ? mains_hz : both_hz[i],
                              .own_tolerance_pct = MAINS_TOLERANCE_PCT };
        add_multiples(builder, &mains, MAINS_HARMONICS);
    }
}

static int by_frequency(const void *a, const void *b)
{
    const struct line *left = a, *right = b;
    if (left->hz != right->hz)
        return left->hz < right->hz ? -1 : 1;
    if (left->family != right->family)
        return left->family < right->family ? -1 : 1;
    return strcmp(left->source, right->source);
}

/* Many multiples are kept so that a tone can be named; told beforehand they would only hide the others. */
static void mark_minor(struct lines *lines, int blades)
{
    for (size_t i = 0; i < lines->count; i++) {
        struct line *line = &lines->items[i];
        line->is_minor = (line->family == LINE_SHAFT && line->number > 2 * blades + 2) ||
                         (line->family == LINE_MAINS && line->number > MAINS_MAJOR);
    }
}

static bool make_lines(const struct variant *variant, struct builder builder, struct lines *out, struct err *err)
{
    if (!(builder.rotor_hz > 0) || !isfinite(builder.rotor_hz))
        return err_set(err, ERR_RANGE, "a rotor speed of %g rev/min makes no lines; it must be above 0",
                       hz_to_rpm(builder.rotor_hz));
    add_rotor(&builder, variant->blades);
    add_drive(&builder, variant);
    add_motor(&builder, variant);
    for (size_t i = 0; i < variant->bearing_count; i++)
        add_bearing(&builder, &variant->bearings[i]);
    add_mains(&builder, variant->mains_hz);
    if (builder.failed) {
        free(builder.lines.items);
        return err_memory(err);
    }
    mark_minor(&builder.lines, variant->blades);
    if (builder.lines.count > 0)
        qsort(builder.lines.items, builder.lines.count, sizeof *builder.lines.items, by_frequency);
    *out = builder.lines;
    return true;
}

bool drive_lines(const struct variant *variant, double rpm, double rpm_tolerance_pct, double highest_hz,
                 struct lines *out, struct err *err)
{
    struct builder builder = { .rotor_hz = rpm_to_hz(rpm),
                               .ratio = variant_drive_ratio(variant),
                               .highest_hz = highest_hz,
                               .rpm_tolerance_pct = is_given(rpm_tolerance_pct) ? rpm_tolerance_pct : 0 };
    return make_lines(variant, builder, out, err);
}

bool drive_lines_at_ratio(const struct variant *variant, double rpm, double ratio, double highest_hz, struct lines *out,
                          struct err *err)
{
    struct builder builder = { .rotor_hz = rpm_to_hz(rpm), .ratio = ratio, .highest_hz = highest_hz };
    return make_lines(variant, builder, out, err);
}

void lines_clear(struct lines *lines)
{
    free(lines->items);
    *lines = (struct lines){ 0 };
}
