/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rig.h"

#include "base/units.h"
#include "meters/spectrum_meter.h"

static void run(const struct signal *signal, size_t block_frames, struct figures *figures)
{
    figures_init(figures);
    rig_run(&spectrum_meter, signal, 0, block_frames, figures);
}

/* figures.h: a sine that falls on a line shows its mean square there; its whole power is the sum over enbw. */
static void sine_on_a_line(void)
{
    double hz = 1000 * 0.75; /* 64000 frames at 48 kHz */
    struct signal sine = signal_sine(48000, hz, 0.5, 0, 6);
    struct figures figures;
    run(&sine, 0, &figures);
    const struct spectrum *spectrum = &figures.spectrum;
    double sum = 0;
    for (size_t k = 0; k < spectrum->count; k++)
        sum += spectrum->pa2[k];
    tap_near(spectrum->pa2[1000], 0.25, 1e-9, "mean square of a sine on its line");
    tap_near(sum / spectrum->enbw_lines, 0.25, 1e-9, "and over all lines");
    tap_near(spectrum->pa2[999], 0.25 / 4, 1e-9, "Hann: a quarter in the line beside");
    tap_ok(spectrum->pa2[1003] < 1e-20, "nothing three lines off");
    figures_clear(&figures);
    signal_clear(&sine);
}

/* Parseval: the lines' power density times their number is the mean square; 0.5 % is 4 deviations of 10 s noise. */
static void noise_density(void)
{
    struct signal noise = signal_new(48000, 1, 20);
    signal_add_noise(&noise, 1, 77);
    struct figures figures;
    run(&noise, 0, &figures);
    const struct spectrum *spectrum = &figures.spectrum;
    double sum = 0;
    for (size_t k = 0; k < spectrum->count; k++)
        sum += spectrum->pa2[k];
    tap_near(sum / spectrum->enbw_lines, 1, 0.01, "noise of 1 Pa: sum of the lines over enbw");
    tap_near(spectrum->step_hz * (double)spectrum->block_frames, 48000, 1e-9, "step times block is the rate");
    tap_ok(spectrum->count == spectrum->block_frames / 2 + 1, "lines from 0 Hz to half the rate");
    figures_clear(&figures);
    signal_clear(&noise);
}

static void lengths(void)
{
    static const double rates_hz[] = { 8000, 16000, 22050, 32000, 44100, 48000, 96000, 192000, 384000 };
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        size_t block = spectrum_block_frames(rates_hz[i], (uint64_t)(10 * rates_hz[i]));
        double step_hz = rates_hz[i] / (double)block;
        tap_ok(step_hz <= 1 && step_hz > 0.5, "10 s at %.0f Hz: lines %.3f Hz apart", rates_hz[i], step_hz);
    }
    tap_ok(spectrum_block_frames(48000, 96000) == 38400, "2 s at 48 kHz: 38400, so that four blocks fit");
    tap_ok(spectrum_block_frames(48000, 300) == 256, "300 frames: the shortest block");
    tap_ok(spectrum_block_frames(48000, 255) == 0, "255 frames: none");
    struct signal noise = signal_new(48000, 0, 0.004);
    struct figures figures;
    run(&noise, 0, &figures);
    tap_ok(figures.spectrum.block_count == 0 && figures.spectrum.pa2 == NULL, "and then there is no spectrum");
    figures_clear(&figures);
    signal_clear(&noise);
    noise = signal_new(48000, 0.7, 2);
    signal_add_noise(&noise, 1, 4);
    run(&noise, 0, &figures);
    tap_ok(figures.spectrum.block_count == 4, "2 s: four averages, the preroll not among them");
    figures_clear(&figures);
    signal_clear(&noise);
}

static void blocks_do_not_matter(void)
{
    static const size_t blocks[] = { 1, 999, 1000000 };
    struct signal noise = signal_new(44100, 0.31, 2);
    signal_add_noise(&noise, 1, 3);
    struct figures first;
    run(&noise, 0, &first);
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        struct figures figures;
        run(&noise, blocks[i], &figures);
        tap_ok(figures.spectrum.count == first.spectrum.count &&
                   memcmp(figures.spectrum.pa2, first.spectrum.pa2, first.spectrum.count * sizeof(double)) == 0,
               "blocks of %zu frames give the same bits", blocks[i]);
        figures_clear(&figures);
    }
    figures_clear(&first);
    signal_clear(&noise);
}

int main(void)
{
    sine_on_a_line();
    noise_density();
    lengths();
    blocks_do_not_matter();
    return tap_done();
}
