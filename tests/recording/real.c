/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "surveyed.h"

/* Real recordings by others (each with its licence and what is known of it in its SOURCE.txt). What is checked was seen
 * there by other means: a channel that starts with digital silence and a decaying offset, a fifth of samples at the
 * codes 0 and 255, silence from 2.7 s on, a steady helicopter. */

static const char *real_path(const char *name)
{
    static char path[1000];
    const char *folder = getenv("THRUM_RECORDINGS");
    snprintf(path, sizeof path, "%s/%s", folder ? folder : "", name);
    return path;
}

static struct surveyed survey_channel(const char *name, int channel, double blade_hz)
{
    struct survey_request request = request_of(blade_hz);
    request.channel = channel;
    struct surveyed surveyed = survey_file(real_path(name), &request);
    printf("# %s, channel %d: %.2f to %.2f of %.2f s, %s\n", name, channel + 1, surveyed.survey.used_start_s,
           surveyed.survey.used_end_s, surveyed.survey.duration_s, surveyed.survey.used_reason);
    for (size_t i = 0; i < surveyed.findings.count; i++)
        printf("# %s (%s): %s\n", surveyed.findings.items[i].code, severity_key(surveyed.findings.items[i].severity),
               surveyed.findings.items[i].text);
    return surveyed;
}

static bool have(const struct surveyed *surveyed, const char *code)
{
    return surveyed->done && findings_have(&surveyed->findings, code);
}

static void a_motor_on_a_stand(void)
{
    static const struct {
        const char *name;
        double blade_hz;
    } rows[] = { { "bldc-prop-throttle/motor_m1_prop_30pct_000.wav", 121 },
                 { "bldc-prop-throttle/motor_m1_prop_40pct_000.wav", 163 },
                 { "bldc-prop-throttle/motor_m1_prop_50pct_000.wav", 192 },
                 { "bldc-prop-throttle/motor_m1_no_prop_60pct_000.wav", ABSENT } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        /* The left channel fades in over the first 0.2 s; then the level holds. */
        struct surveyed left = survey_channel(rows[i].name, 0, rows[i].blade_hz);
        tap_ok(left.done && left.survey.used_start_s >= 0.19 && left.survey.used_end_s - left.survey.used_start_s >= 1,
               "left: the fade is left out, a second or more is used");
        tap_ok(findings_worst(&left.findings) == SEVERITY_NOTE, "left: good");
        surveyed_clear(&left);
        struct surveyed right = survey_channel(rows[i].name, 1, rows[i].blade_hz);
        tap_ok(have(&right, "dc-decay"), "right: the decaying offset is found");
        surveyed_clear(&right);
    }
}

static void eight_bits(void)
{
    for (int channel = 0; channel < 2; channel++) {
        struct surveyed surveyed = survey_channel("edge-8bit-heli/hh60_engine_inside.wav", channel, 31.7);
        tap_ok(have(&surveyed, "clipped") && have(&surveyed, "low-resolution") && have(&surveyed, "low-rate") &&
                   !have(&surveyed, "drop-out") && findings_worst(&surveyed.findings) == SEVERITY_UNUSABLE,
               "clipped, of few bits and of low rate, but no drop-outs");
        surveyed_clear(&surveyed);
    }
}

static void silence_and_codec(void)
{
    struct surveyed surveyed = survey_channel("esc10-helicopter/3-154926-A.ogg", 0, ABSENT);
    tap_ok(have(&surveyed, "silence") && have(&surveyed, "lossy-source"), "silence and a lossy codec");
    tap_within(surveyed.survey.used_start_s, 0.69, 0.11, 0.11, "the sound runs from");
    tap_within(surveyed.survey.used_end_s, 2.67, 0.11, 0.11, "to");
    surveyed_clear(&surveyed);
}

static void outdoors(void)
{
    struct surveyed surveyed = survey_channel("drone-heli-field/HELICOPTER_018.wav", 0, 25.2);
    tap_ok(surveyed.done && surveyed.survey.used_end_s - surveyed.survey.used_start_s > 7 &&
               findings_worst(&surveyed.findings) == SEVERITY_NOTE,
           "a steady helicopter is used nearly whole");
    surveyed_clear(&surveyed);
    surveyed = survey_channel("drone-heli-field/HELICOPTER_005.wav", 0, 11.94);
    tap_ok(surveyed.done && !have(&surveyed, "drop-out"), "28 ms of zeros at its start are no drop-out");
    surveyed_clear(&surveyed);
    surveyed = survey_channel("drone-heli-field/BACKGROUND_001.wav", 0, ABSENT);
    tap_ok(surveyed.done && surveyed.survey.used_end_s - surveyed.survey.used_start_s < 10 &&
               !have(&surveyed, "gain-step"),
           "sounds that come and go by 35 dB are no gain steps");
    surveyed_clear(&surveyed);
}

/* Samples in g, beyond full scale of a float file: nothing is clipped. */
static void vibration(void)
{
    struct surveyed surveyed = survey_channel("mfpt-bearing/InnerRaceFault_vload_7_g_float32.wav", 0, ABSENT);
    tap_ok(surveyed.done && !have(&surveyed, "clipped") && surveyed.survey.peak_full_scale > 20, "peaks of %.1f g",
           surveyed.survey.peak_full_scale);
    tap_ok(!have(&surveyed, "dc-offset"), "an offset of less than a hundredth of them is none");
    surveyed_clear(&surveyed);
    surveyed = survey_channel("mfpt-bearing/OuterRaceFault_vload_1_g_float32.wav", 0, ABSENT);
    tap_ok(have(&surveyed, "dc-offset"), "-0.19 g of 6.3 g is one");
    surveyed_clear(&surveyed);
}

int main(void)
{
    if (access(real_path("bldc-prop-throttle/SOURCE.txt"), R_OK) != 0) {
        tap_skip("no real recordings in THRUM_RECORDINGS (%s)", getenv("THRUM_RECORDINGS") ? "not there" : "not set");
        return tap_done();
    }
    a_motor_on_a_stand();
    eight_bits();
    silence_and_codec();
    outdoors();
    vibration();
    return tap_done();
}
