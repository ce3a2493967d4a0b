/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The demo's recordings can be made again: no sample differs by more than one step of 16 bits from the committed file,
 * the run log is the same to the byte, and truth.json says the same to the digits it is written with. (The last digit
 * may fall either way on another processor, whence 1.5 of the coarsest.) remake MAKE-DEMO COMMITTED-FOLDER NEW-FOLDER
 */
#include "programs.h"
#include "tap.h"

#include <sndfile.h>

#define FRAMES_MOST 300000

static sf_count_t read_wav(const char *folder, const char *name, short *samples, SF_INFO *info)
{
    char *path = path_in(folder, name);
    *info = (SF_INFO){ 0 };
    SNDFILE *file = sf_open(path, SFM_READ, info);
    free(path);
    if (!file)
        return -1;
    sf_count_t count = info->channels == 1 ? sf_readf_short(file, samples, FRAMES_MOST) : -1;
    sf_close(file);
    return count;
}

static void compare_wav(const char *committed, const char *made, const char *name, short *one, short *other)
{
    SF_INFO info, made_info;
    sf_count_t count = read_wav(committed, name, one, &info), made_count = read_wav(made, name, other, &made_info);
    bool alike = count > 0 && count == made_count && info.samplerate == made_info.samplerate &&
                 info.format == (SF_FORMAT_WAV | SF_FORMAT_PCM_16) && info.format == made_info.format;
    int largest = 0;
    for (sf_count_t i = 0; alike && i < count; i++)
        largest = abs(one[i] - other[i]) > largest ? abs(one[i] - other[i]) : largest;
    tap_ok(alike && largest <= 1, "%s: %lld frames against %lld, largest difference %d of 1 step", name,
           (long long)count, (long long)made_count, largest);
}

/* Largest difference of two numbers that stand in the same place; INFINITY where anything else differs. */
static double json_distance(json_t *one, json_t *other)
{
    double largest = 0;
    if (json_is_number(one) && json_is_number(other))
        return fabs(json_number_value(one) - json_number_value(other));
    if (json_is_object(one) && json_is_object(other) && json_object_size(one) == json_object_size(other)) {
        const char *key;
        json_t *value;
        json_object_foreach(one, key, value) largest = fmax(largest, json_distance(value, json_object_get(other, key)));
        return largest;
    }
    if (json_is_array(one) && json_is_array(other) && json_array_size(one) == json_array_size(other)) {
        for (size_t i = 0; i < json_array_size(one); i++)
            largest = fmax(largest, json_distance(json_array_get(one, i), json_array_get(other, i)));
        return largest;
    }
    return json_equal(one, other) ? 0 : (double)INFINITY;
}

static void compare_texts(const char *committed, const char *made)
{
    size_t size = 0, made_size = 0;
    char *log = read_file(committed, "runs.csv", &size), *made_log = read_file(made, "runs.csv", &made_size);
    tap_ok(log && made_log && size == made_size && memcmp(log, made_log, size) == 0, "runs.csv: the same bytes");
    free(log);
    free(made_log);
    json_t *truth = read_json(committed, "truth.json"), *made_truth = read_json(made, "truth.json");
    double distance = truth && made_truth ? json_distance(truth, made_truth) : (double)INFINITY;
    tap_ok(distance <= 0.015, "truth.json: largest difference %.3g of 0.015", distance);
    json_decref(truth);
    json_decref(made_truth);
}

int main(int argc, char **argv)
{
    if (argc != 4)
        return 2;
    const char *committed = argv[2], *made = argv[3];
    int status = run_program((const char *const[]){ argv[1], made, NULL });
    tap_ok(status == 0, "make-demo ends well: status %d", status);
    json_t *truth = read_json(committed, "truth.json");
    const json_t *runs = json_object_get(truth, "runs");
    short *one = calloc(FRAMES_MOST, sizeof *one), *other = calloc(FRAMES_MOST, sizeof *other);
    tap_ok(json_array_size(runs) == 24 && one && other, "%zu runs in truth.json, goal 24", json_array_size(runs));
    for (size_t i = 0; one && other && i < json_array_size(runs); i++)
        compare_wav(committed, made, member_text(json_array_get(runs, i), "file"), one, other);
    static const char *const beside[] = { "background.wav", "calibrator.wav", "calibrator-after.wav" };
    for (size_t i = 0; one && other && i < sizeof beside / sizeof beside[0]; i++)
        compare_wav(committed, made, beside[i], one, other);
    compare_texts(committed, made);
    free(one);
    free(other);
    json_decref(truth);
    return tap_done();
}
