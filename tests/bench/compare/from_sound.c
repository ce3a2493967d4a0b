/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole way from sound: campaigns of short recordings whose A-levels follow a known law, written as files, read,
 * measured and compared as thrum report does it. How often does the 95 % interval hold the true difference?
 *     from-sound FOLDER [CAMPAIGNS [SEED]]        default 50, seed 1; FOLDER must be there, and is left empty
 * A recording is white noise with three blade tones; its A-weighted level is set by the analytic weighting of IEC
 * 61672-1, tones and noise apart, so that the truth owes nothing to the meters. Exit status 1 when the truth is held in
 * less than 95 % minus three standard errors. */

#include "simulate.h"

#include "base/fft.h"
#include "base/num.h"
#include "base/pool.h"
#include "measure/campaign_measure.h"
#include "meters/weighting.h"

#include <gsl/gsl_errno.h>
#include <sndfile.h>
#include <unistd.h>

#define RATE_HZ 24000
#define FRAMES (RATE_HZ * 3 / 2)
#define POINTS 4
#define REPEATS 2
#define FULL_SCALE_SINE_DB 100.0
#define TONES 3

static void stop(const char *what, const char *why)
{
    fprintf(stderr, "from-sound: %s: %s\n", what, why);
    exit(EXIT_FAILURE);
}

