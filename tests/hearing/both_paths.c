/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

/* The code that has a clone for AVX2, once as the library runs it on this processor and once compiled here without any
 * clone: both must give the same bits. On a processor without AVX2 the two are the same path. */

#define THRUM_PLAIN /* of what is compiled here */
#include "hearing/excitation.h"
#include "hearing/half_band.h"
#include "hearing/loudness_bands.h"
#include "hearing/temporal.h"
#include "hearing/zwicker.h"
#include "signals.h"

struct path {
    void (*bands_init)(struct loudness_bands *bands, double rate_hz);
    size_t (*bands_run)(struct loudness_bands *bands, const double *pressure_pa,
                        double (*power_pa2)[ZWICKER_BAND_COUNT], size_t *row_end);
    void (*core)(const struct zwicker *zwicker, const double *band_pa2, double *core);
    void (*decay_step)(struct core_decay *decay, double *core);
};

static const struct path library = { loudness_bands_init, loudness_bands_run, zwicker_core, core_decay_step };

#define half_band_init plain_half_band_init
#define half_band_run plain_half_band_run
#define loudness_rate_is_enough plain_rate_is_enough
#define loudness_bands_init plain_bands_init
#define loudness_bands_run plain_bands_run
#define core_decay_init plain_decay_init
#define core_decay_step plain_decay_step
#define duration_weighting_init plain_weighting_init
#define duration_weighting_step plain_weighting_step
#define zwicker_init plain_zwicker_init
#define zwicker_core plain_zwicker_core
#define zwicker_loudness_sone plain_zwicker_loudness_sone
#define sone_to_phon plain_sone_to_phon
void plain_half_band_init(struct half_band *filter, size_t pairs, double stop_db);
void plain_half_band_run(struct half_band *filter, const double *in, size_t count, double *out);
bool plain_rate_is_enough(double rate_hz);
void plain_bands_init(struct loudness_bands *bands, double rate_hz);
size_t plain_bands_run(struct loudness_bands *bands, const double *pressure_pa,
                       double power_pa2[static LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT],
                       size_t row_end[static LOUDNESS_CHUNK_MOST_LEVELS]);
void plain_decay_init(struct core_decay *decay);
void plain_decay_step(struct core_decay *decay, double *core);
void plain_weighting_init(struct duration_weighting *weighting);
double plain_weighting_step(struct duration_weighting *weighting, double sone);
void plain_zwicker_init(struct zwicker *zwicker, bool is_diffuse);
void plain_zwicker_core(const struct zwicker *zwicker, const double band_pa2[static ZWICKER_BAND_COUNT],
                        double core[static ZWICKER_CORE_COUNT]);
double plain_zwicker_loudness_sone(const struct zwicker *zwicker, const double core[static ZWICKER_CORE_COUNT],
                                   double *pattern);
double plain_sone_to_phon(double sone);
#include "hearing/half_band.c"
#include "hearing/loudness_bands.c"
#include "hearing/temporal.c"
#include "hearing/zwicker.c"

#define excitation_new plain_excitation_new
#define excitation_free plain_excitation_free
#define excitation_take plain_excitation_take
#define excitation_envelope plain_excitation_envelope
struct excitation *plain_excitation_new(size_t frame_count, double rate_hz, struct err *err);
void plain_excitation_free(struct excitation *excitation);
void plain_excitation_take(struct excitation *excitation, const double *pressure_pa);
bool plain_excitation_envelope(struct excitation *excitation, size_t channel, double out[static ENVELOPE_COUNT]);
#include "hearing/excitation.c"
#undef excitation_new
#undef excitation_free
#undef excitation_take
#undef excitation_envelope

static const struct path plain = { plain_bands_init, plain_bands_run, plain_zwicker_core, plain_decay_step };

/* All core loudnesses after decay, hashed bit by bit (FNV-1a), and their sum to show that there was something. */
static uint64_t hash_of(const struct path *path, const struct signal *signal, double *sum)
{
    static const double zero[TEMPORAL_LANES];
    struct loudness_bands *bands = calloc(1, sizeof *bands);
    struct core_decay decay;
    struct zwicker zwicker;
    uint64_t hash = 0xcbf29ce484222325u;
    *sum = 0;
    if (!bands)
        abort();
    path->bands_init(bands, signal->rate_hz);
    plain_decay_init(&decay);
    plain_zwicker_init(&zwicker, false);
    for (size_t from = 0; from + LOUDNESS_CHUNK_FRAMES <= signal->count; from += LOUDNESS_CHUNK_FRAMES) {
        double power_pa2[LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT];
        size_t row_end[LOUDNESS_CHUNK_MOST_LEVELS];
        size_t rows = path->bands_run(bands, signal->pa + from, power_pa2, row_end);
        for (size_t row = 0; row < rows; row++) {
            double core[TEMPORAL_LANES];
            memcpy(core, zero, sizeof core);
            path->core(&zwicker, power_pa2[row], core);
            path->decay_step(&decay, core);
            unsigned char bytes[sizeof core];
            memcpy(bytes, core, sizeof core);
            for (size_t i = 0; i < sizeof bytes; i++)
                hash = (hash ^ bytes[i]) * 0x100000001b3u;
            *sum += core[10];
        }
    }
    free(bands);
    return hash;
}

/* Envelopes of roughness, channel by channel. */
static void envelopes(const struct signal *signal)
{
    struct err err;
    size_t frame_count = 8820, told = 0, same = 0;
    struct excitation *wide = excitation_new(frame_count, signal->rate_hz, &err),
                      *narrow = plain_excitation_new(frame_count, signal->rate_hz, &err);
    if (!wide || !narrow)
        abort();
    excitation_take(wide, signal->pa);
    plain_excitation_take(narrow, signal->pa);
    for (size_t channel = 0; channel < EXCITATION_CHANNEL_COUNT; channel++) {
        double by_wide[ENVELOPE_COUNT], by_narrow[ENVELOPE_COUNT];
        if (!excitation_envelope(wide, channel, by_wide) || !plain_excitation_envelope(narrow, channel, by_narrow))
            continue;
        told++;
        same += memcmp(by_wide, by_narrow, sizeof by_wide) == 0;
    }
    tap_ok(told > 20 && same == told, "the same bits of %zu envelopes of %zu", same, told);
    excitation_free(wide);
    plain_excitation_free(narrow);
}

int main(void)
{
    struct signal signal = signal_new(44100, 2);
    add_white_noise(&signal, 25, 4);
    add_am_tone(&signal, 700, 70, 9, 0.9);
    for (size_t i = 30000; i < 50000; i++)
        signal.pa[i] = 0;
    double library_sum, plain_sum;
    uint64_t by_library = hash_of(&library, &signal, &library_sum), by_plain = hash_of(&plain, &signal, &plain_sum);
    tap_ok(library_sum > 100, "there was something to hear: %.17g", library_sum);
    tap_ok(by_library == by_plain, "the same bits: %016llx and %016llx", (unsigned long long)by_library,
           (unsigned long long)by_plain);
    tap_ok(library_sum == plain_sum, "the same sum");
    envelopes(&signal);
    free(signal.pa);
    return tap_done();
}
