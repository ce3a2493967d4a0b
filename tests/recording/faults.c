/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "surveyed.h"

/* Each fault alone in an else clean recording of a rotor gives its finding and no other; its harmless neighbour gives
 * none. The faults are made here, the rules are those of docs/findings.md. */

#define BLADE_HZ 140.0

static struct sound rotor(double duration_s, double level)
{
    struct sound sound = sound_new(48000, duration_s);
    sound_add_rotor(&sound, level, BLADE_HZ, 0.3, 41);
    return sound;
}

static double time_of(const struct sound *sound, size_t index)
{
    return (double)index / sound->rate_hz;
}

static void clamp(struct sound *sound, double ceiling)
{
    for (size_t i = 0; i < sound->count; i++)
        sound->samples[i] = fmin(fmax(sound->samples[i], -ceiling), ceiling);
}

static void scale(struct sound *sound, double factor)
{
    for (size_t i = 0; i < sound->count; i++)
        sound->samples[i] *= factor;
}

static double peak_of(const struct sound *sound)
{
    double peak = 0;
    for (size_t i = 0; i < sound->count; i++)
        peak = fmax(peak, fabs(sound->samples[i]));
    return peak;
}

static void clipping(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(4, 0.5);
    sound_has(&sound, WAV16, &request, "clipped", "unusable", "clipped at full scale, 16 bit");
    sound = rotor(4, 0.5);
    sound_has(&sound, WAV24, &request, "clipped", "unusable", "clipped at full scale, 24 bit");
    sound = rotor(4, 0.5);
    clamp(&sound, 1);
    sound_has(&sound, SF_FORMAT_WAV | SF_FORMAT_FLOAT, &request, "clipped", "unusable", "clipped at full scale, float");
    sound = rotor(4, 0.1);
    clamp(&sound, 0.2);
    sound_has(&sound, WAV24, &request, "clipped", "unusable", "clipped by a stage before the recorder, at -14 dB");
    sound = rotor(4, 0.05);
    for (int k = 0; k < 3; k++) /* three knocks of three samples each */
        for (size_t i = 0; i < 3; i++)
            sound.samples[30000 + 50000 * (size_t)k + i] = 1.5;
    sound_has(&sound, WAV16, &request, "clipped", "doubtful", "three flat tops in 4 s");
    sound = rotor(4, 0.1);
    scale(&sound, 1 / peak_of(&sound));
    sound_has(&sound, WAV16, &request, "", "good", "one sample at full scale (normalised)");
    sound = rotor(4, 0.1);
    scale(&sound, 2 / peak_of(&sound));
    sound_has(&sound, SF_FORMAT_WAV | SF_FORMAT_FLOAT, &request, "", "good", "float beyond full scale");
}

