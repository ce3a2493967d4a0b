/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "surveyed.h"

/* The used part, by the rule of steady.h. */

#define BLADE_HZ 140.0

static void a_steady_recording_is_used_whole(void)
{
    static const double rates_hz[] = { 8000, 44100, 48000, 96000 }, durations_s[] = { 1.03, 2, 3.777, 6.05 };
    for (size_t r = 0; r < 4; r++) {
        for (size_t d = 0; d < 4; d++) {
            for (int knows = 0; knows < 2; knows++) {
                struct sound sound = sound_new(rates_hz[r], durations_s[d]);
                sound_add_rotor(&sound, 0.05, BLADE_HZ, 0.3, 100 + d);
                struct survey_request request = request_of(knows ? BLADE_HZ : ABSENT);
                struct surveyed surveyed = survey_sound(&sound, WAV24, &request);
                double duration_s = (double)sound.count / rates_hz[r];
                tap_ok(surveyed.done && surveyed.survey.used_start_s == 0 && surveyed.survey.used_end_s == duration_s &&
                           surveyed.survey.duration_s == duration_s && surveyed.survey.used_was_found,
                       "%g s at %g Hz, blade tone %sknown: %g to %g s (%s)", durations_s[d], rates_hz[r],
                       knows ? "" : "not ", surveyed.survey.used_start_s, surveyed.survey.used_end_s,
                       surveyed.survey.used_reason);
                surveyed_clear(&surveyed);
                sound_free(&sound);
            }
        }
    }
}

/* A rotor that turns at speed(t) times BLADE_HZ; its sound follows the fifth power of speed in amplitude (50 lg, common
 * practice for rotors of one kind), down to a background. */
static struct sound run_of(double duration_s, double (*speed)(double t))
{
    struct sound sound = sound_new(48000, duration_s), noise = sound_new(48000, duration_s);
    sound_add_noise(&noise, 0.05, 111);
    sound_add_noise(&sound, 0.0005, 112);
    double turn = 0;
    for (size_t i = 0; i < sound.count; i++) {
        double now = speed((double)i / 48000), loud = pow(now, 2.5);
        turn = fmod(turn + now * BLADE_HZ / 48000, 1);
        sound.samples[i] += loud * (0.1 * sin(TWO_PI * turn) + 0.05 * sin(2 * TWO_PI * turn + 1) + noise.samples[i]);
    }
    sound_free(&noise);
    return sound;
}

static double up_and_down(double t)
{
    return t < 2 ? 0.3 + 0.35 * t : t < 8 ? 1 : fmax(1 - 0.35 * (t - 8), 0.3);
}

static double two_speeds(double t)
{
    return t < 3 ? 0.7 : 1;
}

static double slow_rise(double t)
{
    return t < 4 ? 1 : 1 + 0.03 * (t - 4);
}

static double throttle_step(double t)
{
    return t < 3.5 ? 1 : t < 4 ? 1 + 0.13 * (t - 3.5) : 1.065;
}

static double throttle_drop(double t)
{
    return t < 5 ? 1 : t < 5.5 ? 1 - 0.13 * (t - 5) : 0.935;
}

/* Uses [start_s, end_s]: nothing from outside beyond `outside_s`, and no more than `inside_s` of it is lost. */
static void uses(struct sound *sound, double blade_hz, double start_s, double end_s, double outside_s, double inside_s,
                 const char *what)
{
    struct survey_request request = request_of(blade_hz);
    struct surveyed surveyed = survey_sound(sound, WAV24, &request);
    tap_ok(surveyed.done, "%s: %s", what, surveyed.survey.used_reason);
    tap_within(surveyed.survey.used_start_s, start_s, outside_s, inside_s, "from");
    tap_within(surveyed.survey.used_end_s, end_s, inside_s, outside_s, "to");
    surveyed_clear(&surveyed);
    sound_free(sound);
}

static void ramps_are_left_out(void)
{
    struct sound sound = run_of(10, up_and_down);
    uses(&sound, ABSENT, 2, 8, 0.3, 0.2, "spun up and down");
    sound = run_of(10, up_and_down);
    uses(&sound, BLADE_HZ, 2, 8, 0.3, 0.6, "spun up and down, blade tone known");
    sound = run_of(8, two_speeds);
    uses(&sound, ABSENT, 3, 8, 0.1, 0.2, "two speeds");
    /* 6.5 % of speed are 1.4 dB: only the blade tone tells. A window of a second that sees both speeds is lost. */
    sound = run_of(9, throttle_step);
    uses(&sound, BLADE_HZ, 4, 9, 0.5, 0.6, "a small step of speed, blade tone known");
    /* From 4 s on 3 % a second: 4 % are reached at 5.3 s. */
    sound = run_of(8, slow_rise);
    uses(&sound, BLADE_HZ, 0, 5.33, 0.6, 0.6, "a slow rise, blade tone known");
}

