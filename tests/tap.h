/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_TAP_H
#define THRUM_TESTS_TAP_H

/* Test Anything Protocol, one line a check: what was checked, got, goal, tolerance, margin. A NaN never passes.
 * A program ends with `return tap_done();`. Each test program includes this once, so its counters are its own. */

#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int tap_count, tap_failed;

__attribute__((format(printf, 2, 3))) static inline bool tap_ok(bool passed, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    printf("%s %d - ", passed ? "ok" : "not ok", ++tap_count);
    vprintf(format, args);
    putchar('\n');
    va_end(args);
    fflush(stdout);
    tap_failed += !passed;
    return passed;
}

/* Passes when `got` lies within [want - below, want + above]; prints the margin that is left. */
__attribute__((format(printf, 5, 6))) static inline bool tap_within(double got, double want, double below, double above,
                                                                    const char *format, ...)
{
    char label[400];
    va_list args;
    va_start(args, format);
    vsnprintf(label, sizeof label, format, args);
    va_end(args);
    bool passed = isfinite(got) ? got - want >= -below && got - want <= above : got == want;
    double margin = got >= want ? above - (got - want) : below - (want - got);
    return tap_ok(passed, "%s: got %.9g, goal %.9g (-%.3g/+%.3g), margin %.3g", label, got, want, below, above, margin);
}

#define tap_near(got, want, tolerance, ...) tap_within((got), (want), (tolerance), (tolerance), __VA_ARGS__)

static inline bool tap_text(const char *got, const char *want, const char *label)
{
    return tap_ok(got && strcmp(got, want) == 0, "%s: got \"%s\", goal \"%s\"", label, got ? got : "(null)", want);
}

__attribute__((format(printf, 1, 2))) static inline void tap_skip(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    printf("ok %d # SKIP ", ++tap_count);
    vprintf(format, args);
    putchar('\n');
    va_end(args);
}

static inline int tap_done(void)
{
    printf("1..%d\n", tap_count);
    return tap_failed ? EXIT_FAILURE : EXIT_SUCCESS;
}

#endif