static const char *path_of(const char *folder, const char *name)
{
    static char path[1200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
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

/* Mean squares: noise 1, blade harmonics 6, 2, 0.5. Full scale is a peak of 1, a full-scale sine has the mean square
 * 1/2. */
static void write_recording(const char *path, struct random *random, double blade_hz, double level_db)
{
    static const double tone_squares[TONES] = { 6, 2, 0.5 };
    static double signal[FRAMES];
    double energy = noise_energy();
    for (int k = 0; k < TONES; k++)
        energy += tone_squares[k] * a_energy(blade_hz * (k + 1));
    double scale = sqrt(0.5 * db_to_power_ratio(level_db - FULL_SCALE_SINE_DB) / energy);
    double phases[TONES];
    for (int k = 0; k < TONES; k++)
        phases[k] = random_between(random, 0, 2 * PI);
    for (int n = 0; n < FRAMES; n++) {
        double value = random_normal(random);
        for (int k = 0; k < TONES; k++)
            value += sqrt(2 * tone_squares[k]) * sin(2 * PI * blade_hz * (k + 1) * n / RATE_HZ + phases[k]);
        signal[n] = scale * value;
    }
    SF_INFO info = { .samplerate = RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file || sf_write_double(file, signal, FRAMES) != FRAMES || sf_close(file) != 0)
        stop(path, "can't be written");
}

static void write_campaign(const char *folder, struct random *random, enum truth_kind kind, struct truth truths[2])
{
    static const char *const names[2] = { "stock2", "slow5" };
    static const int blades[2] = { 2, 5 };
    FILE *yaml = fopen(path_of(folder, "campaign.yaml"), "w");
    FILE *log = fopen(path_of(folder, "runs.csv"), "w");
    if (!yaml || !log)
        stop(folder, "can't be written to");
    fprintf(yaml,
            "title: Reed beds\nruns: runs.csv\nmicrophones:\n  main: {distance_m: 1, calibration: {full_scale_db: "
            "%g}}\nvariants:\n  stock2: {blades: 2}\n  slow5: {blades: 5}\n",
            FULL_SCALE_SINE_DB);
    fprintf(log, "file,variant,rpm,thrust_n\n");
    double scatter_db = random_between(random, 0.2, 1.5);
    for (size_t v = 0; v < 2; v++) {
        truths[v] = (struct truth){ .kind = kind,
                                    .low_lg = log10(random_between(random, 1.0, 1.5)),
                                    .high_lg = log10(random_between(random, 4.5, 6)),
                                    .level_db = random_between(random, 55, 60),
                                    .slope_db = random_between(random, 20, 30),
                                    .bend_db = random_between(random, 0.5, 2),
                                    .decay_lg = 0.5,
                                    .scatter_db = scatter_db };
        for (int p = 0; p < POINTS; p++)
            for (int r = 0; r < REPEATS; r++) {
                double lg = truths[v].low_lg + (truths[v].high_lg - truths[v].low_lg) * p / (POINTS - 1);
                double thrust_n = db_to_power_ratio(10 * lg), rpm = (v == 0 ? 2600 : 1100) * sqrt(thrust_n);
                char file[40];
                snprintf(file, sizeof file, "%s-%d-%d.wav", names[v], p, r);
                fprintf(log, "%s,%s,%.1f,%.17g\n", file, names[v], rpm, thrust_n);
                write_recording(path_of(folder, file), random, blades[v] * rpm_to_hz(rpm),
                                truth_level_db(&truths[v], thrust_n) + scatter_db * random_normal(random));
            }
    }
    if (fclose(yaml) != 0 || fclose(log) != 0)
        stop(folder, "can't be written to");
}

static void judge(const struct comparisons *list, const struct truth truths[2], struct coverage *coverage)
{
    double misses = 0, count = 0;
    for (size_t i = 0; i < list->count; i++) {
        const struct comparison *item = &list->items[i];
        if (item->at != OPERATING_THRUST_N || strcmp(item->quantity, "LAeq_db") != 0)
            continue;
        if (item->verdict == COMPARE_REFUSED || !is_given(item->ci95_low_db)) {
            coverage->refused++;
            continue;
        }
        double truth_db = truth_level_db(&truths[1], item->value) - truth_level_db(&truths[0], item->value);
        bool held = item->ci95_low_db <= truth_db && truth_db <= item->ci95_high_db;
        coverage->intervals++;
        coverage->held += held;
        coverage->half_width_db += (item->ci95_high_db - item->ci95_low_db) / 2;
        coverage->miss_db += fabs(item->difference_db - truth_db);
        misses += !held;
        count++;
    }
    coverage->campaigns++;
    coverage->cluster_squares += (misses - 0.05 * count) * (misses - 0.05 * count);
}

static void measure_and_judge(const char *folder, const struct truth truths[2], struct coverage *coverage)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct err err = { 0 };
    if (!campaign_read(folder, false, &campaign, &errors))
        stop(folder, errors.items[0].text);
    struct run_result *runs = memory_new(campaign.run_count, sizeof *runs);
    if (!runs)
        stop(folder, "out of memory");
    for (size_t i = 0; i < campaign.run_count; i++)
        run_result_init(&runs[i]);
    struct measure_plan plan = { .bands_per_octave = 3, .job_count = pool_processor_count() };
    struct comparisons list = { 0 };
    struct compare_request request = { &campaign, 0 };
    if (!campaign_measure(&campaign, &plan, runs, &err) ||
        !compare_runs(&request, runs, campaign.run_count, &list, &err))
        stop(folder, err.text);
    judge(&list, truths, coverage);
    for (size_t i = 0; i < campaign.run_count; i++) {
        if (run_result_verdict(&runs[i]) == SEVERITY_UNUSABLE)
            stop(runs[i].file, runs[i].findings.count ? runs[i].findings.items[0].text : runs[i].error);
        if (unlink(path_of(folder, campaign.runs[i].file)) != 0)
            stop(runs[i].file, "can't be removed");
        run_result_clear(&runs[i]);
    }
    free(runs);
    comparisons_clear(&list);
    campaign_clear(&campaign);
}

int main(int argc, char **argv)
{
    double campaigns = 50, seed = 1;
    if (argc < 2 || (argc > 2 && !num_parse(argv[2], &campaigns)) || (argc > 3 && !num_parse(argv[3], &seed))) {
        fprintf(stderr, "usage: from-sound FOLDER [CAMPAIGNS [SEED]]\n");
        return 2;
    }
    gsl_set_error_handler_off();
    fft_make_thread_safe();
    bool fine = true;
    printf("%-10s %9s %9s %8s %10s %10s %12s %9s\n", "law", "campaigns", "intervals", "held, %", "std.err, %",
           "half, dB", "|error|, dB", "refused");
    for (int kind = 0; kind < 2; kind++) {
        struct random random = { (uint64_t)seed * 7919u + (uint64_t)kind };
        struct coverage coverage = { 0 };
        for (long i = 0; i < (long)campaigns; i++) {
            struct truth truths[2];
            write_campaign(argv[1], &random, kind ? TRUTH_PARABOLA : TRUTH_STRAIGHT, truths);
            measure_and_judge(argv[1], truths, &coverage);
        }
        double count = (double)coverage.intervals;
        printf("%-10s %9ld %9ld %8.2f %10.2f %10.3f %12.3f %9ld\n", kind ? "parabola" : "straight", coverage.campaigns,
               coverage.intervals, coverage_pct(&coverage), coverage_error_pct(&coverage),
               coverage.half_width_db / count, coverage.miss_db / count, coverage.refused);
        fine = fine && coverage.refused == 0 && coverage_pct(&coverage) >= 95 - 3 * coverage_error_pct(&coverage);
    }
    if (unlink(path_of(argv[1], "campaign.yaml")) != 0 || unlink(path_of(argv[1], "runs.csv")) != 0)
        stop(argv[1], "can't be emptied");
    return fine ? EXIT_SUCCESS : EXIT_FAILURE;
}
