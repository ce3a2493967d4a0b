/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BAND_FILTER_H
#define THRUM_METERS_BAND_FILTER_H

/* Design of one band filter: a Butterworth band-pass of order 4 by the bilinear transform of prewarped edges, as
 * (1 - z^-2)^4, which is the same for all bands, and a cascade of four sections 1 / (1 + a1 z^-1 + a2 z^-2). Class 1 of
 * IEC 61260-1:2014 is held at every rate, also near half of it where the bilinear transform bends the skirts (order 3
 * misses the mask at G^-3 there); margins in docs/conformance.md. The width is set so that the effective bandwidth
 * (5.12) is that of an ideal filter: broadband levels are unbiased; a tone at a band's edge reads 3.5 dB low. */

#define BAND_SECTIONS 4

/* What the filter passes, in the warped frequency w = tan(pi f / rate):
 * |H|^2 = 1 / (1 + ((w^2 - mid^2) / (width w))^8). */
struct band_response {
    double mid, width;
    double rate_hz;
};

struct band_response band_response_design(double low_hz, double high_hz, double sample_rate_hz);

/* Power ratio at a frequency; 0 from half the rate on. */
double band_response_ratio(const struct band_response *response, double hz);

struct band_filter {
    double a1[BAND_SECTIONS], a2[BAND_SECTIONS];
    double power_scale; /* mean square of the cascade's output times this: gain 1 at mid-band */
};

struct band_filter band_filter_design(double low_hz, double high_hz, double sample_rate_hz);

/* Power ratio of the cascade at a frequency below half the rate. */
double band_filter_ratio(const struct band_filter *filter, double hz, double sample_rate_hz);

#endif
