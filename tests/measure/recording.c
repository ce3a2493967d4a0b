/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/units.h"
#include "measure/background.h"
#include "measure/measure.h"

#include <sndfile.h>
#include <stdint.h>
#include <unistd.h>

#define RATE_HZ 48000

struct source {
    double hz, rms_full_scale, noise_rms;
    uint32_t seed;
};

static double noise(uint32_t *seed)
{
    double sum = 0;
    for (int i = 0; i < 12; i++) {
        *seed = *seed * 1664525u + 1013904223u;
        sum += (double)(*seed >> 8) / 16777216.0 - 0.5;
    }
    return sum;
}

static bool write_wav_at(const char *path, int rate_hz, double seconds, const struct source *sources, size_t count)
{
    SF_INFO info = { .samplerate = rate_hz, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_DOUBLE };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return false;
    sf_count_t frames = (sf_count_t)(seconds * rate_hz);
    uint32_t seeds[4] = { 0 };
    for (size_t s = 0; s < count; s++)
        seeds[s] = sources[s].seed;
    for (sf_count_t n = 0; n < frames; n++) {
        double value = 0;
        for (size_t s = 0; s < count; s++)
            value += sources[s].rms_full_scale * sqrt(2) * sin(2 * PI * sources[s].hz * (double)n / rate_hz) +
                     sources[s].noise_rms * noise(&seeds[s]);
        sf_write_double(file, &value, 1);
    }
    return sf_close(file) == 0;
}

static bool write_wav(const char *path, double seconds, const struct source *sources, size_t count)
{
    return write_wav_at(path, RATE_HZ, seconds, sources, count);
}

static bool measure(const char *path, const struct variant *variant, double rpm, struct run_result *run)
{
    struct measure_request request;
    struct err err;
    measure_request_init(&request);
    request.path = path;
    /* Full scale is 2 Pa, so that 0.5 rms full scale is 1 Pa. */
    request.gain = gain_of_full_scale(pa2_to_db(2.0));
    request.variant = variant;
    request.log.rpm = rpm;
    request.log.rpm_tolerance_pct = 2;
    request.distance_m = 2;
    request.reference_distance_m = 1;
    run_result_init(run);
    run->file = strdup("made.wav");
    bool ok = measure_recording(&request, run, &err) && run_result_verdict(run) != SEVERITY_UNUSABLE;
    if (!ok)
        printf("# %s %s\n", run->error, run->findings.count ? run->findings.items[0].text : "");
    return ok;
}

/* 1 Pa rms is 93.98 dB re 20 uPa (ISO 1683); at 1 kHz A and C weighting are 0 dB by definition (IEC 61672-1, 5.5). */
static void one_pascal(const char *path)
{
    struct run_result run;
    const struct source tone = { .hz = 1000, .rms_full_scale = 0.5 };
    if (!tap_ok(write_wav(path, 6, &tone, 1) && measure(path, NULL, ABSENT, &run), "a tone of 1 Pa is measured"))
        return;
    tap_near(run.figures.levels.lzeq_db, 93.979, 0.02, "LZeq");
    tap_near(run.figures.levels.laeq_db, 93.979, 0.02, "LAeq");
    tap_near(run.figures.levels.lceq_db, 93.979, 0.02, "LCeq");
    tap_near(run.figures.levels.lafmax_db, 93.979, 0.05, "LAFmax");
    tap_near(run.figures.levels.lcpeak_db, 93.979 + 3.0103, 0.05,
             "LCpeak: the crest of a sine is 3.01 dB above its rms");
    tap_near(run.figures.levels.lae_db, 93.979 + 10 * log10(run.used_end_s - run.used_start_s), 0.02, "LAE");
    tap_near(run.at_reference.laeq_db, 93.979 + 6.0206, 0.03, "at half the distance: 20 lg 2 = 6.02 dB more");
    for (size_t i = 0; i < run.figures.third_octave.count; i++)
        if (run.figures.third_octave.items[i].nominal_hz == 1000)
            tap_near(run.figures.third_octave.items[i].level_db, 93.979, 0.05, "its third octave");
    double largest = -INFINITY;
    for (size_t i = 0; i < run.trace.count; i++)
        largest = fmax(largest, run.trace.level_db[i]);
    tap_near(largest, 93.979, 1.5, "the trace shows it, but for the window's scalloping (1.42 dB, Harris 1978)");
    run_result_clear(&run);
}

/* Two equal incoherent sources are 3.01 dB above one (energies add). */
/* The tonality of the whole sound needs the spectrum up to 11.22 kHz: where the rate does not hold it, a finding says
 * so. */
