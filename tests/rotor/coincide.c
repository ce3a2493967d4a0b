/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rotor/coincide.h"

/* Which parts share a frequency follows from their orders alone (derived; the notes on motors print the direct-drive
 * case: 6 x electrical of 14 magnets is the 21st harmonic of two blades). */

static struct err err;

static bool told(const struct coincidences *groups, const char *a, const char *b)
{
    for (size_t i = 0; i < groups->count; i++)
        if (strstr(groups->items[i].text, a) && strstr(groups->items[i].text, b))
            return true;
    return false;
}

static void find(const struct variant *variant, double rpm, struct coincidences *groups)
{
    struct lines lines = { 0 };
    tap_ok(drive_lines(variant, rpm, 0.5, 20000, &lines, &err), "lines at %g rev/min", rpm);
    tap_ok(coincidences_find(&lines, 3, groups, &err), "groups are found");
    for (size_t i = 0; i < groups->count && i < 12; i++)
        printf("# %s\n", groups->items[i].text);
    lines_clear(&lines);
}

int main(void)
{
    struct variant variant;
    struct coincidences groups = { 0 };
    variant_init(&variant);
    variant.blades = 2;
    variant.motor_pole_pairs = 7;
    variant.motor_slots = 12;
    find(&variant, 4230, &groups);
    tap_ok(told(&groups, "blade 21", "motor electrical 6"), "blade 21 and 6 x electrical of 14 magnets, direct drive");
    tap_ok(told(&groups, "shaft 7", "motor electrical 1"), "shaft 7 and the electrical frequency");
    tap_ok(told(&groups, "blade 42", "motor cogging 1"), "cogging at 84 a turn and blade 42");
    coincidences_clear(&groups);

    variant.blades = 5;
    variant.drive = DRIVE_BELT;
    variant.motor_pulley_teeth = 12;
    variant.rotor_pulley_teeth = 60;
    variant.belt_teeth = 130;
    find(&variant, 2105, &groups);
    tap_ok(told(&groups, "blade 1", "motor shaft 1"), "five blades by 12:60: blade 1 is the motor's shaft");
    tap_ok(told(&groups, "blade 12", "belt mesh 1"), "and blade 12 the belt's mesh");
    tap_ok(strstr(groups.items[0].text, "record at") != NULL || groups.count > 1, "with what to do about it");
    coincidences_clear(&groups);

    variant.rotor_pulley_teeth = 61;
    find(&variant, 2105, &groups);
    tap_ok(!told(&groups, "blade 12", "belt mesh 1"), "with 61 teeth the mesh stands apart");
    coincidences_clear(&groups);

    variant_init(&variant);
    variant.blades = 2;
    find(&variant, 4500, &groups);
    tap_ok(told(&groups, "blade 1", "mains 3"), "two blades at 4500 rev/min hum like the mains");
    coincidences_clear(&groups);
    find(&variant, 4200, &groups);
    tap_ok(!told(&groups, "blade 1", "mains"), "at 4200 they do not");
    coincidences_clear(&groups);
    return tap_done();
}
