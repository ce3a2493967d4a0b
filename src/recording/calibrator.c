/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/calibrator.h"

#include "base/absent.h"
#include "base/fft.h"
#include "base/memory.h"
#include "base/num.h"
#include "base/units.h"
#include "recording/ceiling.h"
#include "recording/recording.h"

#include <complex.h>
#include <stdlib.h>
#include <string.h>

#define PIECE_S 0.2
#define NOMINAL_HZ 1000
#define FREQUENCY_LEAST_HZ 60    /* 12 periods in a piece */
#define FREQUENCY_MOST_RATE 0.45 /* of the sample rate */
#define LOUDEST_WITHIN_DB 3.0    /* a quieter stretch is not the calibrator */
#define OTHER_LEVEL_DB 1.0       /* apart: not the same tone */
#define OTHER_WITHIN_DB 25.0     /* the levels of a switch are 10 or 20 dB apart; beside the microphone it is quieter */
#define LINES_OF_TONE 8          /* on each side; Hann's side lines are below -60 dB beyond */
#define HARMONICS_MOST 5
#define MEAN_SQUARE_OF_FULL_SCALE_SINE 0.5

struct piece {
    double tone, harmonics, rest; /* mean squares in units of full scale */
    double frequency_hz;
    bool is_clipped;
};

struct pieces {
    struct piece *items;
    size_t count, capacity;
    double rate_hz;
    size_t size; /* frames of a piece; half of it is the step */
};

/* Mean square of a line near `index`, and its place, from the two largest lines: d lines beside a Hann window's line it
 * reads sinc(d)/(1 - d^2) low. */
static double line_mean_square(const struct fft *fft, size_t index, double *place)
{
    double peak = cabs(fft->lines[index]);
    double offset = fft_hann_offset(cabs(fft->lines[index - 1]), peak, cabs(fft->lines[index + 1]));
    double response = fabs(offset) > 1e-9 ? sin(PI * offset) / (PI * offset) / (1 - offset * offset) : 1;
    double amplitude = 4 * peak / ((double)fft->size * response);
    *place = (double)index + offset;
    return amplitude * amplitude / 2;
}

static size_t strongest_line(const struct fft *fft, size_t from, size_t to)
{
    size_t best = from;
    for (size_t k = from; k <= to; k++)
        if (cabs(fft->lines[k]) > cabs(fft->lines[best]))
            best = k;
    return best;
}

static bool belongs_to_tone(double line, double place)
{
    double harmonic = floor(line / place + 0.5);
    return harmonic >= 1 && harmonic <= HARMONICS_MOST && fabs(line - harmonic * place) <= LINES_OF_TONE;
}

static void measure_piece(struct fft *fft, double rate_hz, struct piece *piece)
{
    fft_forward(fft);
    size_t last = fft->line_count - 2;
    double line_hz = rate_hz / (double)fft->size, place;
    piece->tone = line_mean_square(fft, strongest_line(fft, 3, last), &place);
    piece->frequency_hz = place * line_hz;
    for (int harmonic = 2; harmonic <= HARMONICS_MOST && harmonic * place < (double)last - 2; harmonic++) {
        size_t near = (size_t)(harmonic * place + 0.5);
        double unused;
        piece->harmonics += line_mean_square(fft, strongest_line(fft, near - 2, near + 2), &unused);
    }
    double sum = 0;
    for (size_t k = 3; k <= last; k++) {
        double size = cabs(fft->lines[k]);
        sum += belongs_to_tone((double)k, place) ? 0 : size * size;
    }
    /* Parseval: both halves of the spectrum, over the size and the sum of the squared window, 3/8 of the size. */
    piece->rest = 2 * sum / ((double)fft->size * 0.375 * (double)fft->size);
}

static bool add_piece(struct pieces *pieces, const struct piece *piece, struct err *err)
{
    void *items = pieces->items;
    if (!memory_grow(&items, &pieces->capacity, pieces->count + 1, sizeof *piece))
        return err_memory(err);
    pieces->items = items;
    pieces->items[pieces->count++] = *piece;
    return true;
}

static bool feed_ceilings(struct ceiling ceilings[2], const double *samples, size_t count)
{
    uint64_t before = ceilings[0].frame_count + ceilings[1].frame_count;
    bool rose = false;
    for (int side = 0; side < 2; side++) {
        double most = -HUGE_VAL;
        for (size_t i = 0; i < count; i++)
            most = fmax(most, ceilings[side].sign * samples[i]);
        rose |= ceiling_feed(&ceilings[side], samples, count, most);
    }
    uint64_t after = ceilings[0].frame_count + ceilings[1].frame_count;
    return rose ? after > 0 : after > before;
}

