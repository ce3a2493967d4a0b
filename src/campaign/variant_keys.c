/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/variant_keys.h"

#include "base/units.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define AT(member) offsetof(struct variant, member)

static const char *const drive_kinds[] = {
    [DRIVE_DIRECT] = "direct", [DRIVE_BELT] = "belt", [DRIVE_GEAR] = "gear", NULL
};

/* The limits are wide: from indoor toys to wind turbines. They catch slips of the unit and of the decimal point. */
const struct variant_key variant_keys[VARIANT_KEY_COUNT] = {
    { "title",
      "title",
      { VALUE_TEXT, AT(title), .most = 200,
        .help = "name for people, shown in the report; default: the variant's key" } },
    { "blades", "blades", { VALUE_COUNT, AT(blades), 1, 64, .help = "blades of one rotor" } },
    { "rotors", "rotors", { VALUE_COUNT, AT(rotors), 1, 32, .help = "equal rotors running together; default 1" } },
    { "struts",
      "struts",
      { VALUE_COUNT, AT(struts), 0, 64,
        .help = "struts, arms or stator vanes in the rotor's stream; default none given" } },
    { "diameter_mm",
      "diameter-mm",
      { VALUE_NUMBER, AT(diameter_mm), 5, 300000, .unit = "mm",
        .help = "rotor diameter in mm; needed for tip speed" } },
    { "motor.pole_pairs",
      "motor-pole-pairs",
      { VALUE_COUNT, AT(motor_pole_pairs), 1, 200,
        .help = "motor pole pairs: half its magnets; needed for electrical lines" } },
    { "motor.slots",
      "motor-slots",
      { VALUE_COUNT, AT(motor_slots), 1, 600, .help = "motor slots: stator teeth; needed for cogging lines" } },
    { "motor.pwm_hz",
      "motor-pwm-hz",
      { VALUE_NUMBER, AT(motor_pwm_hz), 100, 1000000, .unit = "Hz",
        .help = "switching frequency of the speed controller in Hz" } },
    { "motor.kv_rpm_v",
      "motor-kv-rpm-v",
      { VALUE_NUMBER, AT(motor_kv_rpm_v), 1, 100000, .unit = "rev/min per V",
        .help = "unloaded motor speed in rev/min per volt" } },
    { "drive.kind",
      "drive",
      { VALUE_CHOICE, AT(drive), .choices = drive_kinds, .help = "direct, belt or gear; default direct" } },
    { "drive.motor_pulley_teeth",
      "motor-pulley-teeth",
      { VALUE_COUNT, AT(motor_pulley_teeth), 4, 1000, .help = "belt drive: teeth of the motor's pulley" } },
    { "drive.rotor_pulley_teeth",
      "rotor-pulley-teeth",
      { VALUE_COUNT, AT(rotor_pulley_teeth), 4, 1000, .help = "belt drive: teeth of the rotor's pulley" } },
    { "drive.belt_teeth",
      "belt-teeth",
      { VALUE_COUNT, AT(belt_teeth), 8, 10000, .help = "belt drive: teeth of the belt; needed for its turns" } },
    { "drive.motor_gear_teeth",
      "motor-gear-teeth",
      { VALUE_COUNT, AT(motor_gear_teeth), 4, 1000, .help = "gear drive: teeth of the motor's gear" } },
    { "drive.rotor_gear_teeth",
      "rotor-gear-teeth",
      { VALUE_COUNT, AT(rotor_gear_teeth), 4, 1000, .help = "gear drive: teeth of the rotor's gear" } },
    { "mains_hz",
      "mains-hz",
      { VALUE_NUMBER, AT(mains_hz), 10, 1000, .unit = "Hz",
        .help = "mains frequency in Hz; default: both 50 and 60 are thought of" } },
};
const size_t variant_key_count = VARIANT_KEY_COUNT;

const struct variant_key *variant_key_find(const char *path)
{
    for (size_t i = 0; i < variant_key_count; i++)
        if (strcmp(variant_keys[i].path, path) == 0)
            return &variant_keys[i];
    return NULL;
}

bool variant_key_set(struct variant *variant, const struct variant_key *key, const char *text,
                     const struct place *where, struct err *err)
{
    return value_set(variant, key->path, &key->value, text, where, err);
}

struct check {
    const struct place *where, *places;
    struct err_list *errors;
};

