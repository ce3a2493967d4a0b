/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole way from sound: campaigns of short recordings whose levels follow known laws, written as files, read,
 * measured and compared as thrum report does it. How often does the 95 % interval hold the true difference?
 *     from-sound FOLDER [CAMPAIGNS [SEED]]        default 50, seed 1; FOLDER must be there, and is left empty
 * 2 to 4 variants, 3 to 8 operating points, 1 to 4 repeats, scatter 0.2 to 1.5 dB. Three kinds of recording:
 * - whole: white noise and three blade tones; the A-weighted level follows the law. It is set by the analytic weighting
 *   of IEC 61672-1, tones and noise apart.
 * - bands: noise in the middle of every second third octave, each band with a law and a scatter of its own, so that one
 *   campaign tells of nine laws. Bands two apart don't hear each other (IEC 61260-1 class 1: 40 dB or more down there).
 * - moving: white noise and three blade tones, each with a law of its own, that move through the third octaves with the
 *   speed; what a band's filter passes of a tone is taken from its design. The noise of each third octave and each tone
 *   scatter by themselves.
 * So the truth owes nothing else to the meters. Noise of 1.5 s has a scatter of its own, which the intervals must hold
 * too. A bent curve through three runs leaves no scatter to judge by; its interval is counted as absent. Exit status 1
 * when the whole and the bands together, or the moving tones, don't hold the truth in 94 to 96 % of straight or at
 * least 93 % of curved laws. */

#include "moving.h"

#include "base/fft.h"
#include "base/num.h"
#include "base/pool.h"
#include "measure/campaign_measure.h"
#include "meters/weighting.h"

#include <gsl/gsl_errno.h>
#include <sndfile.h>
#include <unistd.h>

#define RATE_HZ MOVING_RATE_HZ
#define FRAMES MOVING_FRAMES
#define FULL_SCALE_SINE_DB 110.0
#define TONES MOVING_TONES
#define BANDS 9

static const double judged_hz[BANDS] = { 200, 315, 500, 800, 1250, 2000, 3150, 5000, 8000 };

enum recording_kind { RECORDING_WHOLE, RECORDING_BANDS, RECORDING_MOVING, RECORDING_KINDS };

/* The law of the A-level in [0], or of each band; or those of moving tones. */
struct rotor_truth {
    struct truth laws[BANDS];
    struct moving moving;
};

static void stop(const char *what, const char *why)
{
    fprintf(stderr, "from-sound: %s: %s\n", what, why);
    exit(EXIT_FAILURE);
}

struct file_path {
    char text[1200];
};

static struct file_path path_of(const char *folder, const char *name)
{
    struct file_path path;
    snprintf(path.text, sizeof path.text, "%s/%s", folder, name);
    return path;
}

/* Full scale is a peak of 1; a full-scale sine has the mean square 1/2. */
static double mean_square(double level_db)
{
    return 0.5 * db_to_power_ratio(level_db - FULL_SCALE_SINE_DB);
}

static double a_energy(double hz)
{
    return db_to_power_ratio(weighting_db(WEIGHTING_A, hz));
}

/* A-weighted mean square of white noise of mean square 1 at this rate. */
static double noise_energy(void)
{
    double sum = 0;
    const int steps = 20000;
    for (int i = 0; i < steps; i++)
        sum += a_energy((i + 0.5) * RATE_HZ / 2 / steps);
    return sum / steps;
}

/* Mean squares before scaling: noise 1, blade harmonics 6, 2, 0.5. */
static void make_whole(struct random *random, double blade_hz, double level_db, double *signal)
{
    static const double tone_squares[TONES] = { 6, 2, 0.5 };
    double energy = noise_energy();
    for (int k = 0; k < TONES; k++)
        energy += tone_squares[k] * a_energy(blade_hz * (k + 1));
    double scale = sqrt(mean_square(level_db) / energy);
    double phases[TONES];
    for (int k = 0; k < TONES; k++)
        phases[k] = random_between(random, 0, 2 * PI);
    for (int n = 0; n < FRAMES; n++) {
        double value = random_normal(random);
        for (int k = 0; k < TONES; k++)
            value += sqrt(2 * tone_squares[k]) * sin(2 * PI * blade_hz * (k + 1) * n / RATE_HZ + phases[k]);
        signal[n] = scale * value;
    }
}