static void rates_that_hold_too_little(const char *path)
{
    static const int rates_hz[] = { 16000, 22050, 24000, 48000 };
    const struct source tone = { .hz = 1000, .rms_full_scale = 0.1, .noise_rms = 0.01 };
    for (size_t i = 0; i < sizeof rates_hz / sizeof *rates_hz; i++) {
        struct run_result run;
        if (!tap_ok(write_wav_at(path, rates_hz[i], 4, &tone, 1) && measure(path, NULL, ABSENT, &run), "%d Hz",
                    rates_hz[i]))
            return;
        bool is_told = false;
        for (size_t k = 0; k < run.findings.count; k++)
            is_told = is_told || (strcmp(run.findings.items[k].code, "hearing-absent") == 0 &&
                                  strstr(run.findings.items[k].text, "no tonality of the whole sound"));
        tap_ok(is_given(run.tonality.aures_tu) == (rates_hz[i] >= 22440) && is_told == (rates_hz[i] < 22440),
               "tonality of the whole sound is %s", is_told ? "absent, and that is told" : "given");
        run_result_clear(&run);
    }
}

static void two_sources_add_energies(const char *path)
{
    struct run_result one, two;
    const struct source both[] = { { .noise_rms = 0.05, .seed = 1 }, { .noise_rms = 0.05, .seed = 99 } };
    if (!tap_ok(write_wav(path, 20, both, 1) && measure(path, NULL, ABSENT, &one), "one noise source"))
        return;
    if (!tap_ok(write_wav(path, 20, both, 2) && measure(path, NULL, ABSENT, &two), "two noise sources"))
        return;
    /* 20 s of white noise seen through A weighting, some 10 kHz wide: s = 4.34/sqrt(B T) = 0.01 dB a level. */
    tap_near(two.figures.levels.laeq_db - one.figures.levels.laeq_db, 3.0103, 0.05, "LAeq of two against one");
    run_result_clear(&one);
    run_result_clear(&two);
}

static void blade_tone_is_found(const char *path)
{
    struct run_result run;
    struct variant variant;
    variant_init(&variant);
    variant.blades = 2;
    const struct source sources[] = { { .hz = 139.77, .rms_full_scale = 0.05, .noise_rms = 0.002, .seed = 5 },
                                      { .hz = 279.54, .rms_full_scale = 0.02 },
                                      { .hz = 419.31, .rms_full_scale = 0.01 } };
    if (tap_ok(write_wav(path, 8, sources, 3) && measure(path, &variant, 4200, &run), "a two-blade rotor")) {
        tap_near(run.rotor.rpm_measured, 4193.1, 4193.1 * 5e-4, "its speed (made: 139.77 Hz x 60 / 2)");
        tap_ok(run.rotor.blade_passage_count > 0 && run.rotor.blade_passages[0].verdict == BLADE_AGREES,
               "the log agrees");
        run_result_clear(&run);
    }
    variant_clear(&variant);
}

static void bad_recordings_are_findings(const char *path)
{
    struct run_result run;
    struct measure_request request;
    struct err err;
    measure_request_init(&request);
    request.path = "/nowhere/reeds.wav";
    request.gain = gain_of_full_scale(ABSENT);
    run_result_init(&run);
    tap_ok(measure_recording(&request, &run, &err) && run.error[0] && findings_have(&run.findings, "unreadable"),
           "no such file: %s", run.error);
    run_result_clear(&run);
    const struct source tone = { .hz = 1000, .rms_full_scale = 0.1 };
    if (!write_wav(path, 1, &tone, 1))
        return;
    request.path = path;
    request.channel = 3;
    tap_ok(measure_recording(&request, &run, &err) && strstr(run.error, "channel"), "no such channel: %s", run.error);
    run_result_clear(&run);
    const struct gain gain = gain_of_full_scale(ABSENT);
    struct figures background;
    struct findings findings = { 0 };
    tap_ok(!background_measure("/nowhere/reeds.wav", 0, &gain, &background, &findings, &err), "no background: %s",
           err.text);
    findings_clear(&findings);
}

int main(void)
{
    char folder[] = "/tmp/thrum-measure-XXXXXX", path[64];
    if (!mkdtemp(folder))
        return EXIT_FAILURE;
    snprintf(path, sizeof path, "%s/a.wav", folder);
    one_pascal(path);
    rates_that_hold_too_little(path);
    two_sources_add_energies(path);
    blade_tone_is_found(path);
    bad_recordings_are_findings(path);
    unlink(path);
    rmdir(folder);
    return tap_done();
}
