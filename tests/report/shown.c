/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "report/clean.h"
#include "report/csv.h"
#include "report/show.h"

static void numbers_are_shown(void)
{
    tap_text(show(-4.06, 1).text, "−4.1", "a true minus sign, U+2212");
    tap_text(show(-0.04, 1).text, "0.0", "no negative zero");
    tap_text(show(ABSENT, 1).text, "–", "absent is an en dash");
    tap_text(show(-INFINITY, 1).text, "–", "silence is an en dash");
    tap_text(show_signed(3.25, 1).text, "+3.3", "a plus before what is above zero");
    tap_text(show_signed(0.01, 1).text, "0.0", "none before zero");
    tap_text(show_plain(2.50, 2).text, "2.5", "no zeros at the end");
    tap_text(show_plain(100, 0).text, "100", "zeros before the point stay");
    tap_text(show_interval(-4.9, -3.3, 1).text, "−4.9 to −3.3", "an interval");
    tap_text(show_interval(-INFINITY, -3.3, 1).text, "at most −3.3", "a one-sided interval");
    tap_text(show_interval(1.2, INFINITY, 1).text, "at least +1.2", "the other side");
    tap_text(show_interval(ABSENT, ABSENT, 1).text, "–", "no interval");
    tap_text(show_operating(OPERATING_THRUST_N, 3.5).text, "3.5 N", "thrust");
    tap_text(show_operating(OPERATING_RPM, 4200.4).text, "4200 rev/min", "speed");
    tap_text(show_operating_axis(OPERATING_POWER_W).text, "Power, W", "an axis has its unit");
}

static void text_is_cleaned(void)
{
    static const struct {
        const char *raw, *clean, *label;
        size_t most;
    } rows[] = {
        { "Röhricht", "Röhricht", "UTF-8 stays", 100 },
        { "a\xff"
          "b",
          "a\xef\xbf\xbd"
          "b",
          "a byte that is no UTF-8", 100 },
        { "a\xe2\x82", "a\xef\xbf\xbd\xef\xbf\xbd", "a character cut short", 100 },
        { "a\nb\tc\x7f", "a b c ", "control characters", 100 },
        { "a\xe2\x80\xae"
          "b",
          "ab", "U+202E would turn the text around", 100 },
        { "abcdef", "abc…", "cut", 4 },
        { "abcd", "abcd", "just long enough", 4 },
        { NULL, "", "none", 4 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *clean = clean_text(rows[i].raw, rows[i].most);
        tap_text(clean, rows[i].clean, rows[i].label);
        free(clean);
    }
    struct text out = { 0 };
    clean_add_html(&out, "<b>&amp; \"x\" 'y'");
    tap_text(out.data, "&lt;b&gt;&amp;amp; &quot;x&quot; &#39;y&#39;", "HTML is escaped");
    text_clear(&out);
}

static void units_stay_with_numbers(void)
{
    char *kept = clean_units_kept("9.9 dB at 3 N (95 % of 24 runs), 3 m/s or 4 machines");
    tap_text(kept, "9.9 dB at 3 N (95 % of 24 runs), 3 m/s or 4 machines", "no-break spaces, U+00A0");
    free(kept);
}

/* Widths by Unicode Standard Annex 11: wide characters take two columns, combining ones none. */
static void columns_are_counted(void)
{
    tap_ok(clean_columns("slow5") == 5, "letters take a column each");
    tap_ok(clean_columns("葦 Röhricht") == 11, "a wide character takes two");
    tap_ok(clean_columns("e\xcc\x81") == 1, "a combining accent takes none");
    struct text out = { 0 };
    clean_add_padded(&out, "葦原鳥", 5, false);
    tap_text(out.data, "葦原…", "a wide text is cut to its columns");
    text_clear(&out);
    clean_add_padded(&out, "é", 3, true);
    tap_text(out.data, "  é", "padded at the left");
    text_clear(&out);
}

static void fields_are_quoted(void)
{
    static const struct {
        const char *raw, *field;
    } rows[] = {
        { "plain", "plain" },
        { "a,b", "\"a,b\"" },
        { "say \"hi\"", "\"say \"\"hi\"\"\"" },
        { "two\r\nlines", "\"two\r\nlines\"" },
        { "=1+1", "\"'=1+1\"" }, /* a spreadsheet would compute it */
        { "-5.wav", "\"'-5.wav\"" },
        { NULL, "" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct text out = { 0 };
        bool at_start = true;
        csv_text(&out, rows[i].raw, &at_start);
        csv_end(&out, &at_start);
        char want[64];
        snprintf(want, sizeof want, "%s\r\n", rows[i].field);
        tap_ok(strcmp(out.data, want) == 0, "RFC 4180 field %zu of %zu bytes", i + 1, out.length);
        text_clear(&out);
    }
    struct text out = { 0 };
    bool at_start = true;
    csv_number(&out, 63.2, 2, &at_start);
    csv_number(&out, ABSENT, 2, &at_start);
    csv_number(&out, -INFINITY, 2, &at_start);
    csv_number(&out, 4200, 3, &at_start);
    csv_number(&out, 100, 0, &at_start);
    tap_text(out.data, "63.2,,,4200,100", "numbers; what is absent is empty");
    text_clear(&out);
}

int main(void)
{
    numbers_are_shown();
    text_is_cleaned();
    units_stay_with_numbers();
    columns_are_counted();
    fields_are_quoted();
    return tap_done();
}
