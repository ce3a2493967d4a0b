/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "failing_memory.h"
#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/coincide.h"
#include "rotor/rotor.h"

/* Every allocation of an explanation fails once: the linker sends calls of calloc, malloc and realloc here (--wrap).
 * Each failure must come back as ERR_MEMORY and leave nothing behind (the address sanitizer and valgrind see to that).
 */

static struct variant variant;
static struct figures figures;
static struct sound_file file;

static bool explain_with(double log_rpm, struct err *err)
{
    struct rotor_log log = { log_rpm, ABSENT, ABSENT, ABSENT, -1, ABSENT };
    struct rotor_figures out;
    struct findings findings = { 0 };
    bool is_ok = rotor_explain(&variant, &log, &figures, &file.pressure, &out, &findings, err);
    if (is_ok)
        rotor_figures_clear(&out);
    if (findings.failed) /* sticky: told by the caller of this stage */
        is_ok = is_ok && err_memory(err);
    findings_clear(&findings);
    return is_ok;
}

static bool explain(struct err *err)
{
    return explain_with(4500, err);
}

static bool explain_broad(struct err *err)
{
    return explain_with(ABSENT, err);
}

static bool coincide(struct err *err)
{
    struct lines lines = { 0 };
    struct coincidences groups = { 0 };
    bool is_ok = drive_lines(&variant, 4500, 2, 4000, &lines, err) && coincidences_find(&lines, 3, &groups, err);
    coincidences_clear(&groups);
    lines_clear(&lines);
    return is_ok;
}

static void fail_each(bool (*run)(struct err *err), const char *what)
{
    long tried = 0, wrong = 0;
    bool is_done = false;
    for (; !is_done && tried < 20000; tried++) {
        struct err err = { 0 };
        allocations_left = tried;
        is_done = run(&err) && allocations_left >= 0;
        wrong += !is_done && err.kind != ERR_MEMORY;
    }
    allocations_left = -1;
    tap_ok(is_done && wrong == 0, "%s: %ld allocations failed one by one, %ld not told as such", what, tried - 1,
           wrong);
}

int main(void)
{
    char name[] = "front";
    struct bearing bearing = { .name = name, .shaft = SHAFT_ROTOR, .balls = 7, .ball_mm = 4, .pitch_mm = 15 };
    struct dice dice = { 6 };
    struct sound sound = sound_silence(8000, 2);
    sound_add_noise(&sound, 1e-7, &dice);
    for (int number = 1; number <= 6; number++)
        sound_add_tone(&sound, 150.3 * number, 0.1 / number, number, 0.02);
    sound_add_tone(&sound, 1777, 0.05, 0, 0);
    file = sound_file_open(&sound, NULL);
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 4096);
    variant_init(&variant);
    variant.blades = 2;
    variant.rotors = 2;
    variant.bearings = &bearing;
    variant.bearing_count = 1;
    fail_each(explain, "an explanation with its second passes");
    fail_each(coincide, "lines and those that fall together");
    sound_file_close(&file);
    figures_clear(&figures);
    free(sound.pa);
    /* Lines beside a comb, each moving its own way: no speed but by looking for a wandering one. */
    sound = sound_silence(8000, 1.2);
    sound_add_noise(&sound, 1e-8, &dice);
    for (int number = 1; number <= 3; number++)
        sound_add_tone(&sound, 150.3 * number * (1 + 0.003 * (number - 1)), 0.1 / number, number, 0.01 + 0.02 * number);
    file = sound_file_open(&sound, NULL);
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 2048);
    fail_each(explain_broad, "an explanation of broad lines without a log");
    sound_file_close(&file);
    figures_clear(&figures);
    free(sound.pa);
    /* A ramp by 20 %: ridges, and their combs. */
    sound = sound_silence(8000, 1.4);
    sound_add_noise(&sound, 1e-8, &dice);
    for (int number = 1; number <= 5; number++)
        sound_add_tone(&sound, 150.3 * number, 0.1 / number, number, 0.2);
    file = sound_file_open(&sound, NULL);
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 2048);
    fail_each(explain_broad, "an explanation of a ramp without a log");
    sound_file_close(&file);
    figures_clear(&figures);
    free(sound.pa);
    return tap_done();
}