/* Quantisation flattens the top of a slow sine by equal codes: that is no clipping. */
static void round_tops(void)
{
    static const struct {
        double hz, rate_hz, amplitude;
        int format;
    } rows[] = { { 30, 192000, 0.5, WAV16 },   { 60, 48000, 0.9, WAV16 },   { 125, 96000, 0.3, WAV16 },
                 { 250, 192000, 0.99, WAV16 }, { 1000, 48000, 0.7, WAV16 }, { 97, 48000, 0.5, WAV24 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sound sound = sound_new(rows[i].rate_hz, 4);
        struct survey_request request = request_of(rows[i].hz);
        char what[100];
        snprintf(what, sizeof what, "a sine of %g Hz at %g Hz", rows[i].hz, rows[i].rate_hz);
        sound_add_sine(&sound, rows[i].amplitude, rows[i].hz, 0.1);
        sound_has(&sound, rows[i].format, &request, "", "good", what);
    }
}

/* Changes the gain by `db` between start_s and start_s + duration_s, straight in dB, and keeps it. */
static void ramp(struct sound *sound, double db, double start_s, double duration_s)
{
    for (size_t i = 0; i < sound->count; i++) {
        double share = fmin(fmax((time_of(sound, i) - start_s) / duration_s, 0), 1);
        sound->samples[i] *= pow(10, db * share / 20);
    }
}

/* Holds every 20 ms at the same peak: gain ceiling/peak, straight between the middles. */
static void limit(struct sound *sound, double ceiling)
{
    size_t length = (size_t)(0.02 * sound->rate_hz), pieces = sound->count / length;
    double *gains = calloc(pieces + 1, sizeof *gains);
    for (size_t k = 0; k < pieces; k++) {
        double peak = 0;
        for (size_t i = k * length; i < (k + 1) * length; i++)
            peak = fmax(peak, fabs(sound->samples[i]));
        gains[k] = ceiling / peak;
    }
    for (size_t i = 0; i < pieces * length; i++)
        sound->samples[i] *= gains[i / length];
    free(gains);
    sound->count = pieces * length;
}

static void limiting(void)
{
    struct survey_request request = request_of(ABSENT);
    struct sound sound = sound_new(48000, 5);
    sound_add_noise(&sound, 0.1, 51);
    limit(&sound, 0.6);
    sound_has(&sound, WAV16, &request, "limiter-suspected", "doubtful", "noise behind a limiter");
    sound = rotor(6, 0.1);
    ramp(&sound, 2.5, 0, 6);
    limit(&sound, 0.6);
    scale(&sound, 0.5); /* a gain behind it */
    sound_has(&sound, WAV16, &request, "limiter-suspected", "doubtful", "a rotor behind a limiter");
    sound = rotor(6, 0.1);
    ramp(&sound, 2.5, 0, 6);
    sound_has(&sound, WAV16, &request, "", "good", "the same rotor without");
    sound = sound_new(48000, 5);
    sound_add_noise(&sound, 0.1, 51);
    sound_has(&sound, WAV16, &request, "", "good", "the same noise without");
    sound = sound_new(48000, 5);
    sound_add_sine(&sound, 0.5, 500, 0);
    sound_has(&sound, WAV16, &request, "", "good", "a steady tone, whose peaks are equal by nature");
}

static void zero(struct sound *sound, double start_s, double duration_s, double value)
{
    for (size_t i = 0; i < sound->count; i++)
        if (time_of(sound, i) >= start_s && time_of(sound, i) < start_s + duration_s)
            sound->samples[i] = value;
}

static void dropping_out(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(4, 0.1);
    zero(&sound, 1.2345, 0.005, 0);
    sound_has(&sound, WAV16, &request, "drop-out", "unusable", "5 ms of zeros");
    sound = rotor(4, 0.1);
    zero(&sound, 2.2222, 0.0025, 0.07);
    sound_has(&sound, WAV24, &request, "drop-out", "unusable", "2.5 ms of a held sample");
    sound = rotor(4, 0.1);
    zero(&sound, 1.2345, 0.04, 0);
    sound_has(&sound, SF_FORMAT_WAV | SF_FORMAT_FLOAT, &request, "drop-out", "unusable", "40 ms of zeros, float");
    sound = rotor(4, 0.1);
    zero(&sound, 0, 0.03, 0);
    zero(&sound, 3.97, 0.03, 0);
    sound_has(&sound, WAV16, &request, "", "good", "30 ms of zeros at both ends (what a codec leaves)");
    sound = rotor(4, 4e-5); /* -88 dB: 13 dB above the rounding noise */
    sound_has(&sound, WAV16, &request, "low-resolution", "doubtful", "equal samples because it is quiet");
    sound = rotor(4, 0.01);
    sound_has(&sound, SF_FORMAT_WAV | SF_FORMAT_PCM_U8, &request, "low-resolution", "doubtful",
              "equal samples of 8 bits");
}

static void silent(void)
{
    struct survey_request request = request_of(BLADE_HZ), asked = request;
    struct sound sound = sound_new(48000, 4);
    sound_has(&sound, WAV16, &request, "silence", "unusable", "zeros");
    sound = sound_new(48000, 4);
    zero(&sound, 0, 9, 0.25);
    sound_has(&sound, WAV16, &request, "silence dc-offset", "unusable", "a constant");
    sound = rotor(8, 0.1);
    zero(&sound, 3, 2, 0);
    asked.start_s = 1;
    asked.end_s = 7;
    sound_has(&sound, WAV16, &asked, "silence", "unusable", "2 s of zeros in the part asked for");
    sound = rotor(8, 0.1);
    zero(&sound, 5, 0.2, 0);
    sound_has(&sound, WAV16, &asked, "silence", "doubtful", "0.2 s of zeros in it");
    sound = rotor(8, 0.1);
    zero(&sound, 6, 9, 0);
    struct surveyed surveyed = survey_sound(&sound, WAV16, &request);
    finds(&surveyed, "silence", "good", "2 s of zeros at the end, left out");
    tap_ok(surveyed.survey.used_start_s == 0 && fabs(surveyed.survey.used_end_s - 6) < 0.11, "used: %.2f to %.2f s",
           surveyed.survey.used_start_s, surveyed.survey.used_end_s);
    surveyed_clear(&surveyed);
    sound_free(&sound);
}

static void add_offset(struct sound *sound, double offset, double decay_s)
{
    for (size_t i = 0; i < sound->count; i++)
        sound->samples[i] += offset * exp(-time_of(sound, i) / decay_s);
}

static void offset(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(4, 0.1);
    add_offset(&sound, 0.005, INFINITY);
    sound_has(&sound, WAV16, &request, "", "good", "0.5 % off zero");
    sound = rotor(4, 0.1);
    add_offset(&sound, -0.04, INFINITY);
    sound_has(&sound, WAV16, &request, "dc-offset", "good", "4 % off zero");
    sound = rotor(4, 0.1);
    add_offset(&sound, 0.2, INFINITY);
    sound_has(&sound, WAV16, &request, "dc-offset", "doubtful", "20 % off zero");
    sound = rotor(4, 0.1);
    add_offset(&sound, 0.03, 1);
    sound_has(&sound, WAV16, &request, "dc-decay", "doubtful", "off zero by 3 %, which decays within seconds");
}

static void gain(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    static const double jumps_db[] = { 2.9, -2, 1.3, -6 };
    for (size_t i = 0; i < sizeof jumps_db / sizeof jumps_db[0]; i++) {
        struct sound sound = rotor(8, 0.1);
        ramp(&sound, jumps_db[i], 3.15, 0.01);
        char what[60];
        snprintf(what, sizeof what, "a gain that jumps by %g dB", jumps_db[i]);
        sound_has(&sound, WAV16, &request, "gain-step", "doubtful", what);
    }
    struct sound sound = rotor(8, 0.1);
    ramp(&sound, 2.9, 3.15, 1.5);
    sound_has(&sound, WAV16, &request, "", "good", "a level that rises by 2.9 dB in 1.5 s");
    sound = rotor(8, 0.1);
    ramp(&sound, 2.9, 3.15, 0.5);
    sound_has(&sound, WAV16, &request, "", "good", "a level that rises by 2.9 dB in 0.5 s");
    sound = rotor(8, 0.02);
    struct sound hiss = sound_new(48000, 8);
    sound_add_noise(&hiss, 0.02, 77);
    for (size_t i = 0; i < sound.count; i++)
        sound.samples[i] += time_of(&hiss, i) >= 3.15 ? 0.7 * (hiss.samples[i] - (i ? hiss.samples[i - 1] : 0)) : 0;
    sound_free(&hiss);
    sound_has(&sound, WAV16, &request, "", "good", "a hiss that sets in: the high frequencies jump alone");
}

/* Noise below `hz`, rms about `rms`. */
static void add_rumble(struct sound *sound, double rms, double hz, double gusts)
{
    uint64_t state = 61;
    double low_1 = 0, low_2 = 0, share = 1 - exp(-TWO_PI * hz / sound->rate_hz), sum = 0;
    double *rumble = calloc(sound->count, sizeof *rumble);
    for (size_t i = 0; i < sound->count; i++) {
        low_1 += share * (random_of(&state) - low_1);
        low_2 += share * (low_1 - low_2);
        rumble[i] = low_2;
        sum += low_2 * low_2;
    }
    for (size_t i = 0; i < sound->count; i++) {
        bool blows = gusts <= 0 || fmod(time_of(sound, i), 2) < 2 * gusts;
        sound->samples[i] += blows ? rms * rumble[i] / sqrt(sum / (double)sound->count) : 0;
    }
    free(rumble);
}

static void rumble(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(8, 0.05);
    add_rumble(&sound, 0.1, 8, 0);
    sound_has(&sound, WAV16, &request, "low-frequency-rumble", "doubtful", "rumble 6 dB above the rotor");
    sound = rotor(8, 0.02);
    add_rumble(&sound, 0.05, 8, 0.12);
    sound_has(&sound, WAV16, &request, "low-frequency-rumble", "doubtful",
              "gusts, 8 dB above the rotor in an eighth of the time");
    sound = rotor(8, 0.05);
    add_rumble(&sound, 0.016, 8, 0);
    sound_has(&sound, WAV16, &request, "", "good", "rumble 10 dB below the rotor");
}

static void length(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(2, 0.1);
    sound_has(&sound, WAV16, &request, "too-short", "good", "2 s for the 100 Hz band");
    sound = rotor(0.7, 0.1);
    sound_has(&sound, WAV16, &request, "too-short", "doubtful", "0.7 s");
    /* 25 Hz needs 13 s, 50 Hz 6.5 s for 0.5 dB (reference table of record lengths). */
    request.lowest_band_hz = 25;
    sound = rotor(12, 0.1);
    sound_has(&sound, WAV16, &request, "too-short", "good", "12 s for the 25 Hz band");
    sound = rotor(14, 0.1);
    sound_has(&sound, WAV16, &request, "", "good", "14 s for the 25 Hz band");
}

static void unsteady(void)
{
    struct survey_request request = request_of(BLADE_HZ), asked = request;
    asked.start_s = 0;
    struct sound sound = rotor(6, 0.02);
    ramp(&sound, 12, 0, 6);
    sound_has(&sound, WAV24, &asked, "unsteady-level", "doubtful", "a level that rises by 12 dB all along");
    sound = rotor(4, 0.002);
    ramp(&sound, 40, 0, 4);
    sound_has(&sound, WAV24, &request, "unsteady-level", "doubtful", "so fast that no part is steady");
    sound = sound_new(48000, 6);
    sound_add_noise(&sound, 0.05, 91);
    double turn = 0;
    for (size_t i = 0; i < sound.count; i++) {
        sound.samples[i] += 0.1 * sin(TWO_PI * turn);
        turn = fmod(turn + (135 + 3 * time_of(&sound, i)) / 48000, 1);
    }
    sound_has(&sound, WAV24, &asked, "unsteady-speed", "doubtful", "a blade tone that rises from 135 to 153 Hz");
    sound = sound_new(48000, 6);
    sound_add_noise(&sound, 0.05, 91);
    sound_add_sine(&sound, 0.1, 146, 0);
    sound_has(&sound, WAV24, &asked, "", "good", "a blade tone that stays, 4 % from the log");
}

/* Something else comes and goes, so that less than half of a steady rotor can be used. */
static void disturbed(void)
{
    static const struct {
        double every_s, for_s; /* a bird that calls */
        const char *codes;
    } rows[] = { { 2.5, 0.3, "too-short unsteady-level" }, { 6, 0.3, "" } };
    struct survey_request request = request_of(BLADE_HZ);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sound sound = rotor(11, 0.02);
        for (size_t j = 0; j < sound.count; j++) {
            double t = time_of(&sound, j);
            if (fmod(t + 1, rows[i].every_s) < rows[i].for_s)
                sound.samples[j] += 0.1 * sin(TWO_PI * fmod(3500 * t, 1));
        }
        char what[60];
        snprintf(what, sizeof what, "a bird that calls every %g s", rows[i].every_s);
        sound_has(&sound, WAV24, &request, rows[i].codes, rows[i].codes[0] ? "doubtful" : "good", what);
    }
    struct sound sound = rotor(13, 0.002);
    ramp(&sound, 30, 0, 9);
    sound_has(&sound, WAV24, &request, "", "good", "9 s of running up are no disturbance");
}

