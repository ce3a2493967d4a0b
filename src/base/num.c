/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/num.h"

#include "base/absent.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The largest count of significant digits for which mantissa and power of ten are both exact in a double; longer texts
 * round once more, by less than an ulp, which no input of ours can notice. */
bool num_parse(const char *text, double *out)
{
    const char *at = text;
    bool negative = *at == '-';
    if (*at == '-' || *at == '+')
        at++;
    double mantissa = 0;
    int exponent = 0, digit_count = 0, significant_count = 0;
    bool seen_point = false;
    for (; is_digit(*at) || (*at == '.' && !seen_point); at++) {
        if (*at == '.') {
            seen_point = true;
            continue;
        }
        digit_count++;
        if (significant_count > 0 || *at != '0')
            significant_count++;
        if (significant_count <= 17) {
            mantissa = mantissa * 10 + (*at - '0');
            exponent -= seen_point;
        } else {
            exponent += !seen_point;
        }
    }
    if (digit_count == 0)
        return false;
    if (*at == 'e' || *at == 'E') {
        at++;
        bool exponent_negative = *at == '-';
        if (*at == '-' || *at == '+')
            at++;
        if (!is_digit(*at))
            return false;
        int given = 0;
        for (; is_digit(*at); at++)
            given = given < 10000 ? given * 10 + (*at - '0') : given;
        exponent += exponent_negative ? -given : given;
    }
    if (*at != '\0')
        return false;
    double value = mantissa == 0     ? 0
                   : exponent < -300 ? mantissa * pow(10, exponent + 300) * 1e-300
                   : exponent < 0    ? mantissa / pow(10, -exponent)
                                     : mantissa * pow(10, exponent);
    if (!isfinite(value))
        return false;
    *out = negative ? -value : value;
    return true;
}

double num_round(double value, int decimals)
{
    if (!isfinite(value))
        return value;
    double scale = pow(10, decimals);
    double rounded = round(value * scale) / scale;
    return rounded == 0 ? 0 : rounded;
}

const char *num_format(char *buffer, size_t size, double value, int decimals)
{
    if (!isfinite(value)) {
        snprintf(buffer, size, "%s", value > 0 && is_given(value) ? "\xe2\x88\x9e" : "\xe2\x80\x93");
        return buffer;
    }
    snprintf(buffer, size, "%.*f", decimals, num_round(value, decimals));
    char *comma = strpbrk(buffer, ",'");
    if (comma)
        *comma = '.';
    return buffer;
}

static const char *with_sign(char *buffer, size_t size, double value, int decimals, const char *plus)
{
    char digits[48];
    num_format(digits, sizeof digits, value, decimals);
    bool is_negative = digits[0] == '-';
    snprintf(buffer, size, "%s%s",
             is_negative                      ? "\xe2\x88\x92"
             : num_round(value, decimals) > 0 ? plus
                                              : "",
             digits + is_negative);
    return buffer;
}

const char *num_words(char *buffer, size_t size, double value, int decimals)
{
    return with_sign(buffer, size, value, decimals, "");
}

const char *num_words_signed(char *buffer, size_t size, double value, int decimals)
{
    return with_sign(buffer, size, value, decimals, "+");
}
