/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BAND_FILTER_H
#define THRUM_METERS_BAND_FILTER_H

/* Design of one band filter: a Butterworth band-pass by the bilinear transform of prewarped edges, as a cascade of
 * sections (1 - z^-2) / (1 + a1 z^-1 + a2 z^-2). The prototype has order 3, or 4 for bands
 * near half the rate whose skirts the bilinear transform bends: class 1 of IEC 61260-1:2014 is held at every rate,
 * margins in docs/conformance.md. The width is set so that the effective bandwidth (5.12) is that of an ideal filter:
 * broadband levels are unbiased; a tone at a band's edge reads 3.7 dB low. */

#define BAND_SECTIONS_MAX 4

struct band_filter {
    int section_count;
    double a1[BAND_SECTIONS_MAX], a2[BAND_SECTIONS_MAX];
    double power_scale; /* mean square of the cascade's output times this: gain 1 at mid-band */
};

/* The least order that holds class 1 for a band with this upper edge. */
int band_filter_order(double high_hz, double sample_rate_hz);

struct band_filter band_filter_design(double low_hz, double high_hz, double sample_rate_hz, int order);

/* Power ratio of the filter at a frequency below half the rate. */
double band_filter_ratio(const struct band_filter *filter, double hz, double sample_rate_hz);

#endif