/* Normal noise of that mean square between two frequencies. */
static void fill_lines(struct random *random, double low_hz, double high_hz, double square, struct fft *fft)
{
    double line_hz = (double)RATE_HZ / FRAMES;
    size_t first = (size_t)ceil(low_hz / line_hz), last = (size_t)ceil(high_hz / line_hz) - 1;
    double size = sqrt(square / (4 * (double)(last - first + 1)));
    for (size_t k = first; k <= last; k++) {
        double real = random_normal(random), imaginary = random_normal(random);
        fft->lines[k] = CMPLX(size * real, size * imaginary);
    }
}

static void clear_lines(struct fft *fft)
{
    memset(fft->lines, 0, fft->line_count * sizeof *fft->lines);
}

/* Noise between 10^(-0.03) and 10^(0.03) of each band's middle; a band reaches 10^(+-0.05) (IEC 61260-1). */
static void make_bands(struct random *random, const double levels_db[static BANDS], struct fft *fft, double *signal)
{
    clear_lines(fft);
    for (int b = 0; b < BANDS; b++) {
        double middle_hz = 1000 * db_to_power_ratio(round(10 * log10(judged_hz[b] / 1000)));
        fill_lines(random, middle_hz * db_to_power_ratio(-0.3), middle_hz * db_to_power_ratio(0.3),
                   mean_square(levels_db[b]), fft);
    }
    fft_backward(fft);
    memcpy(signal, fft->signal, FRAMES * sizeof *signal);
}

/* White noise whose every third octave scatters by itself, and tones. levels_db[0] is not used. */
static void make_moving(struct random *random, const struct moving *moving, double thrust_n,
                        const double levels_db[static BANDS], struct fft *fft, double *signal)
{
    clear_lines(fft);
    double white_db = truth_level_db(&moving->laws[0], thrust_n);
    for (int index = MOVING_LOWEST - 1; index <= MOVING_HIGHEST + 1; index++) {
        double level_db = white_db + moving->laws[0].scatter_db * random_normal(random);
        fill_lines(random, moving_edge_hz(index, -0.5), moving_edge_hz(index, 0.5),
                   mean_square(level_db) * moving_noise_share(index), fft);
    }
    fft_backward(fft);
    memcpy(signal, fft->signal, FRAMES * sizeof *signal);
    double phase = random_between(random, 0, 2 * PI), blade_hz = moving_blade_hz(moving, thrust_n);
    for (int n = 0; n < FRAMES; n++)
        for (int k = 1; k <= TONES; k++)
            signal[n] += sqrt(2 * mean_square(levels_db[k])) * sin(2 * PI * blade_hz * k * n / RATE_HZ + phase * k);
}

static void write_recording(const char *path, const double *signal)
{
    SF_INFO info = { .samplerate = RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file || sf_write_double(file, signal, FRAMES) != FRAMES || sf_close(file) != 0)
        stop(path, "can't be written");
}

struct writer {
    const char *folder;
    enum recording_kind recordings;
    struct random *random;
    struct fft *fft;
    double *signal;
    FILE *log;
};

static void write_run(struct writer *writer, size_t variant, const struct rotor_truth *truth, double thrust_n,
                      int point, int repeat)
{
    double levels_db[BANDS], rpm = 5200 / (double)moving_blades[variant] * sqrt(thrust_n);
    for (int b = 0; b < BANDS; b++)
        levels_db[b] =
            truth_level_db(&truth->laws[b], thrust_n) + truth->laws[b].scatter_db * random_normal(writer->random);
    char file[40];
    snprintf(file, sizeof file, "%s-%d-%d.wav", moving_names[variant], point, repeat);
    if (writer->recordings == RECORDING_WHOLE) {
        make_whole(writer->random, moving_blades[variant] * rpm_to_hz(rpm), levels_db[0], writer->signal);
        fprintf(writer->log, "%s,%s,%.1f,%.17g\n", file, moving_names[variant], rpm, thrust_n);
    } else if (writer->recordings == RECORDING_MOVING) {
        double blade_hz = moving_blade_hz(&truth->moving, thrust_n);
        make_moving(writer->random, &truth->moving, thrust_n, levels_db, writer->fft, writer->signal);
        fprintf(writer->log, "%s,%s,%.1f,%.17g\n", file, moving_names[variant],
                hz_to_rpm(blade_hz) / moving_blades[variant], thrust_n);
    } else {
        make_bands(writer->random, levels_db, writer->fft, writer->signal);
        fprintf(writer->log, "%s,%s,,%.17g\n", file, moving_names[variant], thrust_n);
    }
    write_recording(path_of(writer->folder, file).text, writer->signal);
}

