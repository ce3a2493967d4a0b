/* SPDX-License-Identifier: GPL-3.0-or-later */

/* For the independent reader: figures of one channel of a file, one "name value" a line, full scale as 1 Pa.
 *   meters-print-figures FILE CHANNEL FIRST_FRAME FRAME_COUNT PREROLL_FRAMES */

#include "rig.h"

#include "meters/band_meter.h"
#include "meters/level_meter.h"

#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>

static bool read_part(const char *path, size_t channel, size_t first, struct signal *signal)
{
    SF_INFO info = { 0 };
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file)
        return false;
    size_t channels = (size_t)info.channels, count = signal->preroll_frames + signal->frame_count;
    double *frames = calloc(count * channels, sizeof *frames);
    bool is_read = frames && channel < channels && sf_seek(file, (sf_count_t)first, SEEK_SET) == (sf_count_t)first &&
                   sf_readf_double(file, frames, (sf_count_t)count) == (sf_count_t)count;
    signal->rate_hz = info.samplerate;
    for (size_t i = 0; is_read && i < count; i++)
        signal->pa[i] = frames[channels * i + channel];
    free(frames);
    sf_close(file);
    return is_read;
}

int main(int argument_count, char **arguments)
{
    if (argument_count != 6)
        return EXIT_FAILURE;
    size_t numbers[4];
    for (int i = 0; i < 4; i++)
        numbers[i] = (size_t)strtoull(arguments[2 + i], NULL, 10);
    struct signal signal = signal_new(1, (double)numbers[3], (double)numbers[2]);
    if (!read_part(arguments[1], numbers[0], numbers[1] - numbers[3], &signal)) {
        signal_clear(&signal);
        return EXIT_FAILURE;
    }
    struct figures figures;
    figures_init(&figures);
    rig_run(&level_meter, &signal, 0, 0, &figures);
    rig_run(&third_octave_meter, &signal, 0, 0, &figures);
    printf("LAeq %.6f\nLCeq %.6f\n", figures.levels.laeq_db, figures.levels.lceq_db);
    for (size_t i = 0; i < figures.third_octave.count; i++)
        printf("%d %.6f\n", figures.third_octave.items[i].index, figures.third_octave.items[i].level_db);
    figures_clear(&figures);
    signal_clear(&signal);
    return EXIT_SUCCESS;
}
