/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TOOLS_DEMO_RESPONSE_H
#define THRUM_TOOLS_DEMO_RESPONSE_H

/* Power responses in closed form, for the truth of the demo: nothing here is shared with the meters. Each function
 * takes a frequency and its own context. */

/* A and C weighting, exactly 1 at 1 kHz: IEC 61672-1:2013, Annex E. Context: NULL. */
double demo_a_weighting(double hz, const void *unused);
double demo_c_weighting(double hz, const void *unused);

/* All that is no offset. Context: NULL. */
double demo_no_weighting(double hz, const void *unused);

/* A third-octave band, base ten; the context of the functions below. */
struct demo_filter {
    double mid_hz, low_hz, high_hz;
    double rate_hz, mid, width; /* the Butterworth filter, see demo_butterworth */
};

/* Band `index` from 1 kHz, of sound sampled at DEMO_SAMPLE_RATE_HZ. */
struct demo_filter demo_filter_of(int index);

/* 1 between the edges, 0 outside. */
double demo_ideal_band(double hz, const void *filter);

/* The filter that thrum says it has (meters/band_filter.h): |H|^2 = 1 / (1 + ((w^2 - mid^2) / (width w))^8), a
 * Butterworth band-pass of order 4, with w = tan(pi f / rate) for the bilinear transform; mid and the ratio of the
 * edges by the band's edges, and the width so that the effective bandwidth (IEC 61260-1:2014, 5.12) is that of an ideal
 * filter. The rate is halved as long as the band's upper edge stays within 0.3 of it; what is above half of that rate
 * does not pass. */
double demo_butterworth(double hz, const void *filter);

/* The most and the least that a class 1 filter may let through: IEC 61260:1995, table 1. */
double demo_class1_most(double hz, const void *filter);
double demo_class1_least(double hz, const void *filter);

#endif
