/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "compare/words.h"

/* The wording is ours; the steps of 1, 3, 6 and 10 dB are common practice. */
static void says(const char *quantity, enum compare_verdict verdict, double value, double low, double high,
                 const char *goal)
{
    struct comparison comparison = {
        .verdict = verdict, .difference_db = value, .ci95_low_db = low, .ci95_high_db = high
    };
    snprintf(comparison.quantity, sizeof comparison.quantity, "%s", quantity);
    snprintf(comparison.reason, sizeof comparison.reason, "no common range");
    char buffer[200];
    tap_text(words_of_comparison(&comparison, buffer, sizeof buffer), goal, "in words");
}

/* Without the figures. */
static void judges(const char *quantity, enum compare_verdict verdict, double low, double high, const char *goal)
{
    struct comparison comparison = {
        .verdict = verdict, .difference_db = (low + high) / 2, .ci95_low_db = low, .ci95_high_db = high
    };
    snprintf(comparison.quantity, sizeof comparison.quantity, "%s", quantity);
    snprintf(comparison.reason, sizeof comparison.reason, "no common range");
    char buffer[200];
    tap_text(words_of_verdict(&comparison, buffer, sizeof buffer), goal, "verdict in words");
}

int main(void)
{
    says("LAeq_db", COMPARE_QUIETER, -4.1, -4.9, -3.3, "quieter by 4.1 dB (3.3 to 4.9), clearly audible");
    says("LAeq_db", COMPARE_LOUDER, 0.6, 0.2, 1.0, "louder by 0.6 dB (0.2 to 1.0), hardly noticeable");
    says("third_octave_db", COMPARE_LOUDER, 11, 9, 13, "louder by 11.0 dB (9.0 to 13.0), about twice as loud or more");
    says("LAeq_db", COMPARE_UNCLEAR, 0.3, -0.4, 1.1, "no clear difference (−0.4 to +1.1 dB)");
    says("LAeq_db", COMPARE_QUIETER, -5.5, -INFINITY, -2.04, "quieter by at least 2.0 dB, just noticeable");
    says("LAeq_db", COMPARE_LOUDER, 8, 7, INFINITY, "louder by at least 7.0 dB, a large step");
    says("LAeq_db", COMPARE_UNCLEAR, -0.5, -INFINITY, 0.4, "no clear difference (at most +0.4 dB)");
    says("LAeq_db", COMPARE_UNKNOWN, -2.5, ABSENT, ABSENT, "−2.5 dB, but how sure is not known");
    says("loudness_n5_sone", COMPARE_QUIETER, -1.2, -1.6, -0.8, "less loud by 1.2 sone (0.8 to 1.6)");
    says("annoyance", COMPARE_LOUDER, 3, 1, 5, "higher by 3.0 (1.0 to 5.0)");
    says("LAeq_db", COMPARE_REFUSED, ABSENT, ABSENT, ABSENT, "not compared: no common range");
    says("sharpness_acum", COMPARE_LOUDER, 0.2, 0.1, 0.3, "sharper by 0.20 acum (0.10 to 0.30)");
    says("audibility_db", COMPARE_QUIETER, -3, -INFINITY, -1, "lower by at least 1.0 dB");
    judges("LAeq_db", COMPARE_QUIETER, -4.9, -3.3, "quieter, clearly audible");
    judges("LAeq_db", COMPARE_QUIETER, -INFINITY, -2.0, "quieter, just noticeable");
    judges("loudness_n5_sone", COMPARE_LOUDER, 1, 2, "louder");
    judges("LAeq_db", COMPARE_UNCLEAR, -1, 2, "no clear difference");
    judges("LAeq_db", COMPARE_UNKNOWN, ABSENT, ABSENT, "how sure is not known");
    judges("LAeq_db", COMPARE_REFUSED, ABSENT, ABSENT, "not compared: no common range");
    char number[40];
    tap_text(words_signed(-0.04, 1, number, sizeof number), "0.0", "no sign on what rounds to nothing");
    tap_text(words_number(-12.6, 0, number, sizeof number), "−13", "true minus sign");
    tap_text(words_of_step(-2.94), "just noticeable", "step below 3 dB");
    tap_text(words_of_step(-2.96), "clearly audible", "told as 3.0 dB");
    tap_text(words_of_step(3), "clearly audible", "step of 3 dB");
    tap_text(words_of_step(-10), "about half as loud or less", "step of 10 dB");
    return tap_done();
}