/* Every variant has a range, points and repeats of its own. */
static void write_campaign(struct writer *writer, enum truth_kind kind, struct rotor_truth *truths)
{
    size_t variant_count = 2 + (size_t)random_between(writer->random, 0, 3);
    FILE *yaml = fopen(path_of(writer->folder, "campaign.yaml").text, "w");
    writer->log = fopen(path_of(writer->folder, "runs.csv").text, "w");
    if (!yaml || !writer->log)
        stop(writer->folder, "can't be written to");
    fprintf(yaml,
            "title: Reed beds\nruns: runs.csv\nmicrophones:\n  main: {distance_m: 1, calibration: {full_scale_db: "
            "%g}}\nvariants:\n",
            FULL_SCALE_SINE_DB);
    fprintf(writer->log, "file,variant,rpm,thrust_n\n");
    for (size_t v = 0; v < variant_count; v++) {
        fprintf(yaml, "  %s: {blades: %d}\n", moving_names[v], moving_blades[v]);
        double low_lg = log10(random_between(writer->random, 1.0, 1.8));
        double high_lg = log10(random_between(writer->random, 4.5, 8.0));
        for (int b = 0; b < BANDS; b++)
            truths[v].laws[b] = moving_law(writer->random, kind, low_lg, high_lg);
        if (writer->recordings == RECORDING_MOVING)
            truths[v].moving.blade_hz = random_between(writer->random, 90, 180);
        memcpy(truths[v].moving.laws, truths[v].laws, sizeof truths[v].moving.laws);
        int points = 3 + (int)random_between(writer->random, 0, 6),
            repeats = 1 + (int)random_between(writer->random, 0, 4);
        for (int p = 0; p < points; p++)
            for (int r = 0; r < repeats; r++) {
                double lg = low_lg + (high_lg - low_lg) * p / (points - 1);
                write_run(writer, v, &truths[v], db_to_power_ratio(10 * lg), p, r);
            }
    }
    if (fclose(yaml) != 0 || fclose(writer->log) != 0)
        stop(writer->folder, "can't be written to");
}

struct truth_context {
    enum recording_kind recordings;
    const struct rotor_truth *truths;
    struct moving moving[INVENT_VARIANTS];
};

static const struct truth *law_of(const struct comparison *item, enum recording_kind recordings,
                                  const struct rotor_truth *truth)
{
    if (recordings == RECORDING_WHOLE)
        return strcmp(item->quantity, "LAeq_db") == 0 ? &truth->laws[0] : NULL;
    for (int b = 0; b < BANDS; b++)
        if (strcmp(item->quantity, "third_octave_db") == 0 && item->band_hz == judged_hz[b])
            return &truth->laws[b];
    return NULL;
}

/* The true difference; ABSENT when it is not known. */
static double truth_of(const struct comparison *item, const void *context)
{
    const struct truth_context *known = context;
    if (known->recordings == RECORDING_MOVING)
        return moving_truth(item, known->moving);
    size_t v = 0;
    while (strcmp(moving_names[v], item->variant) != 0)
        v++;
    const struct truth *ours = law_of(item, known->recordings, &known->truths[v]);
    const struct truth *theirs = law_of(item, known->recordings, &known->truths[0]);
    if (item->at != OPERATING_THRUST_N || !ours || !theirs)
        return ABSENT;
    return truth_level_db(ours, item->value) - truth_level_db(theirs, item->value);
}

static void measure_and_judge(const struct writer *writer, const struct rotor_truth *truths, struct coverage *coverage)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct err err = { 0 };
    if (!campaign_read(writer->folder, false, &campaign, &errors))
        stop(writer->folder, errors.items[0].text);
    struct run_result *runs = memory_new(campaign.run_count, sizeof *runs);
    if (!runs)
        stop(writer->folder, "out of memory");
    for (size_t i = 0; i < campaign.run_count; i++)
        run_result_init(&runs[i]);
    struct measure_plan plan = { .bands_per_octave = 3, .job_count = pool_processor_count() };
    struct comparisons list = { 0 };
    struct compare_request request = { &campaign, 0 };
    if (!campaign_measure(&campaign, &plan, runs, &err) ||
        !compare_runs(&request, runs, campaign.run_count, &list, &err))
        stop(writer->folder, err.text);
    struct truth_context known = { .recordings = writer->recordings, .truths = truths };
    for (size_t v = 0; v < campaign.variant_count; v++)
        known.moving[v] = truths[v].moving;
    coverage_add(coverage, &list, truth_of, &known);
    for (size_t i = 0; i < campaign.run_count; i++) {
        if (run_result_verdict(&runs[i]) == SEVERITY_UNUSABLE)
            stop(runs[i].file, runs[i].findings.count ? runs[i].findings.items[0].text : runs[i].error);
        if (unlink(path_of(writer->folder, campaign.runs[i].file).text) != 0)
            stop(runs[i].file, "can't be removed");
        run_result_clear(&runs[i]);
    }
    free(runs);
    comparisons_clear(&list);
    campaign_clear(&campaign);
}

