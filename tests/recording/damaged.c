/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signals.h"

#include "base/absent.h"
#include "recording/recording.h"
#include "recording/survey.h"

/* Files that are cut, empty, or no sound at all. Each is refused in one clear line, or read with the lost part told. */

static void refused(const char *name, enum err_kind kind, const char *what)
{
    struct err err = { 0 };
    struct recording *recording = recording_open(signals_path(name), &err);
    char line[800];
    err_format(&err, line, sizeof line);
    tap_ok(!recording && err.kind == kind && strstr(line, name) && !strchr(line, '\n'), "%s: %s", what, line);
    recording_free(recording);
    signals_remove(name);
}

static void what_is_no_sound_is_refused(void)
{
    struct err err;
    tap_ok(!recording_open(signals_path("nowhere.wav"), &err) && err.kind == ERR_FILE, "a missing file: %s", err.text);
    tap_ok(!recording_open(signals_folder, &err) && err.kind == ERR_FILE, "a folder: %s", err.text);
    signals_write_bytes("empty.wav", "", 0);
    refused("empty.wav", ERR_AUDIO, "no bytes");
    static const char text[] = "throttle;rpm\n40;4870\nthis is the run log, saved under a wrong name\n";
    signals_write_bytes("text.wav", text, sizeof text - 1);
    refused("text.wav", ERR_AUDIO, "a text");
    unsigned char wide[2 * sizeof text] = { 0xFF, 0xFE }; /* UTF-16 begins like a frame of MPEG audio */
    for (size_t i = 0; i + 1 < sizeof text; i++)
        wide[2 + 2 * i] = (unsigned char)text[i];
    signals_write_bytes("wide.wav", wide, sizeof wide);
    refused("wide.wav", ERR_AUDIO, "a text in UTF-16");
    signals_write_bytes("riff.wav", "RIFF", 4);
    refused("riff.wav", ERR_AUDIO, "four bytes of a WAV");
    unsigned char noise[4096];
    uint64_t state = 99;
    for (size_t i = 0; i < sizeof noise; i++)
        noise[i] = (unsigned char)(random_of(&state) * 127 + 128);
    signals_write_bytes("noise.flac", noise, sizeof noise);
    refused("noise.flac", ERR_AUDIO, "random bytes");
    memcpy(noise, "fLaC", 4);
    signals_write_bytes("noise2.flac", noise, sizeof noise);
    refused("noise2.flac", ERR_AUDIO, "random bytes that begin like FLAC");
}