/* A fade in and out of 0.3 s, linear in amplitude. A tenth that starts u seconds before the end has the mean square
 * (u^3 - (u - 0.1)^3) / (0.3 * 0.3^2) of the level before: 1.5 dB less at u = 0.302. So the used part ends at most
 * 0.302 s and, a tenth further, at least 0.202 s before the end, whatever the grid of tenths; as much at the start. The
 * level of a tenth of this sound varies by 0.3 dB, which moves both by 0.3 / (8.7 dB / 0.25 s) = 0.009 s. */
static void fades_are_left_out(void)
{
    static const double rates_hz[] = { 44100, 48000, 96000 }, durations_s[] = { 5, 5.003, 5.03, 5.049, 5.06, 5.097 };
    for (size_t r = 0; r < 3; r++) {
        for (size_t d = 0; d < 6; d++) {
            struct sound sound = sound_new(rates_hz[r], durations_s[d]);
            sound_add_rotor(&sound, 0.05, BLADE_HZ, 0.3, 150 + d);
            size_t fade = (size_t)(0.3 * rates_hz[r]);
            for (size_t i = 0; i < fade; i++) {
                sound.samples[i] *= (double)i / (double)fade;
                sound.samples[sound.count - 1 - i] *= (double)i / (double)fade;
            }
            char what[80];
            snprintf(what, sizeof what, "%g s at %g Hz with fades", durations_s[d], rates_hz[r]);
            double end_s = (double)sound.count / rates_hz[r];
            uses(&sound, ABSENT, 0.252, end_s - 0.252, 0.06, 0.06, what);
        }
    }
}

/* Mains hum beside a rotor that holds its speed (50 Hz mains, IEC 60038). */
static void mains_hum_cuts_nothing(void)
{
    /* Blade tone and hum 0.3 Hz apart and 9 dB: together they swell by 20 lg(1.355/0.645) = 6.4 dB. At 100 Hz A weighs
     * them by -19.1 dB (IEC 61672-1:2013, table 3), to 14 dB below the noise. */
    struct sound sound = sound_new(48000, 10);
    sound_add_sine(&sound, 0.1, 99.7, 0);
    sound_add_sine(&sound, 0.0355, 100, 1);
    sound_add_noise(&sound, 0.04, 161);
    uses(&sound, 99.7, 0, 10, 0, 0, "a blade tone that beats with hum");
    /* A weak first blade line that swells by +-3 dB, 2 dB above hum in the mean: the strongest line is now this, now
     * that. */
    sound = sound_new(48000, 10);
    sound_add_sine(&sound, 0.004, 106.7, 0);
    for (size_t i = 0; i < sound.count; i++)
        sound.samples[i] *= pow(10, 3.0 / 20 * sin(TWO_PI * 0.2 * (double)i / 48000));
    sound_add_sine(&sound, 0.0032, 100, 1);
    sound_add_sine(&sound, 0.1, 213.4, 2);
    sound_add_noise(&sound, 0.02, 162);
    uses(&sound, 106.7, 0, 10, 0, 0, "a weak blade line beside hum");
    /* Hum stronger than the blade tone, which falls by 6.5 %: the rotor is followed, not the hum. */
    sound = run_of(9, throttle_drop);
    sound_add_sine(&sound, 0.15, 150, 0);
    uses(&sound, BLADE_HZ, 0, 5, 0.5, 0.6, "a small step of speed beside strong hum");
}

static void a_bang_is_left_out(void)
{
    struct sound sound = sound_new(48000, 10);
    sound_add_rotor(&sound, 0.02, BLADE_HZ, 0.3, 121);
    for (size_t i = 3 * 48000; i < sound.count; i++) {
        double t = (double)i / 48000 - 3;
        sound.samples[i] += 0.5 * exp(-t * 20) * sin(TWO_PI * 200 * t);
    }
    uses(&sound, BLADE_HZ, 3.3, 10, 0.1, 0.2, "a door that slams at 3 s");
}

