/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_FUZZ_REQUIRE_H
#define THRUM_TESTS_FUZZ_REQUIRE_H

/* What must hold for every input; a fuzzer and the replay of its inputs both stop at the first that does not. */

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#define REQUIRE(what) ((what) ? (void)0 : require_failed(__FILE__, __LINE__, #what))

static inline void require_failed(const char *file, int line, const char *what)
{
    fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, what);
    abort();
}

/* The entry that each target defines; 0 always. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
