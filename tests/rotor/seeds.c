/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "drive_score.h"
#include "made_up.h"

/* A few of the made-up rotors and drives that tests/bench/rotor runs by the hundred, from fixed seeds. The bounds are
 * those of the scores there: speed within 0.05 % with a log, 0.1 % without, shifted where the log is wrong. */

static void rotor(unsigned seed)
{
    struct made_up rotor = made_up_rotor(seed, true);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&rotor.sound, MADE_UP_BLOCK);
    struct sound_file file = sound_file_open(&rotor.sound, NULL);
    struct findings findings = { 0 };
    struct rotor_figures out =
        made_up_explain(&figures, &file, rotor.blades, rotor.rpm * (1 + rotor.log_off), &findings);
    tap_near(out.rpm_measured, rotor.rpm, rotor.rpm * 5e-4,
             "seed %u, %d blades, %.0f dB above noise, drift %+.2f %%, log %+.1f %% off: rev/min", seed, rotor.blades,
             rotor.above_noise_db, 100 * rotor.drift, 100 * rotor.log_off);
    rotor_figures_clear(&out);
    out = made_up_explain(&figures, &file, rotor.blades, ABSENT, &findings);
    tap_near(out.rpm_measured, rotor.rpm, rotor.rpm * 1e-3, "no log");
    rotor_figures_clear(&out);
    out = made_up_explain(&figures, &file, rotor.blades, rotor.rpm * 1.08, &findings);
    tap_near(out.rpm_measured, rotor.rpm, rotor.rpm * 5e-4, "log 8 %% too high");
    tap_ok(out.blade_passage_count > 0 && out.blade_passages[0].verdict == BLADE_SHIFTED, "and blade 1 shifted");
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(rotor.sound.pa);
}

static void no_rotor(unsigned seed)
{
    struct made_up rotor = made_up_rotor(seed, false);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&rotor.sound, MADE_UP_BLOCK);
    struct findings findings = { 0 };
    struct rotor_figures out = made_up_explain(&figures, NULL, rotor.blades, rotor.rpm, &findings);
    bool agrees = false;
    for (size_t i = 0; i < out.blade_passage_count; i++)
        agrees |= out.blade_passages[i].verdict == BLADE_AGREES;
    tap_ok(!agrees, "seed %u without a rotor: no blade line agrees", seed);
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    free(rotor.sound.pa);
}

int main(void)
{
    for (unsigned seed = 1001; seed <= 1008; seed++)
        rotor(seed);
    for (unsigned seed = 1011; seed <= 1020; seed++)
        no_rotor(seed);
    struct drive_score score = { 0 };
    for (unsigned seed = 1001; seed <= 1012; seed++) {
        struct made_up_drive drive;
        made_up_drive(seed, &drive);
        drive_score_add(&drive, false, &score);
        free(drive.sound.pa);
    }
    tap_ok(score.right >= 0.95 * score.tones, "12 drives: %d of %d tones get the right source (at least 95 %%)",
           score.right, score.tones);
    printf("# %d of %d plants given a source\n", score.plants_named, score.plants);
    tap_ok(score.slips == 0, "no slip is told, as none has one: %d", score.slips);
    return tap_done();
}
