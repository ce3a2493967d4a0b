/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A command, not a test: what a survey costs, as ratios within one run. The floor is decoding ten minutes of 48 kHz
 * 24-bit mono with one Hann-windowed transform of 16384, half overlapping.
 *
 *     ninja tests/recording/survey-cost && tests/recording/survey-cost */
#include "surveyed.h"

#include "base/fft.h"

#include <time.h>

#define SIZE 16384
#define SECONDS 600

static double processor_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static bool write_minutes(void)
{
    SF_INFO info = { .samplerate = 48000, .channels = 1, .format = WAV24 };
    SNDFILE *file = sf_open(signals_path("minutes.wav"), SFM_WRITE, &info);
    struct sound second = sound_new(48000, 1);
    sound_add_rotor(&second, 0.1, 140, 0.3, 1);
    bool done = file != NULL;
    for (int s = 0; done && s < SECONDS; s++)
        done = sf_write_double(file, second.samples, 48000) == 48000;
    sound_free(&second);
    return file && sf_close(file) == 0 && done;
}

static double floor_s(void)
{
    static double held[SIZE], window[SIZE], sum[SIZE / 2 + 1];
    SF_INFO info = { 0 };
    struct err err;
    SNDFILE *file = sf_open(signals_path("minutes.wav"), SFM_READ, &info);
    struct fft *fft = fft_new(SIZE, &err);
    double start_s = processor_s();
    fft_hann(window, SIZE);
    while (file && fft && sf_read_double(file, held + SIZE / 2, SIZE / 2) == SIZE / 2) {
        for (size_t i = 0; i < SIZE; i++)
            fft->signal[i] = held[i] * window[i];
        fft_forward(fft);
        for (size_t k = 0; k < fft->line_count; k++)
            sum[k] += creal(fft->lines[k] * conj(fft->lines[k]));
        memcpy(held, held + SIZE / 2, SIZE / 2 * sizeof *held);
    }
    double spent_s = processor_s() - start_s;
    fft_free(fft);
    if (file)
        sf_close(file);
    return spent_s;
}

static double decoding_s(void)
{
    static double block[RECORDING_BLOCK_FRAMES];
    double *out = block, start_s = processor_s();
    struct err err;
    struct recording *recording = recording_open(signals_path("minutes.wav"), &err);
    size_t got = 1;
    while (recording && got > 0 && recording_read(recording, &(int){ 0 }, 1, &out, RECORDING_BLOCK_FRAMES, &got, &err))
        ;
    recording_free(recording);
    return processor_s() - start_s;
}

static double surveying_s(double blade_hz)
{
    struct survey_request request = request_of(blade_hz);
    double start_s = processor_s();
    struct surveyed surveyed = survey_file(signals_path("minutes.wav"), &request);
    surveyed_clear(&surveyed);
    return processor_s() - start_s;
}

int main(void)
{
    if (!signals_begin() || !tap_ok(write_minutes(), "ten minutes of 48 kHz, 24 bit"))
        return tap_done();
    for (int repeat = 0; repeat < 3; repeat++) {
        double floor = floor_s(), decoding = decoding_s(), plain = surveying_s(ABSENT), tracking = surveying_s(140);
        printf("# floor %.3f s of processor time; of it: decoding %.2f, survey %.2f, survey with blade track %.2f\n",
               floor, decoding / floor, plain / floor, tracking / floor);
    }
    signals_remove("minutes.wav");
    return signals_end();
}