/* One sample of 0.9 in a sound of 0.02 rms adds 0.81 to the 9.6 (24000 times 0.02 squared) of half a second, 0.4 dB. */
static void clicking(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(4, 0.02);
    sound.samples[2 * 48000] = 0.9;
    sound_has(&sound, WAV24, &request, "click", "good", "one sample near full scale");
    sound = rotor(4, 0.02);
    for (size_t i = 0; i < sound.count; i += 24000)
        sound.samples[i] = 0.9;
    sound_has(&sound, WAV24, &request, "", "good", "a sound that clicks twice a second");
}

static void resolution_rate_and_codec(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(4, 0.1);
    sound_has(&sound, SF_FORMAT_WAV | SF_FORMAT_PCM_U8, &request, "low-resolution", "doubtful", "8 bits");
    sound = rotor(4, 0.1);
    for (size_t i = 0; i < sound.count; i++)
        sound.samples[i] = floor(sound.samples[i] * 128) / 128;
    sound_has(&sound, SF_FORMAT_WAV | SF_FORMAT_PCM_24, &request, "low-resolution", "doubtful", "8 bits stored as 24");
    sound = rotor(4, 0.01);
    sound_has(&sound, WAV16, &request, "", "good", "16 bits at -40 dB");
    /* q^2/12 is -101 dB re full scale for 16 bits. */
    sound = rotor(4, 1e-4);
    sound_has(&sound, WAV16, &request, "low-resolution", "good", "16 bits at -80 dB");
    sound = rotor(4, 0.1);
    sound_has(&sound, SF_FORMAT_OGG | SF_FORMAT_VORBIS, &request, "lossy-source", "doubtful", "Vorbis");
    sound = rotor(4, 0.1);
    sound_has(&sound, SF_FORMAT_FLAC | SF_FORMAT_PCM_24, &request, "", "good", "FLAC");
    static const struct {
        double rate_hz;
        const char *codes, *verdict;
    } rates[] = { { 8000, "low-rate", "doubtful" },
                  { 22050, "low-rate", "doubtful" },
                  { 24000, "low-rate", "good" },
                  { 32000, "low-rate", "good" },
                  { 44100, "", "good" },
                  { 192000, "", "good" } };
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        char what[60];
        snprintf(what, sizeof what, "%g Hz", rates[i].rate_hz);
        sound = sound_new(rates[i].rate_hz, 4);
        sound_add_rotor(&sound, 0.1, BLADE_HZ, 0.3, 71);
        sound_has(&sound, WAV24, &request, rates[i].codes, rates[i].verdict, what);
    }
}