/* Reads the recording in steps of half a piece and measures each piece. `samples` and `window` hold a piece. */
static bool read_pieces(struct recording *recording, int channel, struct fft *fft, double *samples, double *window,
                        struct pieces *pieces, struct err *err)
{
    size_t step = pieces->size / 2, got = 0, held = 0;
    const struct recording_info *info = recording_info(recording);
    struct ceiling ceilings[2];
    ceiling_init(&ceilings[0], 1, info->is_float ? 0 : info->bits);
    ceiling_init(&ceilings[1], -1, info->is_float ? 0 : info->bits);
    bool was_clipped = false;
    fft_hann(window, pieces->size);
    do {
        double *newest = samples + step;
        memmove(samples, newest, step * sizeof *samples);
        if (!recording_read(recording, &channel, 1, &newest, step, &got, err))
            return false;
        bool is_clipped = feed_ceilings(ceilings, newest, got);
        if (got == step && ++held >= 2) {
            struct piece piece = { .is_clipped = is_clipped || was_clipped };
            for (size_t i = 0; i < pieces->size; i++)
                fft->signal[i] = samples[i] * window[i];
            measure_piece(fft, pieces->rate_hz, &piece);
            if (!add_piece(pieces, &piece, err))
                return false;
        }
        was_clipped = is_clipped;
    } while (got == step);
    return true;
}

static double level_of(double tone)
{
    return power_ratio_to_db(tone / MEAN_SQUARE_OF_FULL_SCALE_SINE);
}

static bool is_near(const struct piece *piece, double nominal_hz)
{
    return fabs(piece->frequency_hz / nominal_hz - 1) <= CALIBRATOR_FREQUENCY_PCT / 100;
}

struct stretch {
    size_t first, count;
    double mean_square, steadiness_db;
};

/* The longest steady stretch that starts with piece `first`: grown while its levels can still lie within the limit of
 * their mean, and kept where they do. */
static struct stretch stretch_from(const struct pieces *pieces, size_t first, double nominal_hz, double least_db)
{
    struct stretch best = { .first = first };
    double sum = 0, least = HUGE_VAL, most = -HUGE_VAL;
    for (size_t count = 1; first + count <= pieces->count; count++) {
        const struct piece *piece = &pieces->items[first + count - 1];
        double level_db = level_of(piece->tone);
        least = fmin(least, level_db);
        most = fmax(most, level_db);
        if (!is_near(piece, nominal_hz) || !(level_db >= least_db) || !(most - least <= 2 * CALIBRATOR_STEADY_DB))
            break;
        sum += piece->tone;
        double mean_db = level_of(sum / (double)count), off_db = fmax(most - mean_db, mean_db - least);
        if (off_db <= CALIBRATOR_STEADY_DB)
            best = (struct stretch){
                .first = first, .count = count, .mean_square = sum / (double)count, .steadiness_db = fmax(off_db, 0)
            };
    }
    return best;
}

/* The longest one among pieces [from, to). */
static struct stretch longest_steady(const struct pieces *pieces, size_t from, size_t to, double nominal_hz,
                                     double least_db)
{
    struct pieces part = { .items = pieces->items, .count = to };
    struct stretch best = { 0 };
    for (size_t first = from; first + best.count < to; first++) {
        struct stretch stretch = stretch_from(&part, first, nominal_hz, least_db);
        if (stretch.count > best.count)
            best = stretch;
    }
    return best;
}

static double step_of(const struct pieces *pieces)
{
    return (double)pieces->size / 2 / pieces->rate_hz; /* the size is even */
}

static double start_of(const struct pieces *pieces, const struct stretch *stretch)
{
    return step_of(pieces) * (double)stretch->first;
}

static double end_of(const struct pieces *pieces, const struct stretch *stretch)
{
    return step_of(pieces) * (double)(stretch->first + stretch->count + 1);
}

static bool is_long_enough(const struct pieces *pieces, const struct stretch *stretch)
{
    return stretch->count > 0 && end_of(pieces, stretch) - start_of(pieces, stretch) >= CALIBRATOR_LEAST_S;
}

/* Calibrators with a switch for 94 and 114 dB are common, and a recording may hold both: nothing tells which is meant.
 */
static bool has_one_level(const struct pieces *pieces, const struct stretch *steady, const char *path,
                          double nominal_hz, struct err *err)
{
    double level_db = level_of(steady->mean_square), least_db = level_db - OTHER_WITHIN_DB;
    size_t end = steady->first + steady->count;
    const struct stretch others[] = { longest_steady(pieces, 0, steady->first, nominal_hz, least_db),
                                      longest_steady(pieces, end, pieces->count, nominal_hz, least_db) };
    for (size_t i = 0; i < 2; i++) {
        const struct stretch *other = &others[i];
        char level[32], other_level[32];
        if (is_long_enough(pieces, other) && fabs(level_of(other->mean_square) - level_db) > OTHER_LEVEL_DB)
            return err_file(err, ERR_AUDIO, path,
                            "holds two steady tones, of %s dBFS from %.1f to %.1f s and of %s dBFS from %.1f to "
                            "%.1f s; was the calibrator's level switched? cut away the one that is not the stated "
                            "level",
                            num_words(level, sizeof level, level_db, 1), start_of(pieces, steady),
                            end_of(pieces, steady),
                            num_words(other_level, sizeof other_level, level_of(other->mean_square), 1),
                            start_of(pieces, other), end_of(pieces, other));
    }
    return true;
}

