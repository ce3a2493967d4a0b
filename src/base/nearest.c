/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/nearest.h"

#include <string.h>

#define LONGEST 63

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Damerau-Levenshtein distance in its optimal string alignment form. */
static size_t edits(const char *a, const char *b)
{
    size_t a_length = strlen(a), b_length = strlen(b);
    if (a_length > LONGEST || b_length > LONGEST)
        return LONGEST + 1;
    size_t rows[3][LONGEST + 1];
    for (size_t j = 0; j <= b_length; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        size_t *row = rows[i % 3];
        const size_t *above = rows[(i + 2) % 3], *above2 = rows[(i + 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            row[j] = least(least(row[j - 1], above[j]) + 1, above[j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = least(row[j], above2[j - 2] + 1);
        }
    }
    return rows[a_length % 3][b_length];
}

const char *nearest_name(const char *text, const char *const *names, size_t count)
{
    size_t length = strlen(text);
    size_t best = length / 3 < 1 ? 1 : least(length / 3, 3);
    const char *found = NULL;
    for (size_t i = 0; i < count; i++) {
        size_t distance = edits(text, names[i]);
        if (distance < best || (distance == best && !found)) {
            best = distance;
            found = names[i];
        }
    }
    return found;
}