/* Which channel was meant can't be heard; that the first was taken is told unless another is asked for. */
static void channels(void)
{
    struct survey_request request = request_of(BLADE_HZ);
    struct sound sound = rotor(4, 0.1);
    if (!tap_ok(sound_write_channel(&sound, "stereo.wav", WAV24, 1, 2), "a rotor on the second of two channels"))
        return;
    request.channel = 1;
    struct surveyed asked = survey_file(signals_path("stereo.wav"), &request);
    tap_text(codes_of(&asked.findings), "", "channel 2, asked for");
    request.channel = 0;
    struct surveyed first = survey_file(signals_path("stereo.wav"), &request);
    tap_ok(findings_have(&first.findings, "channels"), "channel 1, since none is named: %s", codes_of(&first.findings));
    findings_clear(&asked.findings);
    findings_clear(&first.findings);
    signals_remove("stereo.wav");
    sound_free(&sound);
}

/* The microphone on channel 2, on channel 1 an open input with a noise of -97 dBFS and what leaks over; or, louder, a
 * microphone beside a time code. */
static void open_input(void)
{
    static const struct {
        double leak_db;
        const char *verdict;
    } rows[] = { { -60, "doubtful" }, { -40, "good" } };
    SF_INFO info = { .samplerate = 48000, .channels = 2, .format = WAV24 };
    struct survey_request request = request_of(BLADE_HZ);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sound sound = rotor(4, 0.1), input = sound_new(48000, 4);
        sound_add_noise(&input, 1e-5, 171);
        SNDFILE *file = sf_open(signals_path("stereo.wav"), SFM_WRITE, &info);
        for (size_t j = 0; j < sound.count; j++) {
            double frame[2] = { input.samples[j] + sound.samples[j] * pow(10, rows[i].leak_db / 20), sound.samples[j] };
            sf_writef_double(file, frame, 1);
        }
        tap_ok(sf_close(file) == 0, "two channels");
        for (int channel = 0; channel < 2; channel++) {
            request.channel = channel;
            struct surveyed surveyed = survey_file(signals_path("stereo.wav"), &request);
            const char *verdict = channel == 0 ? rows[i].verdict : "good";
            tap_ok(surveyed.done && strcmp(severity_verdict(findings_worst(&surveyed.findings)), verdict) == 0,
                   "channel %d, %.0f dB between them: %s (%s)", channel + 1, -rows[i].leak_db, verdict,
                   surveyed.findings.count ? surveyed.findings.items[surveyed.findings.count - 1].text : "");
            surveyed_clear(&surveyed);
        }
        signals_remove("stereo.wav");
        sound_free(&sound);
        sound_free(&input);
    }
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    channels();
    open_input();
    clipping();
    round_tops();
    limiting();
    dropping_out();
    silent();
    offset();
    gain();
    rumble();
    length();
    unsteady();
    disturbed();
    clicking();
    resolution_rate_and_codec();
    return signals_end();
}