static const struct place *place_of(const struct check *check, const char *path)
{
    const struct variant_key *key = variant_key_find(path);
    const struct place *place = key ? &check->places[key - variant_keys] : NULL;
    return place && place->line > 0 ? place : check->where;
}

/* As the user wrote it: a path in the file, or where there is no file an option. */
static struct excerpt name_of(const struct check *check, const char *path)
{
    const struct variant_key *key = variant_key_find(path);
    struct excerpt name = excerpt(path);
    if (!check->where && key)
        snprintf(name.text, sizeof name.text, "--%s", key->option);
    return name;
}

static void needs(struct check *check, const char *kind, const char *key, int teeth)
{
    if (teeth > 0)
        return;
    err_list_at(check->errors, ERR_MISSING, check->where, "%s is missing; a %s drive needs it",
                name_of(check, key).text, kind);
}

static void does_not_need(struct check *check, const char *kind, const char *key, int teeth)
{
    if (teeth == 0)
        return;
    err_list_at(check->errors, ERR_RANGE, place_of(check, key),
                "%s is given but %s is not %s; set the kind or leave it out", name_of(check, key).text,
                name_of(check, "drive.kind").text, kind);
}

static void check_drive(struct check *check, const struct variant *variant)
{
    void (*belt)(struct check *, const char *, const char *, int) =
        variant->drive == DRIVE_BELT ? needs : does_not_need;
    void (*gear)(struct check *, const char *, const char *, int) =
        variant->drive == DRIVE_GEAR ? needs : does_not_need;
    belt(check, "belt", "drive.motor_pulley_teeth", variant->motor_pulley_teeth);
    belt(check, "belt", "drive.rotor_pulley_teeth", variant->rotor_pulley_teeth);
    gear(check, "gear", "drive.motor_gear_teeth", variant->motor_gear_teeth);
    gear(check, "gear", "drive.rotor_gear_teeth", variant->rotor_gear_teeth);
    if (variant->drive != DRIVE_BELT)
        does_not_need(check, "belt", "drive.belt_teeth", variant->belt_teeth);
    /* Round two pulleys that do not overlap a belt is longer than half of both circumferences. */
    int half = (variant->motor_pulley_teeth + variant->rotor_pulley_teeth) / 2;
    if (variant->drive == DRIVE_BELT && variant->belt_teeth > 0 && variant->belt_teeth <= half) {
        err_list_at(check->errors, ERR_RANGE, place_of(check, "drive.belt_teeth"),
                    "%s is %d; a belt round pulleys of %d and %d teeth has more than %d",
                    name_of(check, "drive.belt_teeth").text, variant->belt_teeth, variant->motor_pulley_teeth,
                    variant->rotor_pulley_teeth, half);
    }
}

/* Balls side by side on the pitch circle each take an angle of 2 asin(ball / pitch). */
static void check_bearing(struct check *check, const struct bearing *bearing)
{
    const struct place *where = bearing->where.line > 0 ? &bearing->where : check->where;
    if (bearing->ball_mm >= bearing->pitch_mm) {
        err_list_at(
            check->errors, ERR_RANGE, where,
            "bearings.%s: ball_mm %s is not smaller than pitch_mm %s; pitch_mm is the circle of the balls' centres",
            bearing->name, excerpt_number(bearing->ball_mm, 6).text, excerpt_number(bearing->pitch_mm, 6).text);
    } else if (bearing->balls * asin(bearing->ball_mm / bearing->pitch_mm) > PI) {
        err_list_at(check->errors, ERR_RANGE, where,
                    "bearings.%s: %d balls of %s mm do not fit on a circle of %s mm; check balls, ball_mm and pitch_mm",
                    bearing->name, bearing->balls, excerpt_number(bearing->ball_mm, 6).text,
                    excerpt_number(bearing->pitch_mm, 6).text);
    }
}

bool variant_check(const struct variant *variant, const struct place *where, struct err_list *errors)
{
    static const struct place unknown[VARIANT_KEY_COUNT];
    return variant_check_places(variant, where, unknown, errors);
}

bool variant_check_places(const struct variant *variant, const struct place *where,
                          const struct place places[VARIANT_KEY_COUNT], struct err_list *errors)
{
    struct check check = { .where = where, .places = places, .errors = errors };
    size_t before = errors->count + errors->dropped;
    check_drive(&check, variant);
    for (size_t i = 0; i < variant->bearing_count; i++)
        check_bearing(&check, &variant->bearings[i]);
    return errors->count + errors->dropped == before;
}
