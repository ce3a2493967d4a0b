/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_SCENE_H
#define THRUM_TESTS_ROTOR_SCENE_H

/* A made-up recording of a machine: tones over noise, the variant and the log that go with them, and what is said. */

#include "tap.h"

#include "base/absent.h"
#include "file.h"
#include "rotor/rotor.h"

#define SCENE_RATE_HZ 44100.0
#define SCENE_LENGTH_S 4.0

struct scene {
    struct sound sound;
    struct dice dice;
    struct variant variant;
    struct rotor_log log;
    struct figures figures;
    struct rotor_figures rotor;
    struct findings findings;
};

static inline struct scene scene_new(int blades, double log_rpm, uint64_t seed)
{
    struct scene scene = { .dice = { seed }, .log = { log_rpm, ABSENT, ABSENT, ABSENT, -1, ABSENT } };
    scene.sound = sound_silence(SCENE_RATE_HZ, SCENE_LENGTH_S);
    sound_add_noise(&scene.sound, 1e-8, &scene.dice);
    variant_init(&scene.variant);
    scene.variant.blades = blades;
    return scene;
}

static inline void put(struct scene *scene, double hz, double rms_pa)
{
    sound_add_tone(&scene->sound, hz, rms_pa, dice_between(&scene->dice, 0, 6), 0);
}

static inline void blades(struct scene *scene, double rpm, double rms_pa)
{
    for (int number = 1; number <= 6; number++)
        put(scene, number * scene->variant.blades * rpm / 60, rms_pa * pow(0.6, number - 1));
}

static inline void explain(struct scene *scene)
{
    struct err err = { 0 };
    figures_init(&scene->figures);
    scene->figures.spectrum = sound_spectrum(&scene->sound, 65536);
    struct sound_file file = sound_file_open(&scene->sound, NULL);
    tap_ok(rotor_explain(&scene->variant, &scene->log, &scene->figures, &file.pressure, &scene->rotor, &scene->findings,
                         &err),
           "a scene is explained");
    sound_file_close(&file);
    for (size_t i = 0; i < scene->rotor.remark_count; i++)
        printf("# %s\n", scene->rotor.remarks[i]);
}

static inline bool says(const struct scene *scene, const char *words)
{
    for (size_t i = 0; i < scene->rotor.remark_count; i++)
        if (strstr(scene->rotor.remarks[i], words))
            return true;
    return false;
}

static inline void scene_clear(struct scene *scene)
{
    free(scene->sound.pa);
    figures_clear(&scene->figures);
    rotor_figures_clear(&scene->rotor);
    findings_clear(&scene->findings);
}

static inline const struct tone *tone_at(const struct scene *scene, double hz)
{
    for (size_t i = 0; i < scene->rotor.tone_count; i++)
        if (fabs(scene->rotor.tones[i].hz - hz) < 0.5)
            return &scene->rotor.tones[i];
    return NULL;
}

static inline bool is_told(const struct scene *scene, double hz, const char *source, const char *words)
{
    const struct tone *tone = tone_at(scene, hz);
    printf("# %.2f Hz: %s, %s\n", hz, tone ? tone->source : "none", tone ? tone->remark : "");
    return tone && strcmp(tone->source, source) == 0 && strstr(tone->remark, words);
}

#endif
