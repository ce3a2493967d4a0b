/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/err.h"
#include "base/files.h"
#include "base/median.h"
#include "base/memory.h"
#include "base/nearest.h"
#include "base/num.h"
#include "base/pool.h"
#include "base/text.h"
#include "base/units.h"

#include <iconv.h>
#include <stdint.h>
#include <unistd.h>

static void numbers_are_read(void)
{
    static const struct {
        const char *text;
        bool good;
        double value;
    } rows[] = {
        { "0", true, 0 },           { "-12.5", true, -12.5 }, { "+3", true, 3 },     { "1e3", true, 1000 },
        { ".5", true, 0.5 },        { "5.", true, 5 },        { "0.1", true, 0.1 },  { "121.4", true, 121.4 },
        { "1e-320", true, 1e-320 }, { "0e999", true, 0 },     { "", false, 0 },      { ".", false, 0 },
        { "1,5", false, 0 },        { "nan", false, 0 },      { "inf", false, 0 },   { "0x10", false, 0 },
        { "1e", false, 0 },         { "5400 rpm", false, 0 }, { " 1", false, 0 },    { "1 ", false, 0 },
        { "1e999", false, 0 },      { "--1", false, 0 },      { "1.2.3", false, 0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double value = -77;
        bool good = num_parse(rows[i].text, &value);
        tap_ok(good == rows[i].good && (good ? fabs(value - rows[i].value) <= 4e-16 * fabs(value) : value == -77),
               "num_parse \"%s\" gives %.17g", rows[i].text, value);
    }
}

static void numbers_are_written(void)
{
    char buffer[64];
    tap_text(num_format(buffer, sizeof buffer, 63.249, 1), "63.2", "one decimal");
    tap_text(num_format(buffer, sizeof buffer, -0.04, 1), "0.0", "no negative zero");
    tap_text(num_format(buffer, sizeof buffer, ABSENT, 1), "–", "absent is a dash");
    tap_text(num_format(buffer, sizeof buffer, -INFINITY, 1), "–", "silence is a dash");
    tap_text(num_words(buffer, sizeof buffer, -11, 2), "−11.00", "in sentences a true minus");
    tap_text(num_words(buffer, sizeof buffer, -0.04, 1), "0.0", "no negative zero there");
    tap_text(num_words_signed(buffer, sizeof buffer, 0.06, 1), "+0.1", "a plus");
    tap_text(num_words_signed(buffer, sizeof buffer, 0.04, 1), "0.0", "none before what is rounded to zero");
    tap_text(num_words_signed(buffer, sizeof buffer, -0.06, 1), "−0.1", "a minus");
    tap_near(num_round(2.345, 2), 2.35, 1e-12, "rounding is half away from zero");
}

static void nearest_names(void)
{
    static const char *const names[] = { "blades", "diameter_mm", "title", "rpm" };
    tap_text(nearest_name("bladse", names, 4), "blades", "swapped letters");
    tap_text(nearest_name("diametre_mm", names, 4), "diameter_mm", "misspelling");
    tap_ok(nearest_name("colour", names, 4) == NULL, "nothing is near \"colour\"");
    char long_name[200];
    memset(long_name, 'x', sizeof long_name - 1);
    long_name[sizeof long_name - 1] = '\0';
    tap_ok(nearest_name(long_name, names, 4) == NULL, "a very long name is near nothing");
}

/* ISO 1683:2015: 20 uPa. 1 Pa is 93.9794 dB: 20 lg(1/20e-6). 9.80665 N/kg: CGPM 1901. */
static void units_convert(void)
{
    tap_near(pa2_to_db(1.0), 93.97940008672037, 1e-12, "1 Pa rms");
    tap_near(db_to_pa2(93.97940008672037), 1.0, 1e-13, "and back");
    tap_near(grams_force_to_n(1000), 9.80665, 1e-12, "a kilogram-force");
    tap_near(sound_speed_m_s(20), 343.2, 0.05, "speed of sound at 20 deg C (public table: 343.2 m/s)");
}

static void errors_format(void)
{
    struct err err;
    char line[900];
    bool returned = err_at(&err, ERR_RANGE, &(struct place){ "a.yaml", 12, 8 }, "rpm must be above 0, not %d", -3);
    err_format(&err, line, sizeof line);
    tap_ok(!returned, "err_at returns false");
    tap_text(line, "a.yaml:12:8: rpm must be above 0, not -3", "file, line, column");
    struct err_list list = { 0 };
    for (int i = 0; i < ERR_LIST_MAX + 3; i++)
        err_list_add(&list, &err);
    tap_ok(list.count == ERR_LIST_MAX && list.dropped == 3, "a list keeps %d and counts the rest", ERR_LIST_MAX);
}

/* The C library's own converter judges. */
static bool is_utf8(const char *text)
{
    char copy[256], room[1024], *from = copy, *to = room;
    size_t left = strlen(text), free_bytes = sizeof room;
    memcpy(copy, text, left);
    iconv_t converter = iconv_open("UTF-32", "UTF-8");
    bool is_whole = iconv(converter, &from, &left, &to, &free_bytes) == 0 && left == 0;
    iconv_close(converter);
    return is_whole;
}

/* Letters of one, two, three and four bytes, at every length of the buffer. */
static void texts_are_cut_at_characters(void)
{
    static const char text[] = "reed-\u0442\u0440\u043e\u0441\u0442\u043d\u0438\u043a-\u8449-\U0001F426-bed";
    bool is_right = true;
    for (size_t size = 4; size <= sizeof text + 1; size++) {
        char buffer[sizeof text + 1];
        text_fit(buffer, size, "%s", text);
        size_t length = strlen(buffer), kept = size >= sizeof text ? length : length - strlen("\u2026");
        is_right = is_right && is_utf8(buffer) && length < size && strncmp(buffer, text, kept) == 0 &&
                   strcmp(buffer + kept, size >= sizeof text ? "" : "\u2026") == 0 &&
                   (size >= sizeof text || size - length <= 4); /* no character that would have fitted is lost */
    }
    tap_ok(is_right, "a text is cut at whole characters, and marked, at each of %zu sizes", sizeof text - 2);
    char longest[100];
    memset(longest, 'x', sizeof longest - 1);
    longest[80] = '\0';
    tap_text(text_short(longest).text, longest, "80 bytes of a name stay");
    longest[80] = 'x';
    longest[81] = '\0';
    tap_ok(strlen(text_short(longest).text) == 80 && strcmp(text_short(longest).text + 77, "\u2026") == 0,
           "of 81 are 77 left, and a mark");
    struct err err;
    err_file(&err, ERR_AUDIO, "a.wav", "%0239d\u0442", 0);
    tap_ok(is_utf8(err.text), "a message is cut at a whole character");
}

static void sizes_are_checked(void)
{
    tap_ok(memory_new(SIZE_MAX / 2, 4) == NULL, "a size that overflows is refused");
    void *items = NULL;
    size_t capacity = 0;
    tap_ok(memory_grow(&items, &capacity, 5, 8) && capacity >= 5, "growing");
    tap_ok(!memory_grow(&items, &capacity, SIZE_MAX / 4, 8), "growing past memory is refused");
    free(items);
}

static void count_up(void *context, size_t index)
{
    ((int *)context)[index] += (int)index + 1;
}

static void pool_does_each_once(void)
{
    for (unsigned jobs = 1; jobs <= 5; jobs += 2) {
        int slots[100] = { 0 };
        pool_run(jobs, 100, count_up, slots);
        bool good = true;
        for (int i = 0; i < 100; i++)
            good = good && slots[i] == i + 1;
        tap_ok(good, "every item once on %u threads", jobs);
    }
    pool_run(3, 0, count_up, NULL);
    tap_ok(true, "no item is fine");
}

static void files_are_whole(void)
{
    char folder[] = "/tmp/thrum-base-XXXXXX";
    if (!tap_ok(mkdtemp(folder) != NULL, "a folder to write in"))
        return;
    char path[600], deep[600];
    snprintf(deep, sizeof deep, "%s/a/b", folder);
    snprintf(path, sizeof path, "%s/a/b/c.txt", folder);
    struct err err;
    char *content = NULL;
    size_t size = 0;
    tap_ok(files_make_folder(deep, &err), "folders above are made");
    tap_ok(files_write(path, "reed", 4, &err) && files_write(path, "bed", 3, &err), "a file is replaced");
    tap_ok(files_read(path, 100, &content, &size, &err) && size == 3 && strcmp(content, "bed") == 0, "and read");
    free(content);
    tap_ok(!files_read(path, 2, &content, &size, &err) && err.kind == ERR_FILE, "one that is too large is refused");
    tap_ok(!files_write("/nowhere/at/all", "x", 1, &err) && strstr(err.text, "cannot write"), "no folder: %s",
           err.text);
    tap_ok(!files_make_folder(path, &err), "a file in the way: %s", err.text);
    unlink(path);
    rmdir(deep);
    deep[strlen(deep) - 2] = '\0';
    tap_ok(rmdir(deep) == 0 && rmdir(folder) == 0, "nothing else was left there");
}

static void medians_are_found(void)
{
    double odd[] = { 5, -1, 3 }, even[] = { 4, 1, 3, 2 };
    tap_near(median(odd, 3), 3, 0, "the middle one of three");
    tap_near(median(even, 4), 3, 0, "the upper one in the middle of four");
}

int main(void)
{
    medians_are_found();
    numbers_are_read();
    numbers_are_written();
    nearest_names();
    units_convert();
    errors_format();
    texts_are_cut_at_characters();
    sizes_are_checked();
    pool_does_each_once();
    files_are_whole();
    return tap_done();
}
