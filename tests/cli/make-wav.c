/* SPDX-License-Identifier: GPL-3.0-or-later */
/* make-wav PATH KIND: a small recording, sound or with one fault, for the command line's tests. */

#include "base/units.h"

#include <math.h>
#include <sndfile.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define RATE_HZ 48000
#define SECONDS 4

static double value_at(const char *kind, long n)
{
    static const double tones_hz[] = { 140, 280, 420 };
    uint32_t mixed = (uint32_t)n * 2654435761u;
    mixed ^= mixed >> 15;
    mixed *= 2246822519u;
    mixed ^= mixed >> 13;
    double value = 0.004 * ((double)mixed / 4294967296.0 - 0.5);
    if (strcmp(kind, "calibrator") == 0)
        return value * 0.01 + 0.1 * sin(2 * PI * 1000 * (double)n / RATE_HZ);
    if (strcmp(kind, "loose-calibrator") == 0)
        return value * 12 + 0.1 * sin(2 * PI * 1000 * (double)n / RATE_HZ);
    if (strcmp(kind, "pistonphone") == 0)
        return value * 0.01 + 0.1 * sin(2 * PI * 250 * (double)n / RATE_HZ);
    if (strcmp(kind, "wrong-tone") == 0)
        return value * 0.01 + 0.1 * sin(2 * PI * 700 * (double)n / RATE_HZ);
    if (strcmp(kind, "gusty") == 0)
        return value * (0.01 + 0.09 * pow(sin(PI * (double)n / RATE_HZ), 2));
    if (strcmp(kind, "hiss") == 0)
        return value * 4;
    for (int i = 0; i < 3; i++)
        value += 0.04 / (i + 1) * sin(2 * PI * tones_hz[i] * (double)n / RATE_HZ);
    if (strcmp(kind, "clipped") == 0)
        value = fmin(fmax(value * 30, -1), 1);
    if (strcmp(kind, "silence") == 0)
        value = 0;
    if (strcmp(kind, "not-a-number") == 0 && n == 50000)
        value = NAN;
    return value;
}

int main(int argc, char **argv)
{
    if (argc != 3)
        return 2;
    const char *kind = argv[2];
    SF_INFO info = { .samplerate = RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT };
    if (strcmp(kind, "eight-bit") == 0)
        info.format = SF_FORMAT_WAV | SF_FORMAT_PCM_U8;
    else if (strcmp(kind, "not-a-number") != 0)
        info.format = SF_FORMAT_WAV | SF_FORMAT_PCM_24;
    long frames = strcmp(kind, "empty") == 0 ? 0 : strcmp(kind, "short") == 0 ? RATE_HZ / 50 : SECONDS * RATE_HZ;
    SNDFILE *file = sf_open(argv[1], SFM_WRITE, &info);
    if (!file)
        return 1;
    for (long n = 0; n < frames; n++) {
        double value = value_at(kind, n);
        sf_write_double(file, &value, 1);
    }
    if (sf_close(file) != 0)
        return 1;
    return strcmp(kind, "truncated") == 0 ? truncate(argv[1], 100000) : 0;
}
