/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/operands.h"

#include "campaign/text_check.h"

#include <string.h>

bool operands_are_text(const struct operands *files, struct err *err)
{
    for (int i = 0; i < files->count; i++) {
        const char *name = files->items[i];
        if (!text_check(name, strlen(name), NULL, NULL) || strpbrk(name, "\t\r\n"))
            return err_set(err, ERR_USAGE,
                           "the name of recording %d is not UTF-8, or holds control characters; rename it", i + 1);
    }
    return true;
}
