/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rotor/naming.h"
#include "scene.h"

/* Rotors whose shaft turns as fast as the mains, with the shaft's other orders heard, and hums without a rotor; and
 * what becomes of a blade count that the sound contradicts. Table, verdicts and findings must tell one story. */

struct story {
    int blade, mains, agreeing;
};

static struct story read_story(const struct scene *scene)
{
    struct story story = { 0 };
    for (size_t i = 0; i < scene->rotor.tone_count; i++) {
        story.blade += tone_is_blade(&scene->rotor.tones[i]);
        story.mains += tone_is_of(&scene->rotor.tones[i], "mains");
    }
    for (size_t i = 0; i < scene->rotor.blade_passage_count; i++)
        story.agreeing += scene->rotor.blade_passages[i].verdict == BLADE_AGREES;
    return story;
}

/* One of B blades a quarter weaker leaves 1 / (4 B - 1) of every other order beside the blade orders (symmetry,
 * derived); all fall by 4 dB a blade line. */
static void put_unequal(struct scene *scene, int blades, double rpm, double drift)
{
    for (int order = 1; order <= 7 * blades; order++) {
        double share = order % blades == 0 ? 1 : 1 / (4.0 * blades - 1);
        sound_add_tone(&scene->sound, order * rpm / 60,
                       0.03 * share * db_to_amplitude_ratio(-4 * ((double)order / blades - 1)),
                       dice_between(&scene->dice, 0, 6), drift);
    }
}

static void unequal_rotors(void)
{
    static const struct {
        int blades;
        double rpm, mains_hz, drift;
    } cases[] = {
        { 3, 3600, 60, 0 }, { 3, 3597, 60, 0.004 }, { 4, 3003, 50, 0.003 },
        { 5, 3000, 50, 0 }, { 2, 2998, 50, 0.008 }, { 2, 1798, 60, 0.01 },
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double rpm = cases[i].rpm;
        printf("# %d blades, one a quarter weaker, at %.0f rev/min, mains %.0f Hz\n", cases[i].blades, rpm,
               cases[i].mains_hz);
        struct scene scene = scene_new(cases[i].blades, rpm * 1.004, 71 + i);
        scene.variant.mains_hz = cases[i].mains_hz;
        put_unequal(&scene, cases[i].blades, rpm, cases[i].drift);
        explain(&scene);
        struct story story = read_story(&scene);
        tap_near(scene.rotor.rpm_measured, rpm, rpm * 0.0005, "speed by the sound, rev/min");
        tap_ok(story.blade >= 4 && story.agreeing == story.blade, "%d tones are blade lines, and all agree: %d",
               story.blade, story.agreeing);
        tap_ok(story.mains == 0 && !says(&scene, "The mains"), "none is called the mains: %d", story.mains);
        tap_ok(!findings_have(&scene.findings, "blade-absent") && !findings_have(&scene.findings, "blade-count"),
               "no finding says otherwise");
        const struct tone *tone = tone_at(&scene, cases[i].blades * rpm / 60);
        tap_ok(tone && tone->alternative_count > 0 && strncmp(tone->alternatives[0], "mains", 5) == 0,
               "the mains stay an alternative of blade 1");
        scene_clear(&scene);
    }
}

static void hum_alone(void)
{
    static const int counts[] = { 2, 3, 5 };
    for (size_t i = 0; i < 3; i++) {
        printf("# a hum at 60 Hz, %d blades logged at 3600 rev/min\n", counts[i]);
        struct scene scene = scene_new(counts[i], 3600, 81 + i);
        scene.variant.mains_hz = 60;
        for (int multiple = 1; multiple <= 8; multiple++)
            put(&scene, 60.02 * multiple, 0.02 / multiple);
        explain(&scene);
        struct story story = read_story(&scene);
        tap_ok(!is_given(scene.rotor.rpm_measured) && story.blade == 0 && story.agreeing == 0,
               "no speed, no blade line");
        tap_ok(findings_have(&scene.findings, "blade-absent"), "a finding says so");
        tap_ok(story.mains == 8 && says(&scene, "The mains hums"), "the mains hum in %d tones", story.mains);
        scene_clear(&scene);
    }
}

/* Hum near the orders of a rotor whose speed is known, but not on them. */
static void hum_beside(void)
{
    struct scene scene = scene_new(3, 2910, 85);
    put_unequal(&scene, 3, 2910, 0);
    put(&scene, 100, 0.01);
    put(&scene, 150, 0.01);
    explain(&scene);
    tap_near(scene.rotor.rpm_measured, 2910, 1.5, "speed beside a hum, rev/min");
    tap_ok(is_told(&scene, 100, "mains 2", "") && is_told(&scene, 150, "mains 3", ""),
           "3 Hz and more beside is the mains");
    tap_ok(is_told(&scene, 97, "shaft 2", "") && is_told(&scene, 145.5, "blade 1", ""), "and the rotor's are its own");
    tap_ok(says(&scene, "The mains hums"), "which is told");
    scene_clear(&scene);
}

/* Three blades given as five keep the logged speed as three only (five would be 0.6 of it, beyond the search). */
static void another_count(void)
{
    for (int given = 3; given <= 5; given += 2) {
        struct scene scene = scene_new(3, 4710, 91);
        blades(&scene, 4700, 0.05);
        scene.variant.blades = given;
        explain(&scene);
        struct story story = read_story(&scene);
        bool is_told = findings_have(&scene.findings, "blade-count");
        tap_ok(is_told == (given != 3), "three blades given as %d: a finding %s", given,
               is_told ? "says so" : "is not needed");
        tap_ok(given == 3 ? story.blade == 6 && story.agreeing == 6 : story.blade == 0 && story.agreeing == 0,
               "no line is called that of a blade which isn't: %d, %d agree", story.blade, story.agreeing);
        scene_clear(&scene);
    }
}

/* Three unequal blades given as two: the third order is loud because it is theirs, not the mains'. */
static void another_count_on_mains(void)
{
    for (int given = 2; given <= 3; given++) {
        struct scene scene = scene_new(3, 4000, 93);
        scene.variant.mains_hz = 50;
        put_unequal(&scene, 3, 4000, 0);
        scene.variant.blades = given;
        explain(&scene);
        tap_ok(findings_have(&scene.findings, "blade-count") == (given == 2), "three blades given as %d", given);
        tap_ok(is_told(&scene, 200, given == 2 ? "shaft 3" : "blade 1", "") && !says(&scene, "The mains"),
               "their first line is the rotor's");
        scene_clear(&scene);
    }
}

/* Orders of the shaft without a blade line: the speed is told, and that the blades are not heard. */
static void orders_alone(void)
{
    struct scene scene = scene_new(4, 3900, 95);
    for (int order = 1; order <= 7; order++)
        if (order != 4)
            put(&scene, order * 3905 / 60.0, 0.02);
    explain(&scene);
    tap_near(scene.rotor.rpm_measured, 3905, 2, "speed by the shaft's other orders, rev/min");
    tap_ok(read_story(&scene).agreeing == 0 && findings_have(&scene.findings, "blade-absent"),
           "a finding says that no blade line is heard");
    scene_clear(&scene);
}

int main(void)
{
    unequal_rotors();
    hum_alone();
    hum_beside();
    another_count();
    another_count_on_mains();
    orders_alone();
    return tap_done();
}
