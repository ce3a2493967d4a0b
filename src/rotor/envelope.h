/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_ENVELOPE_H
#define THRUM_ROTOR_ENVELOPE_H

/* What knocks: the spectrum of the squared envelope of the band that is most impulsive. Of bands an eighth and a
 * sixteenth of the sampling rate wide, above ENVELOPE_LOWEST_HZ, the one is taken whose analytic signal has the
 * greatest kurtosis E|x|^4 / (E|x|^2)^2 - 2 (0 for noise, -1 for a tone). Its one-sided lines, transformed back by
 * themselves, are the analytic signal (ideal filter, free decimation); the squared magnitude's spectrum is averaged
 * (Randall on envelope analysis; abstract seen, year from memory). A part is heard where its first line and at least
 * one multiple stand out with one slip, and neither is a whole order of the rotor's shaft: broadband noise swells with
 * every passing blade, so those orders are in any rotor's envelope.
 * Checked on bearing recordings with known faults (tests/rotor/recordings.c). */

#include "recording/pressure.h"
#include "rotor/drive.h"

#include <stdbool.h>
#include <stddef.h>

#define ENVELOPE_LOWEST_HZ 1000.0
#define ENVELOPE_HEARD_MAX 8

struct envelope_heard {
    char source[SOURCE_TEXT_MAX]; /* of the part's first line */
    enum line_family family;
    int part;
    double hz, expected_hz; /* of the first line */
    double height_db;       /* above the envelope's noise, in a line */
    int multiples;          /* found of the first four */
};

struct envelope_report {
    double low_hz, high_hz, kurtosis; /* of the band; ABSENT where the recording is too short */
    struct envelope_heard heard[ENVELOPE_HEARD_MAX];
    size_t heard_count; /* most prominent first */
};

struct envelope_question {
    const struct lines *lines; /* at shaft_hz; parts of bearings and the belt's turn are listened for */
    double shaft_hz;
    double shaft_tolerance_pct; /* how well it is known */
};

bool envelope_listen(struct pressure *pressure, const struct envelope_question *question, struct envelope_report *out,
                     struct err *err) MUST_CHECK;

#endif
