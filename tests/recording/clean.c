/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "surveyed.h"

/* False alarms: sounds of rotors without any fault, at many levels, rates, depths, speeds and shares of noise. Nothing
 * may be found but what the row deserves (a low rate; too quiet for its bits), and all of it must be used. A number on
 * the command line repeats it with so many seeds: `test-recording-clean 20` surveys two thousand sounds. */

struct row {
    double rate_hz, blade_hz, level_db, noise_share;
    int format;
};

static const char *deserved(const struct row *row)
{
    return row->rate_hz < 44100 ? "low-rate" : "";
}

static bool is_clean(const struct row *row, uint64_t seed, bool knows_blade)
{
    struct sound sound = sound_new(row->rate_hz, 4);
    sound_add_rotor(&sound, pow(10, row->level_db / 20), row->blade_hz, row->noise_share, seed);
    /* No hand on a throttle is perfect: every other sound swells and falls by 0.7 dB in some seconds. */
    for (size_t i = 0; seed % 2 && i < sound.count; i++)
        sound.samples[i] *= pow(10, 0.7 / 20 * sin(TWO_PI * 0.37 * (double)i / row->rate_hz));
    struct survey_request request = request_of(knows_blade ? row->blade_hz * 1.01 : ABSENT);
    struct surveyed surveyed = survey_sound(&sound, row->format, &request);
    bool clean = surveyed.done && strcmp(codes_of(&surveyed.findings), deserved(row)) == 0 &&
                 surveyed.survey.used_start_s == 0 && surveyed.survey.used_end_s == surveyed.survey.duration_s;
    if (!clean)
        printf("# %g Hz, blade %g Hz (%sknown), %g dB, noise %g, format %x, seed %llu: \"%s\", %g to %g s %s\n",
               row->rate_hz, row->blade_hz, knows_blade ? "" : "not ", row->level_db, row->noise_share,
               (unsigned)row->format, (unsigned long long)seed, codes_of(&surveyed.findings),
               surveyed.survey.used_start_s, surveyed.survey.used_end_s, surveyed.err.text);
    surveyed_clear(&surveyed);
    sound_free(&sound);
    return clean;
}

int main(int argc, char **argv)
{
    static const double rates_hz[] = { 22050, 44100, 48000, 96000 }, blades_hz[] = { 23, 70, 163, 420 };
    static const double levels_db[] = { -45, -30, -15 }, noise_shares[] = { 0.02, 0.3, 1 };
    long seeds = argc > 1 ? strtol(argv[1], NULL, 10) : 1;
    if (!signals_begin())
        return tap_done();
    size_t count = 0, alarms = 0;
    for (long seed = 1; seed <= seeds; seed++) {
        for (size_t i = 0; i < 4 * 4 * 3; i++) {
            /* The share of noise and the depth walk through beside the rest. */
            struct row row = { .rate_hz = rates_hz[i % 4],
                               .blade_hz = blades_hz[i / 4 % 4],
                               .level_db = levels_db[i / 16],
                               .noise_share = noise_shares[(i + i / 4 + (size_t)seed) % 3],
                               .format = (i + i / 4 + i / 16) % 2 ? WAV24 : WAV16 };
            count += 2;
            uint64_t number = (uint64_t)seed * 1000 + i;
            alarms += !is_clean(&row, number, true);
            alarms += !is_clean(&row, number, false);
        }
    }
    tap_ok(alarms == 0, "%zu alarms for %zu clean sounds", alarms, count);
    return signals_end();
}
