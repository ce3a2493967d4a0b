/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/gauge.h"

#include "base/num.h"

#include <math.h>
#include <string.h>

static const struct {
    const char *words; /* of the figure: "% off" */
    const char *rest;  /* what else follows, so that no other sentence is meant */
    bool is_less_worse;
} units[] = {
    { "% off", " (friction belts", false },
    { "dB below the blade orders", ", roughly", true },
    { "dB above the shaft's other orders", " (told", false },
    { "dB above the shaft's others", " (told", false },
    { "dB high", " in the squared envelope", false },
    { "dB below the mesh", "", true },
    { "dB above the noise", " in its critical band", false },
    { "% of the A-weighted energy", " (told", false },
    { "% through the used part", "", false },
    { "tones", " lie on half orders", false },
};

/* Where the words of row `index` stand with what follows them; NULL: nowhere. */
static const char *find(const char *remark, size_t index)
{
    const char *words = units[index].words, *rest = units[index].rest;
    for (const char *at = remark; (at = strstr(at, words)); at++)
        if (strncmp(at + strlen(words), rest, strlen(rest)) == 0)
            return at;
    return NULL;
}

bool gauge_of(const char *remark, struct gauge *out)
{
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        const char *end = find(remark, i);
        if (!end || end == remark || end[-1] != ' ')
            continue;
        const char *start = --end;
        while (start > remark && strchr("0123456789.+-", start[-1]))
            start--;
        struct gauge gauge = { .words = units[i].words, .is_less_worse = units[i].is_less_worse };
        size_t length = (size_t)(end - start);
        if (length >= sizeof gauge.figure)
            continue;
        memcpy(gauge.figure, start, length);
        if (!num_parse(gauge.figure, &gauge.value))
            continue;
        *out = gauge;
        return true;
    }
    return false;
}

bool gauge_is_worse(const struct gauge *gauge, const struct gauge *than)
{
    double ours = fabs(gauge->value), other = fabs(than->value);
    return gauge->is_less_worse ? ours < other : ours > other;
}
