/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/rotor.h"

/* A tachometer whose pulses a turn are given wrongly says a speed that the sound contradicts. What is true is made
 * here: a rotor of two blades at 4200 rev/min, so many pulses a turn. */

#define RATE_HZ 16000.0
#define SHAFT_HZ 70.0
#define TRUE_RPM 4200.0

static struct err err;

static struct rotor_figures explain(int blades, int pulses, double pulses_given, double log_rpm, double unequal,
                                    struct findings *findings)
{
    struct dice dice = { 5 };
    struct sound sound = sound_silence(RATE_HZ, 4);
    sound_add_noise(&sound, 1e-8, &dice);
    for (int order = 1; order <= 12; order++)
        sound_add_tone(&sound, SHAFT_HZ * order, 0.05 / order * (order % 2 == 0 ? 1 : unequal), order, 0);
    double *tach = must(calloc(sound.count, sizeof *tach));
    for (size_t i = 0; i < sound.count; i++)
        tach[i] = fmod(SHAFT_HZ * pulses * (double)i / RATE_HZ, 1) < 0.2 ? 0.5 : 0;
    struct sound_file file = sound_file_open(&sound, tach);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&sound, 16384);
    struct variant variant;
    variant_init(&variant);
    variant.blades = blades;
    struct rotor_log log = { log_rpm, ABSENT, ABSENT, ABSENT, 1, pulses_given };
    struct rotor_figures out;
    if (!rotor_explain(&variant, &log, &figures, &file.pressure, &out, findings, &err)) {
        printf("Bail out! %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    figures_clear(&figures);
    sound_file_close(&file);
    free(tach);
    free(sound.pa);
    return out;
}

static const char *said(const struct findings *findings, const char *code)
{
    for (size_t i = 0; i < findings->count; i++)
        if (strcmp(findings->items[i].code, code) == 0)
            return findings->items[i].text;
    return NULL;
}

static const struct {
    const char *what;
    int blades, pulses;
    double pulses_given, log_rpm, unequal;
    double rpm;                /* that is to be told */
    const char *source, *fits; /* fits: NULL where nothing is to be said */
} cases[] = {
    { "right pulses", 2, 2, 2, ABSENT, 0, TRUE_RPM, "tachometer", NULL },
    { "right pulses, unequal blades", 2, 2, 2, ABSENT, 0.1, TRUE_RPM, "tachometer", NULL },
    { "right pulses, unequal blades, log", 2, 2, 2, TRUE_RPM, 0.1, TRUE_RPM, "tachometer", NULL },
    { "2 pulses given as 1", 2, 2, 1, ABSENT, 0, 2 * TRUE_RPM, "tachometer", "2 would fit" },
    { "2 pulses given as 1, log", 2, 2, 1, 4250, 0, TRUE_RPM, "sound", "2 would fit" },
    { "1 pulse given as 2", 2, 1, 2, ABSENT, 0, TRUE_RPM / 2, "tachometer", "1 would fit" },
    { "1 pulse given as 2, log", 2, 1, 2, 4180, 0, TRUE_RPM, "sound", "1 would fit" },
    { "3 pulses given as 1, log", 2, 3, 1, 4250, 0, TRUE_RPM, "sound", "3 would fit" },
    { "3 pulses given as 2, log", 2, 3, 2, 4250, 0, TRUE_RPM, "sound", "3 would fit" },
};

int main(void)
{
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct findings findings = { 0 };
        struct rotor_figures out = explain(cases[i].blades, cases[i].pulses, cases[i].pulses_given, cases[i].log_rpm,
                                           cases[i].unequal, &findings);
        const char *text = said(&findings, "tach-ratio");
        tap_ok(cases[i].fits ? text && strstr(text, cases[i].fits) : !text, "%s: %s", cases[i].what,
               text ? text : "nothing said");
        tap_near(out.rpm_measured, cases[i].rpm, cases[i].rpm * 5e-4, "rev/min");
        tap_text(out.rpm_source, cases[i].source, "its source");
        rotor_figures_clear(&out);
        findings_clear(&findings);
    }
    /* The log bears the tachometer out: then the blade count is what is wrong. */
    struct findings findings = { 0 };
    struct rotor_figures out = explain(4, 2, 2, TRUE_RPM, 0, &findings);
    tap_ok(!said(&findings, "tach-ratio") && said(&findings, "blade-count"), "2 blades given as 4, log: %s",
           said(&findings, "blade-count") ? said(&findings, "blade-count") : "nothing said");
    rotor_figures_clear(&out);
    findings_clear(&findings);
    return tap_done();
}
