/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a number: what is taken is what the C library's strtod takes whole in the C locale, with the same value
 * but for rounding; what is refused is no plain decimal number or overflows (or is a zero with an exponent beyond all
 * doubles, which nobody writes). */
#include "require.h"

#include "base/num.h"

#include <float.h>
#include <math.h>
#include <string.h>

/* By the grammar in num.h, written out a second time: sign, digits with at most one point, exponent. */
static bool is_plain(const char *text)
{
    text += *text == '-' || *text == '+';
    size_t before = strspn(text, "0123456789");
    text += before;
    size_t after = *text == '.' ? strspn(text + 1, "0123456789") : 0;
    text += *text == '.' ? after + 1 : 0;
    if (before + after == 0)
        return false;
    if (*text == 'e' || *text == 'E') {
        text++;
        text += *text == '-' || *text == '+';
        if (strspn(text, "0123456789") == 0)
            return false;
        text += strspn(text, "0123456789");
    }
    return *text == '\0';
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1), *end;
    REQUIRE(text);
    memcpy(text, data, size);
    text[size] = '\0';
    double value = 12345;
    bool taken = num_parse(text, &value);
    double wanted = strtod(text, &end);
    if (!taken)
        REQUIRE(value == 12345 && (!is_plain(text) || !isfinite(wanted) || fabs(wanted) > DBL_MAX * 0.999999));
    else
        REQUIRE(is_plain(text) && *end == '\0' &&
                (fabs(value - wanted) <= 4 * DBL_EPSILON * fabs(wanted) || fabs(value - wanted) < 1e-300));
    free(text);
    return 0;
}
