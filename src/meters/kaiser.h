/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_KAISER_H
#define THRUM_METERS_KAISER_H

/* Kaiser's window, I0(beta sqrt(1 - x^2)), not normalised; x from -1 to 1. I0 by its series (Abramowitz and Stegun
 * 9.6.12), exact to double precision for beta below 30. */

double kaiser_window(double x, double beta);

#endif