static void wrong_rates_and_channels_are_refused(void)
{
    static const int rates_hz[] = { 1000, 7999, 384001, 768000 };
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        struct sound sound = sound_new(rates_hz[i], 0.1);
        sound_write(&sound, "rate.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16);
        refused("rate.wav", ERR_AUDIO, "a rate outside of 8 to 384 kHz");
        sound_free(&sound);
    }
    struct sound sound = sound_new(8000, 0.1);
    sound_write_channel(&sound, "channels.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 0, 33);
    refused("channels.wav", ERR_AUDIO, "33 channels");
    sound.count = 0;
    sound_write(&sound, "none.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    refused("none.wav", ERR_AUDIO, "no frames");
    sound_free(&sound);
}

/* Surveys a file as a run would be; false when it can't be. */
static bool survey(const char *name, struct survey *out, struct findings *findings)
{
    struct err err;
    struct recording *recording = recording_open(signals_path(name), &err);
    struct survey_request request = { .start_s = ABSENT,
                                      .end_s = ABSENT,
                                      .gain = gain_of_full_scale(ABSENT),
                                      .expected_blade_hz = ABSENT,
                                      .lowest_band_hz = 20 };
    bool done = recording && survey_recording(recording, &request, out, findings, &err);
    recording_free(recording);
    return tap_ok(done, "%s is surveyed", name);
}

static long file_size(const char *name)
{
    FILE *file = fopen(signals_path(name), "rb");
    long size = file && fseek(file, 0, SEEK_END) == 0 ? ftell(file) : -1;
    if (file)
        fclose(file);
    return size;
}

/* Cut to a third: told as truncated, with the declared and the present length. */
static void a_cut_file_is_told(const char *name, int format)
{
    struct sound sound = sound_new(48000, 6);
    sound_add_rotor(&sound, 0.1, 140, 0.3, 3);
    if (tap_ok(sound_write(&sound, name, format) && signals_cut(name, file_size(name) / 3), "%s, cut", name)) {
        struct survey out;
        struct findings findings = { 0 };
        if (survey(name, &out, &findings)) {
            tap_ok(findings_have(&findings, "truncated"), "%s is called truncated", name);
            tap_within(out.duration_s, 2, 0.2, 0.2, "a third of 6 s is there");
            tap_ok(out.used_end_s <= out.duration_s, "and no more is used");
        }
        findings_clear(&findings);
    }
    struct err err;
    struct recording *recording = recording_open(signals_path(name), &err);
    if (tap_ok(recording != NULL, "opens"))
        tap_ok(recording_info(recording)->declared_frame_count == sound.count, "its header promises %zu frames: %llu",
               sound.count, (unsigned long long)recording_info(recording)->declared_frame_count);
    recording_free(recording);
    signals_remove(name);
    sound_free(&sound);
}

/* Ogg says no length, but its last page says that it is the last. */
static void a_cut_ogg_is_told(void)
{
    struct sound sound = sound_new(48000, 6);
    sound_add_rotor(&sound, 0.1, 140, 0.3, 3);
    for (int cut = 0; cut < 2; cut++) {
        struct survey out;
        struct findings findings = { 0 };
        sound_write(&sound, "end.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS);
        if (tap_ok(!cut || signals_cut("end.ogg", file_size("end.ogg") / 2), "an Ogg file%s", cut ? ", cut" : "") &&
            survey("end.ogg", &out, &findings))
            tap_ok(findings_have(&findings, "truncated") == (cut != 0) && out.duration_s > (cut ? 1 : 5.9), "is %s",
                   cut ? "truncated" : "whole");
        findings_clear(&findings);
    }
    signals_remove("end.ogg");
    sound_free(&sound);
}

/* A recorder that goes on behind 4 GiB leaves a size that has wrapped: here 1 s of 12 hours, the rest a hole in the
 * file. */
static void a_size_that_has_wrapped(void)
{
    struct sound sound = sound_new(48000, 1);
    sound_add_noise(&sound, 0.1, 9);
    sound_write(&sound, "long.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    sound_free(&sound);
    if (!signals_cut("long.wav", 0x100000000L + 96044)) {
        tap_skip("the temporary folder takes no file of 4 GiB with a hole");
    } else {
        struct survey out;
        struct findings findings = { 0 };
        if (survey("long.wav", &out, &findings))
            tap_ok(findings_have(&findings, "truncated") && out.duration_s == 1, "what can't be read is told");
        findings_clear(&findings);
    }
    signals_remove("long.wav");
}

static void to_a_hundredth(void)
{
    struct sound sound = sound_new(48000, 20);
    sound_add_noise(&sound, 0.1, 5);
    sound_write(&sound, "hundredth.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    signals_cut("hundredth.wav", 44 + 2 * 9600);
    struct survey out;
    struct findings findings = { 0 };
    if (survey("hundredth.wav", &out, &findings)) {
        tap_near(out.duration_s, 0.2, 1e-9, "0.2 s of 20 s are there");
        tap_ok(findings_have(&findings, "truncated") && findings_have(&findings, "too-short"),
               "truncated and too short");
    }
    findings_clear(&findings);
    signals_remove("hundredth.wav");
    sound_free(&sound);
}

/* Writes two seconds of plain WAV and then `size` as the size of its data (bytes 40 to 43 of libsndfile's header). */
static void write_with_data_size(const char *name, uint32_t size)
{
    struct sound sound = sound_new(48000, 2);
    sound_add_noise(&sound, 0.1, 6);
    sound_write(&sound, name, SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    FILE *file = fopen(signals_path(name), "r+b");
    unsigned char bytes[4] = { (unsigned char)size, (unsigned char)(size >> 8), (unsigned char)(size >> 16),
                               (unsigned char)(size >> 24) };
    tap_ok(file && fseek(file, 40, SEEK_SET) == 0 && fwrite(bytes, 1, 4, file) == 4, "a data size of %u", size);
    if (file)
        fclose(file);
    sound_free(&sound);
}

/* A recorder that loses power leaves 0; a program that writes to a pipe leaves the largest number. */
static void headers_that_were_never_finished(void)
{
    write_with_data_size("open.wav", 0);
    refused("open.wav", ERR_AUDIO, "a data size of 0");
    write_with_data_size("pipe.wav", UINT32_MAX);
    struct survey out;
    struct findings findings = { 0 };
    if (survey("pipe.wav", &out, &findings)) {
        tap_ok(!findings_have(&findings, "truncated"), "a length that is not said is not missed");
        tap_near(out.duration_s, 2, 1e-9, "all is read");
    }
    findings_clear(&findings);
    signals_remove("pipe.wav");
}

/* libsndfile does not read a CAF file in part. */
static void a_cut_file_that_is_refused(void)
{
    struct sound sound = sound_new(48000, 2);
    sound_add_noise(&sound, 0.1, 8);
    tap_ok(sound_write(&sound, "cut.caf", SF_FORMAT_CAF | SF_FORMAT_FLOAT) && signals_cut("cut.caf", 100000),
           "CAF, cut");
    refused("cut.caf", ERR_AUDIO, "a cut CAF file");
    sound_free(&sound);
}

/* A header cut at every length: no crash, no sound from nowhere. */
static void every_cut_of_a_header(const char *name, int format)
{
    struct sound sound = sound_new(8000, 0.02);
    size_t opened = 0, wrong = 0;
    for (long size = 1; size < 200; size++) {
        sound_write(&sound, name, format);
        struct err err = { 0 };
        if (size < file_size(name) && signals_cut(name, size)) {
            struct recording *recording = recording_open(signals_path(name), &err);
            opened += recording != NULL;
            wrong += recording ? recording_info(recording)->frame_count > sound.count : err.kind != ERR_AUDIO;
            recording_free(recording);
        }
    }
    tap_ok(wrong == 0, "%s cut at each byte: %zu open with what is left, the rest is refused", name, opened);
    signals_remove(name);
    sound_free(&sound);
}

/* Bytes of a header changed at random (fixed seed): whatever opens can be surveyed, and what is used lies in it. Not
 * Ogg: libsndfile 1.2.0 leaks the decoder of a damaged Vorbis head (seen with the address sanitizer). */
static void changed_headers(const char *name, int format)
{
    struct sound sound = sound_new(8000, 0.3);
    sound_add_noise(&sound, 0.1, 13);
    sound_write(&sound, name, format);
    static unsigned char bytes[32768], changed[32768];
    FILE *file = fopen(signals_path(name), "rb");
    size_t size = file ? fread(bytes, 1, sizeof bytes, file) : 0, opened = 0, wrong = 0;
    if (file)
        fclose(file);
    uint64_t state = 4711;
    for (int trial = 0; trial < 600 && size > 100; trial++) {
        memcpy(changed, bytes, size);
        for (int k = 0; k <= trial % 3; k++) {
            size_t place = (size_t)(fabs(random_of(&state)) * 96);
            int byte = trial % 2 ? (int)(128 + 127 * random_of(&state)) : trial % 4 ? 255 : 0;
            changed[place] = (unsigned char)byte;
        }
        struct err err;
        struct recording *recording =
            signals_write_bytes(name, changed, size) ? recording_open(signals_path(name), &err) : NULL;
        if (!recording)
            continue;
        opened++;
        struct survey out = { 0 };
        struct findings findings = { 0 };
        struct survey_request request = { .start_s = ABSENT,
                                          .end_s = ABSENT,
                                          .gain = gain_of_full_scale(ABSENT),
                                          .expected_blade_hz = ABSENT,
                                          .lowest_band_hz = 20 };
        if (survey_recording(recording, &request, &out, &findings, &err))
            wrong += !(out.used_start_s >= 0 && out.used_end_s > out.used_start_s && out.used_end_s <= out.duration_s);
        findings_clear(&findings);
        recording_free(recording);
    }
    tap_ok(wrong == 0 && opened > 0, "%s with changed bytes: %zu of 600 open, all of them are surveyed", name, opened);
    signals_remove(name);
    sound_free(&sound);
}

static void numbers_that_are_none(double value, const char *what)
{
    struct sound sound = sound_new(48000, 3);
    sound_add_noise(&sound, 0.1, 7);
    sound.samples[70000] = value;
    struct survey out;
    struct findings findings = { 0 };
    if (tap_ok(sound_write(&sound, "bad.wav", SF_FORMAT_WAV | SF_FORMAT_DOUBLE), "%s", what) &&
        survey("bad.wav", &out, &findings)) {
        tap_ok(findings_have(&findings, "non-finite") && findings_worst(&findings) == SEVERITY_UNUSABLE,
               "%s makes it unusable", what);
        tap_ok(isfinite(out.peak_full_scale) && out.peak_full_scale < 1, "the peak is that of the rest: %g",
               out.peak_full_scale);
    }
    findings_clear(&findings);
    signals_remove("bad.wav");
    sound_free(&sound);
}

static void no_number_at_all(void)
{
    struct sound sound = sound_new(48000, 2);
    for (size_t i = 0; i < sound.count; i++)
        sound.samples[i] = NAN;
    struct survey out;
    struct findings findings = { 0 };
    sound_write(&sound, "nan.wav", SF_FORMAT_WAV | SF_FORMAT_FLOAT);
    if (survey("nan.wav", &out, &findings))
        tap_ok(findings_have(&findings, "non-finite") && out.peak_full_scale == 0 && out.used_end_s == 2,
               "nothing but NaN is unusable");
    findings_clear(&findings);
    signals_remove("nan.wav");
    sound_free(&sound);
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    what_is_no_sound_is_refused();
    wrong_rates_and_channels_are_refused();
    a_cut_file_is_told("cut16.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    a_cut_file_is_told("cut24.rf64", SF_FORMAT_RF64 | SF_FORMAT_PCM_24);
    a_cut_file_is_told("cut24.w64", SF_FORMAT_W64 | SF_FORMAT_PCM_24);
    a_cut_file_is_told("cut24.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_24);
    a_cut_file_is_told("cut16.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16);
    a_cut_ogg_is_told();
    a_size_that_has_wrapped();
    to_a_hundredth();
    headers_that_were_never_finished();
    a_cut_file_that_is_refused();
    every_cut_of_a_header("head.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    every_cut_of_a_header("head.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_16);
    every_cut_of_a_header("head.w64", SF_FORMAT_W64 | SF_FORMAT_PCM_16);
    every_cut_of_a_header("head.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16);
    changed_headers("changed.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24);
    changed_headers("adpcm.wav", SF_FORMAT_WAV | SF_FORMAT_IMA_ADPCM);
    changed_headers("changed.rf64", SF_FORMAT_RF64 | SF_FORMAT_PCM_16);
    changed_headers("changed.w64", SF_FORMAT_W64 | SF_FORMAT_FLOAT);
    changed_headers("changed.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_16);
    changed_headers("changed.caf", SF_FORMAT_CAF | SF_FORMAT_DOUBLE);
    changed_headers("changed.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16);
    no_number_at_all();
    numbers_that_are_none(NAN, "a NaN");
    numbers_that_are_none(INFINITY, "an infinity");
    numbers_that_are_none(1e30, "1e30");
    numbers_that_are_none(1e200, "1e200");
    return signals_end();
}