/* The loudest piece; false, with the reason, when the tone can't be the calibrator's. */
static bool find_tone(const struct pieces *pieces, const char *path, double nominal_hz, const struct piece **loudest,
                      struct err *err)
{
    bool has_tone = false;
    *loudest = &pieces->items[0];
    for (size_t i = 0; i < pieces->count; i++) {
        const struct piece *piece = &pieces->items[i];
        if (piece->tone > (*loudest)->tone)
            *loudest = piece;
        has_tone |= is_near(piece, nominal_hz);
    }
    if (!((*loudest)->tone > 0))
        return err_file(err, ERR_AUDIO, path, "is silent; check cable, channel and the calibrator's battery");
    if (!has_tone)
        return err_file(err, ERR_AUDIO, path,
                        "holds no tone within %g %% of %g Hz, its strongest line is at %.1f Hz; say the calibrator's "
                        "frequency or record it again",
                        CALIBRATOR_FREQUENCY_PCT, nominal_hz, (*loudest)->frequency_hz);
    return true;
}

static bool judge(const struct pieces *pieces, const char *path, double nominal_hz, struct calibrator_figures *out,
                  struct err *err)
{
    const struct piece *loudest;
    if (!find_tone(pieces, path, nominal_hz, &loudest, err))
        return false;
    struct stretch steady =
        longest_steady(pieces, 0, pieces->count, nominal_hz, level_of(loudest->tone) - LOUDEST_WITHIN_DB);
    if (!is_long_enough(pieces, &steady))
        return err_file(err, ERR_AUDIO, path,
                        "its tone is steady within %g dB for %.1f s only, %g s are needed; record 10 s of the "
                        "calibrator without touching it",
                        CALIBRATOR_STEADY_DB, steady.count ? end_of(pieces, &steady) - start_of(pieces, &steady) : 0,
                        CALIBRATOR_LEAST_S);
    if (!has_one_level(pieces, &steady, path, nominal_hz, err))
        return false;
    struct piece mean = { 0 };
    for (size_t i = steady.first; i < steady.first + steady.count; i++) {
        const struct piece *piece = &pieces->items[i];
        if (piece->is_clipped)
            return err_file(
                err, ERR_AUDIO, path,
                "its tone is clipped at %.1f s; lower the gain and record the calibrator and all runs again",
                step_of(pieces) * (double)i);
        mean.frequency_hz += piece->frequency_hz / (double)steady.count;
        mean.harmonics += piece->harmonics / (double)steady.count;
        mean.rest += piece->rest / (double)steady.count;
    }
    *out = (struct calibrator_figures){
        .level_dbfs = level_of(steady.mean_square),
        .frequency_hz = mean.frequency_hz,
        .start_s = start_of(pieces, &steady),
        .end_s = end_of(pieces, &steady),
        .steadiness_db = steady.steadiness_db,
        .distortion_pct = 100 * sqrt(mean.harmonics / steady.mean_square),
        .noise_db = power_ratio_to_db(mean.rest / steady.mean_square),
    };
    return true;
}

bool calibrator_measure(const char *path, int channel, double frequency_hz, struct calibrator_figures *out,
                        struct err *err)
{
    double nominal_hz = is_given(frequency_hz) ? frequency_hz : NOMINAL_HZ;
    struct recording *recording = recording_open(path, err);
    if (!recording)
        return false;
    const struct recording_info *info = recording_info(recording);
    struct pieces pieces = { .rate_hz = info->sample_rate_hz,
                             .size = 2 * fft_good_size((size_t)(PIECE_S / 2 * info->sample_rate_hz)) };
    struct fft *fft = NULL;
    double *samples = NULL;
    bool done = false;
    if (!(nominal_hz >= FREQUENCY_LEAST_HZ && nominal_hz <= FREQUENCY_MOST_RATE * info->sample_rate_hz)) {
        err_file(err, ERR_AUDIO, path,
                 "a calibrator frequency of %g Hz can't be measured at this sample rate; %d to %g Hz can", nominal_hz,
                 FREQUENCY_LEAST_HZ, FREQUENCY_MOST_RATE * info->sample_rate_hz);
        goto done;
    }
    fft = fft_new(pieces.size, err);
    if (!fft)
        goto done;
    samples = memory_new(2 * pieces.size, sizeof *samples);
    if (!samples) {
        err_memory(err);
        goto done;
    }
    if (!read_pieces(recording, recording_channel_of(recording, channel), fft, samples, samples + pieces.size, &pieces,
                     err))
        goto done;
    if (pieces.count == 0)
        err_file(err, ERR_AUDIO, path, "is too short for a calibrator recording; record 10 s of the calibrator");
    else
        done = judge(&pieces, path, nominal_hz, out, err);
done:
    free(pieces.items);
    free(samples);
    fft_free(fft);
    recording_free(recording);
    return done;
}
