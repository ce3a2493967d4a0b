/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_WHOLE_H
#define THRUM_ROTOR_WHOLE_H

/* Whole numbers. The divisor of 0 and b is b. */
static inline int greatest_common_divisor(int a, int b)
{
    while (b != 0) {
        int rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

#endif
