/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signals.h"

#include "recording/pressure.h"

/* Sample n of the file holds n codes of 24 bits, so that every frame that comes out can be told. */
#define CODE (1.0 / 8388608)
#define FRAMES 60000

static void write_ramp(void)
{
    struct sound sound = sound_new(48000, FRAMES / 48000.0);
    SF_INFO info = { .samplerate = 48000, .channels = 2, .format = SF_FORMAT_FLAC | SF_FORMAT_PCM_24 };
    SNDFILE *file = sf_open(signals_path("ramp.flac"), SFM_WRITE, &info);
    bool done = file != NULL;
    for (int n = 0; done && n < FRAMES; n++)
        done = sf_writef_int(file, (int[]){ -n * 256, n * 256 }, 1) == 1;
    tap_ok(done && sf_close(file) == 0, "a ramp of %d frames", FRAMES);
    sound_free(&sound);
}

/* Reads in blocks of `block` and checks that frames first, first + 1 … come, `count` of them. */
static bool comes(struct pressure *pressure, size_t block, uint64_t first, uint64_t count)
{
    double samples[4096];
    uint64_t seen = 0, wrong = 0;
    size_t got = 1;
    struct err err;
    while (got > 0) {
        if (!pressure_read(pressure, samples, block, &got, &err))
            return false;
        for (size_t i = 0; i < got; i++, seen++)
            wrong += samples[i] != (double)(first + seen) * CODE * 2.5;
    }
    return seen == count && wrong == 0;
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    write_ramp();
    struct err err;
    struct recording *recording = recording_open(signals_path("ramp.flac"), &err);
    if (!tap_ok(recording != NULL, "opens"))
        return tap_done();
    struct pressure pressure = pressure_of(recording, 1, 2.5, 0.5, 1);
    tap_ok(pressure.first_frame == 24000 && pressure.frame_count == 24000 && pressure.sample_rate_hz == 48000,
           "0.5 to 1 s are 24000 frames from 24000");
    tap_ok(pressure_rewind(&pressure, NULL, &err) && comes(&pressure, 1000, 24000, 24000), "they come, times the gain");
    tap_ok(pressure_rewind(&pressure, NULL, &err) && comes(&pressure, 4096, 24000, 24000),
           "and again, in other blocks");
    uint64_t preroll = 777;
    tap_ok(pressure_rewind(&pressure, &preroll, &err) && preroll == 777 && comes(&pressure, 1000, 23223, 24777),
           "777 frames before them come first");
    tap_ok(pressure.next_frame == 24000 && pressure.preroll_left == 0, "then the used part is at its end");
    preroll = 100000;
    tap_ok(pressure_rewind(&pressure, &preroll, &err) && preroll == 24000 && comes(&pressure, 7, 0, 48000),
           "a preroll longer than what is there is cut and told");
    double samples[10];
    size_t got = 0;
    preroll = 4;
    tap_ok(pressure_rewind(&pressure, &preroll, &err) && pressure_read(&pressure, samples, 10, &got, &err) &&
               got == 10 && pressure.next_frame == 6 && pressure.preroll_left == 0,
           "a block may hold both");
    pressure = pressure_of(recording, 1, 2.5, 1, 99);
    tap_ok(pressure.frame_count == 12000 && pressure_rewind(&pressure, NULL, &err) &&
               comes(&pressure, 1000, 48000, 12000),
           "a part that goes on behind the end stops there");
    pressure = pressure_of(recording, 1, 2.5, 2, 3);
    tap_ok(pressure.frame_count == 0 && pressure_rewind(&pressure, NULL, &err) && comes(&pressure, 10, 0, 0),
           "a part behind the end is empty");
    pressure = pressure_of(recording, 2, 2.5, 0, 1);
    tap_ok(pressure_rewind(&pressure, NULL, &err) && !pressure_read(&pressure, samples, 10, &got, &err) &&
               err.kind == ERR_AUDIO,
           "a channel that is not there: %s", err.text);
    recording_free(recording);
    signals_remove("ramp.flac");
    return signals_end();
}