static void print_row(const char *law, const char *what, const struct coverage *coverage)
{
    double count = (double)coverage->intervals;
    printf("%-9s %-6s %9ld %9ld %8.2f %10.2f %9.3f %12.3f %8ld %7ld\n", law, what, coverage->campaigns,
           coverage->intervals, coverage_pct(coverage), coverage_error_pct(coverage), coverage->half_width_db / count,
           coverage->miss_db / count, coverage->refused, coverage->absent);
}

static struct coverage together(const struct coverage *a, const struct coverage *b)
{
    return (struct coverage){ .intervals = a->intervals + b->intervals,
                              .held = a->held + b->held,
                              .refused = a->refused + b->refused,
                              .absent = a->absent + b->absent,
                              .campaigns = a->campaigns + b->campaigns,
                              .half_width_db = a->half_width_db + b->half_width_db,
                              .miss_db = a->miss_db + b->miss_db,
                              .cluster_squares = a->cluster_squares + b->cluster_squares };
}

int main(int argc, char **argv)
{
    static const struct {
        enum truth_kind kind;
        const char *name;
        double least_pct, most_pct;
    } laws[] = { { TRUTH_STRAIGHT, "straight", 94, 96 }, { TRUTH_PARABOLA, "parabola", 93, 100 } };
    static double signal[FRAMES];
    double campaigns = 50, seed = 1;
    if (argc < 2 || (argc > 2 && !num_parse(argv[2], &campaigns)) || (argc > 3 && !num_parse(argv[3], &seed))) {
        fprintf(stderr, "usage: from-sound FOLDER [CAMPAIGNS [SEED]]\n");
        return 2;
    }
    gsl_set_error_handler_off();
    fft_make_thread_safe();
    struct err err = { 0 };
    struct fft *fft = fft_new(FRAMES, &err);
    if (!fft)
        stop(argv[1], err.text);
    bool fine = true;
    printf("%-9s %-6s %9s %9s %8s %10s %9s %12s %8s %7s\n", "law", "what", "campaigns", "intervals", "held, %",
           "std.err, %", "half, dB", "|error|, dB", "refused", "absent");
    for (size_t k = 0; k < sizeof laws / sizeof laws[0]; k++) {
        struct random random = { (uint64_t)seed * 7919u + k }, moving = { (uint64_t)seed * 7907u + k };
        struct coverage coverage[RECORDING_KINDS] = { 0 };
        for (long i = 0; i < (long)campaigns; i++)
            for (int kind = 0; kind < RECORDING_KINDS; kind++) {
                struct rotor_truth truths[INVENT_VARIANTS];
                struct writer writer = {
                    argv[1], (enum recording_kind)kind, kind == RECORDING_MOVING ? &moving : &random, fft, signal, NULL
                };
                write_campaign(&writer, laws[k].kind, truths);
                measure_and_judge(&writer, truths, &coverage[kind]);
            }
        struct coverage all = together(&coverage[0], &coverage[1]);
        print_row(laws[k].name, "LAeq", &coverage[0]);
        print_row(laws[k].name, "bands", &coverage[1]);
        print_row(laws[k].name, "all", &all);
        const struct coverage *with_tones = &coverage[RECORDING_MOVING];
        print_row(laws[k].name, "moving", with_tones);
        fine = fine && coverage_pct(with_tones) >= laws[k].least_pct && coverage_pct(with_tones) <= laws[k].most_pct;
        fine = fine && coverage_pct(&all) >= laws[k].least_pct && coverage_pct(&all) <= laws[k].most_pct;
    }
    fft_free(fft);
    if (unlink(path_of(argv[1], "campaign.yaml").text) != 0 || unlink(path_of(argv[1], "runs.csv").text) != 0)
        stop(argv[1], "can't be emptied");
    return fine ? EXIT_SUCCESS : EXIT_FAILURE;
}
