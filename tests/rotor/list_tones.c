/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Prints the tones of the first channel of a recording, one a line: frequency, bandwidth, height in its line. Not a
 * test itself: peaks.py holds these against a general-purpose library's peaks. list_tones FILE BLOCK_FRAMES */

#include "file.h"
#include "rotor/averager.h"
#include "rotor/floor.h"
#include "rotor/tone.h"

int main(int argc, char **argv)
{
    struct err err = { 0 };
    struct recording *recording = argc == 3 ? recording_open(argv[1], &err) : NULL;
    if (!recording) {
        fprintf(stderr, "list_tones FILE BLOCK_FRAMES: %s\n", err.text);
        return EXIT_FAILURE;
    }
    const struct recording_info *info = recording_info(recording);
    struct pressure pressure = pressure_of(recording, 0, 1, 0, (double)info->frame_count / info->sample_rate_hz);
    struct source source;
    struct spectrum spectrum;
    struct tone *tones = NULL;
    size_t count = 0;
    bool is_ok = source_of_pressure(&pressure, &source, &err) &&
                 spectrum_of_source(&source, info->sample_rate_hz, strtoul(argv[2], NULL, 10), &spectrum, &err);
    double *noise_pa2 = is_ok ? must(calloc(spectrum.count, sizeof *noise_pa2)) : NULL;
    is_ok = is_ok && floor_estimate(&spectrum, noise_pa2, &err) &&
            tones_find(&spectrum, noise_pa2, TONE_CHANCE, &tones, &count, &err);
    for (size_t i = 0; i < count; i++)
        printf("%.4f %.4f %.2f\n", tones[i].hz, tones[i].bandwidth_hz, tones[i].line_ratio_db);
    if (!is_ok)
        fprintf(stderr, "%s\n", err.text);
    else
        free(spectrum.pa2);
    free(noise_pa2);
    free(tones);
    recording_free(recording);
    return is_ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