static void what_is_asked_for_is_used(void)
{
    static const struct {
        double start_s, end_s, used_start_s, used_end_s;
        const char *word; /* NULL: taken */
    } rows[] = {
        { 1, 3, 1, 3, NULL },
        { 1.234, 2.345, 1.234, 2.345, NULL },
        { 1, ABSENT, 1, 4, NULL },
        { ABSENT, 2, 0, 2, NULL },
        { 0, 4.005, 0, 4, NULL }, /* a log's rounding */
        { 0, 4.1, 0, 0, "end_s 4.1 lies outside" },
        { 4, ABSENT, 0, 0, "start_s 4 lies outside" },
        { 7, 9, 0, 0, "start_s 7 lies outside" },
        { -1, 2, 0, 0, "start_s -1 lies outside" },
        { 2, 1, 0, 0, "end_s 1 is not behind start_s 2" },
        { 2, 2, 0, 0, "end_s 2 is not behind" },
    };
    struct sound sound = sound_new(48000, 4);
    sound_add_rotor(&sound, 0.05, BLADE_HZ, 0.3, 131);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct survey_request request = request_of(BLADE_HZ);
        request.start_s = rows[i].start_s;
        request.end_s = rows[i].end_s;
        struct surveyed surveyed = survey_sound(&sound, WAV16, &request);
        if (rows[i].word)
            tap_ok(!surveyed.done && surveyed.err.kind == ERR_RANGE && strstr(surveyed.err.text, rows[i].word) &&
                       surveyed.findings.count == 0,
                   "%g to %g s of 4 s is refused: %s", rows[i].start_s, rows[i].end_s, surveyed.err.text);
        else
            tap_ok(surveyed.done && surveyed.survey.used_start_s == rows[i].used_start_s &&
                       surveyed.survey.used_end_s == rows[i].used_end_s && !surveyed.survey.used_was_found,
                   "%g to %g s of 4 s: %g to %g s", rows[i].start_s, rows[i].end_s, surveyed.survey.used_start_s,
                   surveyed.survey.used_end_s);
        surveyed_clear(&surveyed);
    }
    struct survey_request request = request_of(BLADE_HZ);
    request.channel = 1;
    struct surveyed surveyed = survey_sound(&sound, WAV16, &request);
    tap_ok(!surveyed.done && surveyed.err.kind == ERR_AUDIO, "a channel that is missing: %s", surveyed.err.text);
    surveyed_clear(&surveyed);
    sound_free(&sound);
}

/* Recordings shorter than a half second, down to one frame: no crash, all is used. */
static void very_short_ones(void)
{
    static const size_t counts[] = { 1, 2, 7, 47, 48, 49, 4799, 4800, 4801, 23999, 24000, 24001 };
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        struct sound sound = sound_new(48000, 1);
        sound_add_noise(&sound, 0.1, 141);
        sound.count = counts[i];
        struct survey_request request = request_of(BLADE_HZ);
        struct surveyed surveyed = survey_sound(&sound, WAV16, &request);
        tap_ok(surveyed.done && surveyed.survey.used_start_s == 0 &&
                   surveyed.survey.used_end_s == (double)counts[i] / 48000 &&
                   findings_have(&surveyed.findings, "too-short"),
               "%zu frames: %s", counts[i], codes_of(&surveyed.findings));
        surveyed_clear(&surveyed);
        sound_free(&sound);
    }
}

/* More than an hour has longer steps; the rule stays: an hour and a quarter of a tone of 8 bits, 10 dB louder after an
 * hour, written piece by piece. */
static void a_long_one(void)
{
    SF_INFO info = { .samplerate = 8000, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_U8 };
    SNDFILE *file = sf_open(signals_path("long.wav"), SFM_WRITE, &info);
    static double second[8000];
    bool done = file != NULL;
    for (int s = 0; done && s < 4500; s++) {
        for (int i = 0; i < 8000; i++)
            second[i] = (s < 3600 ? 0.2 : 0.63) * sin(TWO_PI * 160 * i / 8000);
        done = sf_write_double(file, second, 8000) == 8000;
    }
    struct survey_request request = request_of(160);
    if (tap_ok(done && sf_close(file) == 0, "an hour and a quarter")) {
        struct surveyed surveyed = survey_file(signals_path("long.wav"), &request);
        tap_ok(surveyed.done && surveyed.survey.duration_s == 4500 && surveyed.survey.used_start_s == 0,
               "is used from its start: %s", surveyed.survey.used_reason);
        tap_within(surveyed.survey.used_end_s, 3600, 1, 0.4, "to the louder part");
        surveyed_clear(&surveyed);
    }
    signals_remove("long.wav");
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    a_steady_recording_is_used_whole();
    ramps_are_left_out();
    fades_are_left_out();
    mains_hum_cuts_nothing();
    a_bang_is_left_out();
    what_is_asked_for_is_used();
    very_short_ones();
    a_long_one();
    return signals_end();
}
