/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole way, held to what was built into the demo: `thrum report` on the committed recordings, its results.json
 * against truth.json, and every file of the report the same bytes whatever the number of jobs. truth THRUM
 * COMMITTED-FOLDER NEW-FOLDER */
#include "truth_run.h"

#include <unistd.h>

static const char *const outputs[] = { "report.pdf",
                                       "report.html",
                                       "results.json",
                                       "tables/levels.csv",
                                       "tables/third-octave.csv",
                                       "tables/tones.csv",
                                       "tables/blade-passage.csv",
                                       "tables/comparisons.csv",
                                       "tables/what-ifs.csv" };
#define OUTPUT_COUNT (sizeof outputs / sizeof outputs[0])

/* Reports afresh: nothing of an earlier time is left to be read. */
static void report(const char *thrum, const char *demo, const char *folder, const char *jobs)
{
    for (size_t i = 0; i < OUTPUT_COUNT; i++) {
        char *path = path_in(folder, outputs[i]);
        unlink(path);
        free(path);
    }
    int status = run_program((const char *const[]){ thrum, "report", demo, "-o", folder, "--jobs", jobs, NULL });
    tap_ok(status == 0, "thrum report --jobs %s: exit status %d", jobs, status);
}

static void compare_outputs(const char *one_folder, const char *other_folder)
{
    for (size_t i = 0; i < OUTPUT_COUNT; i++) {
        size_t one_size = 0, other_size = 0;
        char *one = read_file(one_folder, outputs[i], &one_size);
        char *other = read_file(other_folder, outputs[i], &other_size);
        tap_ok(one && one_size > 0, "%s is there, %zu bytes", outputs[i], one_size);
        tap_ok(one && other && one_size == other_size && memcmp(one, other, one_size) == 0,
               "%s: the same bytes with one job and with two", outputs[i]);
        free(one);
        free(other);
    }
}

static void check_runs(const json_t *truth, const json_t *results)
{
    const json_t *want = json_object_get(truth, "runs"), *got = json_object_get(results, "runs");
    tap_ok(json_array_size(want) == 24 && json_array_size(got) == 24, "%zu runs, goal 24", json_array_size(got));
    for (size_t i = 0; i < json_array_size(want); i++)
        check_run(json_array_get(want, i), truth, json_array_get(got, i));
    /* The background of every run is the same recording, used whole. */
    const json_t *background = json_object_get(truth, "background"), *first = json_array_get(got, 0);
    check_bands(json_object_get(background, "third_octave"), truth, json_object_get(first, "third_octave"),
                "background_db", 0, member_number(truth, "period_s"), "background.wav");
}

/* The comparison of one quantity of one variant at a thrust; NULL when there is none. */
static const json_t *comparison_at(const json_t *results, const char *quantity, const char *variant, double thrust_n)
{
    const json_t *list = json_object_get(results, "comparisons");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *item = json_array_get(list, i);
        if (strcmp(member_text(item, "at"), "thrust_n") == 0 && strcmp(member_text(item, "quantity"), quantity) == 0 &&
            strcmp(member_text(item, "variant"), variant) == 0 && fabs(member_number(item, "value") - thrust_n) < 1e-6)
            return item;
    }
    return NULL;
}

/* The interval holds the difference that the laws make, and the verdict is the true one. */
static void check_difference(const json_t *results, const json_t *law)
{
    const char *variant = member_text(law, "variant");
    double thrust_n = member_number(law, "thrust_n"), want_db = member_number(law, "difference_db");
    const json_t *item = comparison_at(results, "LAeq_db", variant, thrust_n), *ci95 = json_object_get(item, "ci95_db");
    double low_db = item_number(ci95, 0), high_db = item_number(ci95, 1);
    tap_ok(item && low_db < high_db && low_db <= want_db && want_db <= high_db,
           "%s at %g N: %.2f dB (%.2f to %.2f), built in %.2f dB", variant, thrust_n,
           member_number(item, "difference_db"), low_db, high_db, want_db);
    tap_text(member_text(item, "verdict"), "quieter", variant);
}

/* slow5 was built to be less loud and less sharp than stock2 at equal thrust, far beyond the scatter of repeats. */
static void check_hearing(const json_t *results, double thrust_n)
{
    static const char *const quantities[] = { "loudness_n5_sone", "sharpness_acum" };
    for (size_t i = 0; i < sizeof quantities / sizeof quantities[0]; i++) {
        const json_t *item = comparison_at(results, quantities[i], "slow5", thrust_n);
        double high = item_number(json_object_get(item, "ci95_db"), 1);
        tap_ok(item && member_number(item, "difference_db") < 0 && high < 0,
               "slow5 at %g N: %s differs by %.3f, at most %.3f", thrust_n, quantities[i],
               member_number(item, "difference_db"), high);
    }
}

/* The report says in words what was built in: the rotor that is quieter and duller whines. */
static void check_words(const char *folder)
{
    size_t size = 0;
    char *page = read_file(folder, "report.html", &size);
    bool is_said = false;
    for (const char *at = page; at && !is_said && (at = strstr(at, "belt mesh")); at++) {
        const char *said = strstr(at, "prominent");
        is_said = said && said < at + strcspn(at, ".;<");
    }
    tap_ok(is_said, "the report says that the belt mesh tone is prominent");
    tap_ok(page && strstr(page, "less sharp"), "and that its rotor sounds less sharp");
    free(page);
}

int main(int argc, char **argv)
{
    if (argc != 4)
        return 2;
    char *one_job = path_in(argv[3], "one-job"), *two_jobs = path_in(argv[3], "two-jobs");
    report(argv[1], argv[2], one_job, "1");
    report(argv[1], argv[2], two_jobs, "2");
    compare_outputs(one_job, two_jobs);
    json_t *truth = read_json(argv[2], "truth.json"), *results = read_json(two_jobs, "results.json");
    if (!tap_ok(truth && results, "truth.json and results.json can be read"))
        return tap_done();
    check_runs(truth, results);
    check_words(two_jobs);
    const json_t *laws = json_object_get(truth, "equal_thrust");
    tap_ok(json_array_size(laws) == 9, "%zu laws at equal thrust, goal 9", json_array_size(laws));
    for (size_t i = 0; i < json_array_size(laws); i++) {
        const json_t *law = json_array_get(laws, i);
        if (strcmp(member_text(law, "variant"), "stock2") != 0)
            check_difference(results, law);
        else
            check_hearing(results, member_number(law, "thrust_n"));
    }
    json_decref(truth);
    json_decref(results);
    free(one_job);
    free(two_jobs);
    return tap_done();
}
