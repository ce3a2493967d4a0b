/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench-speed --make FILE SECONDS: the recording that the others are measured on.
 * bench-speed THRUM SCRIPT [--markdown FILE]: the budgets of speed and memory, each a ratio of runs made alternately in
 * this one run (median of RUNS), on recordings that it makes itself. The floor is this program decoding the same file
 * through libsndfile to double, with one Hann-windowed FFT of 16384 and half overlap over it. Processor time (user and
 * system) of child processes is compared, but for the rows about processors side by side and about starting up, which
 * are by the clock. Writes the table to standard output, and as a page with --markdown. */

#define _GNU_SOURCE /* nftw, wait4 */
#include "speed.h"

#include "base/fft.h"
#include "base/units.h"

#include <fcntl.h>
#include <ftw.h>
#include <math.h>
#include <sndfile.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define RUNS 9
#define RATE_HZ 48000
#define BLOCK 8192
#define FLOOR_FFT 16384

/* -- recordings ----------------------------------------------------------------------------------------------- */

double uniform(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return (double)(*state >> 11) / 9007199254740992.0 - 0.5;
}

/* A two-blade rotor at 4200 rev/min in noise, mono 24 bits. */
static bool make_recording(const char *path, double seconds)
{
    SF_INFO info = { .samplerate = RATE_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24 };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return false;
    static double block[BLOCK];
    uint64_t state = 88172645463325252u;
    long count = (long)(seconds * RATE_HZ);
    double brown = 0;
    for (long start = 0; start < count; start += BLOCK) {
        long frames = count - start < BLOCK ? count - start : BLOCK;
        for (long n = 0; n < frames; n++) {
            double phase = 2 * PI * 140 * (double)(start + n) / RATE_HZ;
            brown = 0.98 * brown + 0.01 * uniform(&state);
            block[n] =
                0.05 * sin(phase) + 0.02 * sin(2 * phase + 1) + 0.01 * sin(3 * phase) + brown + 0.004 * uniform(&state);
        }
        sf_write_double(file, block, frames);
    }
    return sf_close(file) == 0;
}

/* -- processes ------------------------------------------------------------------------------------------------ */

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double seconds_of(struct timeval t)
{
    return (double)t.tv_sec + (double)t.tv_usec * 1e-6;
}

/* Runs a program to its end, its output thrown away. */
struct cost run(const char **argv)
{
    double start = now_s();
    pid_t child = fork();
    if (child == 0) {
        int null = open("/dev/null", O_WRONLY);
        if (null >= 0) {
            dup2(null, STDOUT_FILENO);
            dup2(null, STDERR_FILENO);
        }
        char *copies[64] = { 0 };
        for (size_t i = 0; argv[i] && i < 63; i++)
            copies[i] = strdup(argv[i]);
        execv(copies[0], copies);
        _exit(127);
    }
    int status = 0;
    struct rusage usage;
    if (child < 0 || wait4(child, &status, 0, &usage) != child)
        return (struct cost){ .ok = false };
    return (struct cost){ .cpu_s = seconds_of(usage.ru_utime) + seconds_of(usage.ru_stime),
                          .wall_s = now_s() - start,
                          .memory_mib = (double)usage.ru_maxrss / 1024,
                          .ok = WIFEXITED(status) && WEXITSTATUS(status) == 0 };
}

