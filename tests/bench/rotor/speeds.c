/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How often is the speed of a made-up rotor right? Prints the scores beside what they are to be; exit status 1 when one
 * is missed. bench-rotor-speeds [COUNT [FIRST_SEED]] [-v] */

#include "rotor/made_up.h"

struct score {
    const char *what;
    double goal_pct;
    bool is_most; /* the goal is the most, not the least */
    int hit, count;
};

enum { SPEED_LOG, SPEED_NO_LOG, WRONG_LOG, NO_ROTOR, WRONG_COUNT, SCORES };

static bool says_shifted(const struct rotor_figures *rotor)
{
    for (size_t i = 0; i < rotor->blade_passage_count; i++)
        if (rotor->blade_passages[i].verdict == BLADE_SHIFTED)
            return true;
    return false;
}

static bool says_agrees(const struct rotor_figures *rotor)
{
    for (size_t i = 0; i < rotor->blade_passage_count; i++)
        if (rotor->blade_passages[i].verdict == BLADE_AGREES)
            return true;
    return false;
}

static bool names_count(const struct findings *findings, int count)
{
    char text[32];
    snprintf(text, sizeof text, "%d blades", count);
    for (size_t i = 0; i < findings->count; i++)
        if (strncmp(findings->items[i].code, "blade-count", 11) == 0 && strstr(findings->items[i].text, text))
            return true;
    return false;
}

static void add(struct score *score, bool is_hit)
{
    score->hit += is_hit;
    score->count++;
}

static void tell(bool is_verbose, const char *what, unsigned seed, const struct made_up *rotor, double got_rpm)
{
    if (is_verbose)
        printf("%s: seed %u, %d blades %.2f rev/min, %.1f dB above noise, drift %+.2f %%, unequal %.3f: got %.2f "
               "(%+.3f %%)\n",
               what, seed, rotor->blades, rotor->rpm, rotor->above_noise_db, 100 * rotor->drift, rotor->unequal,
               got_rpm, 100 * (got_rpm / rotor->rpm - 1));
}

static void with_rotor(unsigned seed, struct score *scores, bool is_verbose)
{
    struct made_up rotor = made_up_rotor(seed, true);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&rotor.sound, MADE_UP_BLOCK);
    struct findings findings = { 0 };
    struct sound_file file = sound_file_open(&rotor.sound, NULL);
    struct dice dice = { seed };

    struct rotor_figures out =
        made_up_explain(&figures, &file, rotor.blades, rotor.rpm * (1 + rotor.log_off), &findings);
    bool is_right = fabs(out.rpm_measured / rotor.rpm - 1) <= 0.0005;
    add(&scores[SPEED_LOG], is_right);
    if (!is_right)
        tell(is_verbose, "with log", seed, &rotor, out.rpm_measured);
    rotor_figures_clear(&out);

    out = made_up_explain(&figures, &file, rotor.blades, ABSENT, &findings);
    is_right = fabs(out.rpm_measured / rotor.rpm - 1) <= 0.001;
    add(&scores[SPEED_NO_LOG], is_right);
    if (!is_right)
        tell(is_verbose, "no log", seed, &rotor, out.rpm_measured);
    rotor_figures_clear(&out);

    double off = dice_between(&dice, 0.05, 0.12) * (dice_uniform(&dice) < 0.5 ? -1 : 1);
    out = made_up_explain(&figures, &file, rotor.blades, rotor.rpm * (1 + off), &findings);
    is_right = fabs(out.rpm_measured / rotor.rpm - 1) <= 0.0005 && says_shifted(&out);
    add(&scores[WRONG_LOG], is_right);
    if (!is_right)
        tell(is_verbose, "wrong log", seed, &rotor, out.rpm_measured);
    rotor_figures_clear(&out);

    /* Uneven enough to tell: the other orders' strongest lines stand 6 dB out of the noise in a line. */
    double other_db = rotor.above_noise_db + amplitude_ratio_to_db(rotor.unequal) +
                      power_ratio_to_db(made_up_critical_hz(rpm_to_hz(rotor.rpm) * rotor.blades) /
                                        (1.5 * MADE_UP_RATE_HZ / MADE_UP_BLOCK));
    if (other_db > 10) {
        int wrong = rotor.blades;
        while (wrong == rotor.blades)
            wrong = dice_whole(&dice, 2, 6);
        findings_clear(&findings);
        out = made_up_explain(&figures, &file, wrong, rotor.rpm * (1 + rotor.log_off), &findings);
        is_right = names_count(&findings, rotor.blades);
        add(&scores[WRONG_COUNT], is_right);
        if (!is_right) {
            tell(is_verbose, "wrong count", seed, &rotor, out.rpm_measured);
            for (size_t i = 0; is_verbose && i < findings.count; i++)
                printf("   said %d: %s\n", wrong, findings.items[i].text);
        }
        rotor_figures_clear(&out);
    }
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(rotor.sound.pa);
}

static void without_rotor(unsigned seed, struct score *scores, bool is_verbose)
{
    struct made_up rotor = made_up_rotor(seed, false);
    struct figures figures;
    figures_init(&figures);
    figures.spectrum = sound_spectrum(&rotor.sound, MADE_UP_BLOCK);
    struct findings findings = { 0 };
    struct sound_file file = sound_file_open(&rotor.sound, NULL);
    struct rotor_figures out = made_up_explain(&figures, &file, rotor.blades, rotor.rpm, &findings);
    add(&scores[NO_ROTOR], says_agrees(&out));
    if (says_agrees(&out))
        tell(is_verbose, "no rotor", seed, &rotor, out.rpm_measured);
    rotor_figures_clear(&out);
    findings_clear(&findings);
    figures_clear(&figures);
    sound_file_close(&file);
    free(rotor.sound.pa);
}

int main(int argc, char **argv)
{
    bool is_verbose = argc > 1 && strcmp(argv[argc - 1], "-v") == 0;
    argc -= is_verbose;
    unsigned count = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 300;
    unsigned first = argc > 2 ? (unsigned)strtoul(argv[2], NULL, 10) : 1;
    struct score scores[SCORES] = {
        [SPEED_LOG] = { "speed within 0.05 %, log off by up to 1.5 %", 98, false, 0, 0 },
        [SPEED_NO_LOG] = { "speed within 0.1 %, no log", 95, false, 0, 0 },
        [WRONG_LOG] = { "log off by 5 to 12 %: shifted, speed within 0.05 %", 95, false, 0, 0 },
        [NO_ROTOR] = { "no rotor, and yet a blade line agrees", 2, true, 0, 0 },
        [WRONG_COUNT] = { "wrong blade count, uneven blades: the right one named", 90, false, 0, 0 },
    };
    for (unsigned seed = first; seed < first + count; seed++) {
        with_rotor(seed, scores, is_verbose);
        without_rotor(seed, scores, is_verbose);
    }
    bool is_met = true;
    for (int i = 0; i < SCORES; i++) {
        double pct = 100.0 * scores[i].hit / fmax(scores[i].count, 1);
        bool is_fine = scores[i].is_most ? pct <= scores[i].goal_pct : pct >= scores[i].goal_pct;
        is_met = is_met && is_fine;
        printf("%-55s %5.1f %% of %d (goal: at %s %g %%) %s\n", scores[i].what, pct, scores[i].count,
               scores[i].is_most ? "most" : "least", scores[i].goal_pct, is_fine ? "met" : "MISSED");
    }
    return is_met ? EXIT_SUCCESS : EXIT_FAILURE;
}
