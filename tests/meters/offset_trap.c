/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rig.h"

#include <sndfile.h>

/* Real recordings whose right channel starts with an offset of a quarter of full scale and more that decays over the
 * first second: the A-levels are those of the same sound without it. Files: see SOURCE.txt beside them. */

#define SMOOTH_S 0.05

/* Mean over SMOOTH_S either side, shorter at the ends. `sums` has room for count + 1 values. */
static void smooth(const double *from, double *to, double *sums, size_t count, size_t half)
{
    sums[0] = 0;
    for (size_t i = 0; i < count; i++)
        sums[i + 1] = sums[i] + from[i];
    for (size_t i = 0; i < count; i++) {
        size_t reach = i < half ? i : half;
        if (count - 1 - i < reach)
            reach = count - 1 - i;
        to[i] = (sums[i + reach + 1] - sums[i - reach]) / (double)(2 * reach + 1);
    }
}

/* Takes off what is slower than about 10 Hz: the signal smoothed twice. Sound below 20 Hz goes with it; it weighs 50 dB
 * less and more in the A-level. */
static void take_offset_off(struct signal *signal)
{
    size_t count = signal->frame_count, half = (size_t)(SMOOTH_S * signal->rate_hz);
    double *once = calloc(count, sizeof *once), *twice = calloc(count, sizeof *twice);
    double *sums = calloc(count + 1, sizeof *sums);
    bool is_fine = once && twice && sums;
    if (is_fine) {
        smooth(signal->pa, once, sums, count, half);
        smooth(once, twice, sums, count, half);
        for (size_t i = 0; i < count; i++)
            signal->pa[i] -= twice[i];
    }
    tap_ok(is_fine, "memory for the smoothed signal");
    free(sums);
    free(once);
    free(twice);
}

static bool read_right_channel(const char *path, struct signal *signal)
{
    SF_INFO info = { 0 };
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file)
        return false;
    size_t count = (size_t)info.frames, channels = (size_t)info.channels;
    double *frames = calloc(count * channels, sizeof *frames);
    bool is_read = frames && sf_readf_double(file, frames, info.frames) == info.frames && channels == 2;
    *signal = signal_new(info.samplerate, 0, (double)count / info.samplerate);
    for (size_t i = 0; is_read && i < count; i++)
        signal->pa[i] = frames[2 * i + 1];
    free(frames);
    sf_close(file);
    return is_read;
}

static void compare(const char *folder, const char *name)
{
    char path[1000];
    snprintf(path, sizeof path, "%s/bldc-prop-throttle/%s", folder, name);
    struct signal with = { 0 }, without = { 0 };
    if (!read_right_channel(path, &with) || !read_right_channel(path, &without)) {
        tap_skip("%s is not there", path);
        signal_clear(&with);
        signal_clear(&without);
        return;
    }
    take_offset_off(&without);
    struct levels a = rig_levels(&with), b = rig_levels(&without);
    tap_near(a.laeq_db, b.laeq_db, 0.05, "%s, right channel: LAeq with its offset and without", name);
    tap_near(a.lafmax_db, b.lafmax_db, 0.05, "LAFmax");
    tap_near(a.lasmax_db, b.lasmax_db, 0.05, "LASmax");
    tap_near(a.la10_db, b.la10_db, 0.05, "LA10");
    tap_near(a.la90_db, b.la90_db, 0.05, "LA90");
    signal_clear(&with);
    signal_clear(&without);
}

int main(void)
{
    const char *folder = getenv("THRUM_RECORDINGS");
    if (!folder) {
        tap_skip("THRUM_RECORDINGS is not set");
        return tap_done();
    }
    compare(folder, "motor_m1_prop_30pct_000.wav");
    compare(folder, "motor_m1_prop_40pct_000.wav");
    compare(folder, "motor_m1_prop_50pct_000.wav");
    compare(folder, "motor_m1_no_prop_60pct_000.wav");
    return tap_done();
}