static int by_size(const void *a, const void *b)
{
    double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

static double median(double *values, size_t count)
{
    qsort(values, count, sizeof *values, by_size);
    return count % 2 ? values[count / 2] : (values[count / 2 - 1] + values[count / 2]) / 2;
}

/* The floor, as a child of its own so that starting up counts the same on both sides. */
static int floor_of(const char *path)
{
    SF_INFO info = { 0 };
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    struct err err;
    struct fft *fft = fft_new(FLOOR_FFT, &err);
    if (!file || !fft || info.channels != 1)
        return 1;
    static double window[FLOOR_FFT], held[FLOOR_FFT], power[FLOOR_FFT / 2 + 1];
    fft_hann(window, FLOOR_FFT);
    size_t filled = 0;
    for (;;) {
        sf_count_t got = sf_read_double(file, held + filled, FLOOR_FFT / 2);
        if (got < FLOOR_FFT / 2)
            break;
        filled += FLOOR_FFT / 2;
        if (filled < FLOOR_FFT)
            continue;
        for (size_t n = 0; n < FLOOR_FFT; n++)
            fft->signal[n] = held[n] * window[n];
        fft_forward(fft);
        for (size_t k = 0; k < fft->line_count; k++)
            power[k] += creal(fft->lines[k]) * creal(fft->lines[k]) + cimag(fft->lines[k]) * cimag(fft->lines[k]);
        memmove(held, held + FLOOR_FFT / 2, sizeof held / 2);
        filled = FLOOR_FFT / 2;
    }
    double sum = 0;
    for (size_t k = 0; k < fft->line_count; k++)
        sum += power[k];
    fft_free(fft);
    sf_close(file);
    return sum > 0 ? 0 : 1;
}

/* -- the table ------------------------------------------------------------------------------------------------ */

void row(struct bench *bench, const char *what, const char *budget, bool met, const char *format, ...)
{
    char figure[160];
    va_list args;
    va_start(args, format);
    vsnprintf(figure, sizeof figure, format, args);
    va_end(args);
    const char *verdict = !budget ? "" : met ? "met" : "**not met**";
    if (budget && !met)
        bench->all_met = false;
    printf("%-64s %-34s %-22s %s\n", what, figure, budget ? budget : "", verdict);
    fflush(stdout);
    if (bench->page)
        fprintf(bench->page, "| %s | %s | %s | %s |\n", what, figure, budget ? budget : "–", verdict);
}

/* The median ratio of two commands' costs, run in turn. */
static bool ratio(const char **one, const char **other, bool by_clock, double *out, double *one_s, double *other_s)
{
    double ratios[RUNS], ones[RUNS], others[RUNS];
    for (size_t i = 0; i < RUNS; i++) {
        struct cost a = run(one), b = run(other);
        if (!a.ok || !b.ok)
            return false;
        ones[i] = by_clock ? a.wall_s : a.cpu_s;
        others[i] = by_clock ? b.wall_s : b.cpu_s;
        ratios[i] = ones[i] / others[i];
    }
    *out = median(ratios, RUNS);
    *one_s = median(ones, RUNS);
    *other_s = median(others, RUNS);
    return true;
}

static void against_floor(struct bench *bench)
{
    const char *floor_argv[] = { bench->self, "--floor", bench->ten, NULL };
    const char *plain[] = {
        bench->thrum, "measure", bench->ten, "-q", "-j", "1", "--blades", "2", "--rpm", "4200", NULL
    };
    const char *hearing[] = { bench->thrum, "measure", bench->ten,        "-q",  "-j", "1", "--blades", "2",
                              "--rpm",      "4200",    "--full-scale-db", "114", NULL };
    double times, one_s, floor_s;
    if (ratio(plain, floor_argv, false, &times, &one_s, &floor_s))
        row(bench, "10 min of 48 kHz 24-bit mono, levels, bands, tones", "at most 3 x the floor", times <= 3,
            "%.2f x (%.2f s against %.2f s)", times, one_s, floor_s);
    else
        row(bench, "10 min of 48 kHz 24-bit mono, levels, bands, tones", "at most 3 x the floor", false, "failed");
    if (ratio(hearing, floor_argv, false, &times, &one_s, &floor_s))
        row(bench, "the same with all hearing figures", "at most 8 x the floor", times <= 8,
            "%.2f x (%.2f s against %.2f s)", times, one_s, floor_s);
    else
        row(bench, "the same with all hearing figures", "at most 8 x the floor", false, "failed");
}

static void against_length(struct bench *bench)
{
    static const int minutes[] = { 1, 10, 60 };
    double per_minute[3] = { 0 };
    for (size_t i = 0; i < 3; i++) {
        char path[128], what[96];
        snprintf(path, sizeof path, "%s/length.wav", bench->folder);
        if (!make_recording(path, minutes[i] * 60.0))
            continue;
        const char *argv[] = { bench->thrum, "measure",         path,  "-q", "-j", "1", "--blades", "2", "--rpm",
                               "4200",       "--full-scale-db", "114", NULL };
        struct cost cost = run(argv);
        snprintf(what, sizeof what, "peak memory, %d min, with hearing", minutes[i]);
        row(bench, what, "at most 40 MiB", cost.ok && cost.memory_mib <= 40, "%.1f MiB", cost.memory_mib);
        per_minute[i] = cost.cpu_s / minutes[i];
        unlink(path);
    }
    row(bench, "time a minute of sound, 60 min against 10 min", "at most 1.1", per_minute[2] / per_minute[1] <= 1.1,
        "%.3f", per_minute[2] / per_minute[1]);
}

#define SIDE_BY_SIDE 24

static void side_by_side(struct bench *bench)
{
    static char paths[SIDE_BY_SIDE][128];
    const char *one[SIDE_BY_SIDE + 16] = { bench->thrum, "measure", "-q", "-j", "1", "--full-scale-db", "114" };
    const char *two[SIDE_BY_SIDE + 16] = { bench->thrum, "measure", "-q", "-j", "2", "--full-scale-db", "114" };
    for (int i = 0; i < SIDE_BY_SIDE; i++) {
        snprintf(paths[i], sizeof paths[i], "%s/side%02d.wav", bench->folder, i);
        if (!make_recording(paths[i], 20))
            return;
        one[7 + i] = two[7 + i] = paths[i];
    }
    double times, one_s, two_s;
    bool ok = ratio(one, two, true, &times, &one_s, &two_s);
    row(bench, "24 recordings of 20 s, 1 job against 2, by the clock", "at least 1.8", ok && times >= 1.8,
        "%.2f x (%.2f s against %.2f s)", times, one_s, two_s);
    for (int i = 0; i < SIDE_BY_SIDE; i++)
        unlink(paths[i]);
}

static void channels(struct bench *bench)
{
    char mono[128], stereo[128];
    snprintf(mono, sizeof mono, "%s/mono.wav", bench->folder);
    snprintf(stereo, sizeof stereo, "%s/stereo.wav", bench->folder);
    if (!make_recording(mono, 120))
        return;
    SF_INFO in_info = { 0 };
    SNDFILE *in = sf_open(mono, SFM_READ, &in_info);
    SF_INFO out_info = { .samplerate = RATE_HZ, .channels = 2, .format = in_info.format };
    SNDFILE *out = sf_open(stereo, SFM_WRITE, &out_info);
    static double left[BLOCK], both[2 * BLOCK];
    sf_count_t got;
    while (in && out && (got = sf_read_double(in, left, BLOCK)) > 0) {
        for (sf_count_t n = 0; n < got; n++)
            both[2 * n] = both[2 * n + 1] = left[n];
        sf_writef_double(out, both, got);
    }
    sf_close(in);
    sf_close(out);
    const char *one[] = { bench->thrum, "measure", stereo, "-q", "-j", "1", "--full-scale-db", "114", NULL };
    const char *two[] = { bench->thrum, "measure", mono, "-q", "-j", "1", "--full-scale-db", "114", NULL };
    double times, one_s, two_s;
    bool ok = ratio(one, two, false, &times, &one_s, &two_s);
    row(bench, "2 min, two channels of which one is used, against mono", "at most 1.1 x", ok && times <= 1.1, "%.2f x",
        ok ? times : 0.0);
    unlink(mono);
    unlink(stereo);
}

#define DRAWN 12

/* Two invented variants of the reed-bed drone, three thrusts, two repeats; only the time matters here. */
static bool make_campaign(const char *folder, char paths[DRAWN][160])
{
    char log_path[128], yaml_path[128];
    snprintf(log_path, sizeof log_path, "%s/runs.csv", folder);
    snprintf(yaml_path, sizeof yaml_path, "%s/campaign.yaml", folder);
    FILE *log = fopen(log_path, "we"), *yaml = fopen(yaml_path, "we");
    bool ok = log && yaml && fputs("file,variant,rpm,thrust_n\n", log) >= 0 &&
              fputs("title: Reed-bed drone\nruns: runs.csv\nmicrophones:\n  main: {distance_m: 1, calibration: "
                    "{full_scale_db: 114}}\nvariants:\n  stock2: {blades: 2}\n  other2: {blades: 2}\n",
                    yaml) >= 0;
    for (int i = 0; ok && i < DRAWN; i++) {
        snprintf(paths[i], 160, "%s/draw%02d.wav", folder, i);
        ok = make_recording(paths[i], 10) &&
             fprintf(log, "draw%02d.wav,%s,4200,%d\n", i, i % 2 ? "other2" : "stock2", 2 + i / 4) > 0;
    }
    ok = (!log || fclose(log) == 0) && ok;
    return (!yaml || fclose(yaml) == 0) && ok;
}

static void drawing(struct bench *bench)
{
    static char paths[DRAWN][160];
    char folder[96], out[128], saved[128];
    snprintf(folder, sizeof folder, "%s/campaign", bench->folder);
    snprintf(out, sizeof out, "%s/report", bench->folder);
    snprintf(saved, sizeof saved, "%s/saved", bench->folder);
    const char *measure[DRAWN + 10] = { bench->thrum, "measure", "-q", "-j", "1", "--campaign", folder, "-o", saved };
    const char *draw[] = { bench->thrum, "report", folder, "--from", saved, "-o", out, "-q", NULL };
    for (int i = 0; i < DRAWN; i++)
        measure[9 + i] = paths[i];
    double times = 0, one_s = 0, two_s = 0;
    bool ok = mkdir(folder, 0777) == 0 && make_campaign(folder, paths) && run(measure).ok &&
              ratio(draw, measure, false, &times, &one_s, &two_s);
    row(bench, "drawing the report of 12 x 10 s, against measuring", "less than 1", ok && times < 1,
        "%.2f x (%.2f s against %.2f s)", times, one_s, two_s);
}

/* The same figures by a script on a general numerical library. */
static void against_script(struct bench *bench, const char *script)
{
    const char *python[] = { "/usr/bin/python3", script, bench->ten, NULL };
    const char *plain[] = {
        bench->thrum, "measure", bench->ten, "-q", "-j", "1", "--blades", "2", "--rpm", "4200", NULL
    };
    struct cost slow = run(python), fast = run(plain);
    if (slow.ok && fast.ok)
        row(bench, "a scipy script for levels, bands, spectrum of the same 10 min", NULL, true,
            "%.0f x the time, %.0f x the memory", slow.cpu_s / fast.cpu_s, slow.memory_mib / fast.memory_mib);
    else
        row(bench, "a scipy script for the same figures", NULL, true, "not run: no scipy here");
}

static void starting(struct bench *bench)
{
    const char *argv[] = { bench->thrum, "predict", "--rpm", "4200", "--blades", "2", NULL };
    double times[21];
    bool ok = true;
    for (size_t i = 0; i < 21; i++) {
        struct cost cost = run(argv);
        ok = ok && cost.ok;
        times[i] = cost.wall_s;
    }
    double middle = median(times, 21);
    row(bench, "start-up: thrum predict, by the clock", "below 30 ms", ok && middle < 0.03, "%.1f ms", middle * 1e3);
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *where)
{
    (void)info;
    (void)kind;
    (void)where;
    return remove(path);
}

static void page_head(struct bench *bench)
{
    char processor[200] = "unknown processor", line[400], day[32];
    FILE *info = fopen("/proc/cpuinfo", "re");
    while (info && fgets(line, sizeof line, info))
        if (sscanf(line, "model name : %199[^\n]", processor) == 1)
            break;
    if (info)
        fclose(info);
    time_t seconds = time(NULL);
    struct tm date;
    gmtime_r(&seconds, &date);
    strftime(day, sizeof day, "%Y-%m-%d", &date);
    double load = 0;
    if (getloadavg(&load, 1) != 1)
        load = NAN;
    fprintf(
        bench->page,
        "# Performance\n\nMade by `tests/bench/speed/run.sh` on %s, %s, %ld processors with a load of %.1f by others. "
        "The floor is decoding a file "
        "through "
        "libsndfile to\ndouble and one Hann-windowed FFT of 16384 with half overlap over it, single thread. Each row "
        "is a "
        "ratio of runs made alternately in one\ngo, the median of %d; processor time unless it says by the clock.\n\n"
        "| what | measured | budget | |\n| --- | --- | --- | --- |\n",
        day, processor, sysconf(_SC_NPROCESSORS_ONLN), load, RUNS);
}

int main(int argc, char **argv)
{
    if (argc == 3 && strcmp(argv[1], "--floor") == 0)
        return floor_of(argv[2]);
    if (argc == 4 && strcmp(argv[1], "--make") == 0)
        return make_recording(argv[2], strtod(argv[3], NULL)) ? 0 : 1;
    if (argc != 3 && !(argc == 5 && strcmp(argv[3], "--markdown") == 0)) {
        fputs("usage: bench-speed THRUM SCRIPT [--markdown FILE]\n", stderr);
        return 2;
    }
    struct bench bench = { .thrum = argv[1], .all_met = true };
    snprintf(bench.folder, sizeof bench.folder, "%s", "/tmp/thrum-bench-XXXXXX");
    char self[1024];
    ssize_t length = readlink("/proc/self/exe", self, sizeof self - 1);
    if (length <= 0 || !mkdtemp(bench.folder))
        return 1;
    self[length] = '\0';
    bench.self = self;
    snprintf(bench.ten, sizeof bench.ten, "%s/ten.wav", bench.folder);
    if (argc == 5 && !(bench.page = fopen(argv[4], "we")))
        return 1;
    if (bench.page)
        page_head(&bench);
    if (!make_recording(bench.ten, 600))
        return 1;
    against_floor(&bench);
    against_length(&bench);
    large_file(&bench);
    channels(&bench);
    side_by_side(&bench);
    drawing(&bench);
    starting(&bench);
    against_script(&bench, argv[2]);
    each_meter(&bench);
    if (bench.page)
        fclose(bench.page);
    printf("%s\n", bench.all_met ? "every budget is met" : "a budget is not met");
    if (nftw(bench.folder, remove_one, 16, FTW_DEPTH | FTW_PHYS) != 0)
        printf("left behind: %s\n", bench.folder);
    return bench.all_met ? 0 : 1;
}
