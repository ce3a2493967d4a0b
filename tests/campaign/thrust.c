/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thrusts of a log that was typed in another unit. Goals: thrust is 2e-7 N for each (rev/min) squared, in closed form;
 * a kilogram weighs 9.80665 N (CGPM 1901), so a gram is told 101.97 times too large as newtons. */
#include "tap.h"

#include "base/absent.h"
#include "campaign/thrust_check.h"

#define RUN_COUNT 9

static const double speeds_rpm[RUN_COUNT] = { 3000, 3000, 3500, 3500, 4000, 4000, 4600, 4600, 5000 };

/* All runs true but the last, whose thrust is `factor` times too large; `others` runs have a thrust beside it. */
static void check(double factor, size_t others, double scatter, const char *part)
{
    struct run runs[RUN_COUNT] = { 0 };
    struct variant variant = { .name = (char[]){ "slow5" } };
    struct campaign campaign = { .variants = &variant, .variant_count = 1, .runs = runs, .run_count = RUN_COUNT };
    struct text text = { 0 };
    for (size_t i = 0; i < RUN_COUNT; i++) {
        double thrust_n = 2e-7 * speeds_rpm[i] * speeds_rpm[i] * (i % 2 ? scatter : 1 / scatter);
        runs[i] = (struct run){ .row = (int)i + 2, .rpm = speeds_rpm[i], .thrust_n = i < others ? thrust_n : ABSENT };
    }
    runs[RUN_COUNT - 1].thrust_n = 2e-7 * 5000 * 5000 * factor;
    bool ok = thrust_check(&campaign, RUN_COUNT - 1, &text);
    if (part)
        tap_ok(ok && text.data && strstr(text.data, part), "times %g: %s", factor, text.data ? text.data : "nothing");
    else
        tap_ok(ok && text.length == 0, "times %g beside %zu runs that scatter by %g: %s", factor, others,
               scatter * scatter, text.data ? text.data : "nothing");
    text_clear(&text);
    for (size_t i = 0; i + 1 < RUN_COUNT; i++)
        ok = ok && thrust_check(&campaign, i, &text);
    tap_ok(ok && text.length == 0, "nothing of the others: %s", text.data ? text.data : "");
    text_clear(&text);
}

int main(void)
{
    check(1000 / 9.80665, 8, 1, "509.858 N at 5000 rev/min, is 102 times as large as the 8 other runs of slow5 tell");
    check(1000 / 9.80665, 8, 1.05, "grams (gram-force) in the place of newtons? check row 10");
    check(9.80665 / 1000, 8, 1, "102 times as small");
    check(9.80665 / 1000, 8, 1.05, "newtons in the place of grams");
    check(1 / 9.80665, 3, 1.05, "kilogram-force in the place of newtons, or a digit too few?");
    check(10, 8, 1.05, "a digit too many?");
    check(1000, 8, 1.05, "a point that was lost?");
    check(30, 8, 1.05, "a slip in thrust or speed?");
    check(1, 8, 1.05, NULL);
    check(3, 8, 1.05, NULL);      /* a rotor whose pitch was set */
    check(102, 2, 1.05, NULL);    /* of two others none may be right */
    check(102, 8, 1.6, NULL);     /* they do not agree */
    check(ABSENT, 8, 1.05, NULL); /* not logged */
    return tap_done();
}
