/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_ROTOR_FILE_H
#define THRUM_TESTS_ROTOR_FILE_H

/* A made sound as a recording, for what reads the pressure a second time: 32-bit float WAV in a temporary file whose
 * name is gone as soon as it is open. A second channel may carry a tachometer's pulses. */

#include "recording/pressure.h"
#include "recording/recording.h"
#include "sound.h"

#include <sndfile.h>
#include <unistd.h>

#define FILE_FULL_SCALE_PA 20.0

struct sound_file {
    struct recording *recording;
    struct pressure pressure;
};

static inline struct sound_file sound_file_open(const struct sound *sound, const double *tach)
{
    char path[] = "/tmp/thrum-rotor-XXXXXX";
    int handle = mkstemp(path);
    SF_INFO info = { .samplerate = (int)sound->rate_hz,
                     .channels = tach ? 2 : 1,
                     .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT };
    SNDFILE *file = handle < 0 ? NULL : sf_open(path, SFM_WRITE, &info);
    if (!file) {
        fprintf(stderr, "%s can't be written\n", path);
        exit(EXIT_FAILURE);
    }
    size_t width = tach ? 2 : 1;
    double *frames = must(malloc(width * sound->count * sizeof *frames));
    for (size_t i = 0; i < sound->count; i++) {
        frames[width * i] = sound->pa[i] / FILE_FULL_SCALE_PA;
        if (tach)
            frames[width * i + 1] = tach[i];
    }
    sf_writef_double(file, frames, (sf_count_t)sound->count);
    free(frames);
    sf_close(file);
    close(handle);
    struct err err = { 0 };
    struct sound_file made = { .recording = recording_open(path, &err) };
    unlink(path);
    if (!made.recording) {
        fprintf(stderr, "%s\n", err.text);
        exit(EXIT_FAILURE);
    }
    made.pressure = (struct pressure){ .recording = made.recording,
                                       .pa_per_full_scale = FILE_FULL_SCALE_PA,
                                       .sample_rate_hz = sound->rate_hz,
                                       .frame_count = sound->count };
    return made;
}

static inline void sound_file_close(struct sound_file *file)
{
    recording_free(file->recording);
}

#endif
