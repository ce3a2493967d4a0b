#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Levels of noise and of real recordings by a second, unlike way: one long transform of the whole recording, the analytic
A-weighting of IEC 61672-1:2013 annex E and analogue third-octave filters applied to its lines, and back.

usage: independent_reader.py PRINT_FIGURES    (the program that prints the meters' figures)
Speaks the Test Anything Protocol; exit status 77 where numpy or scipy is missing."""

import os
import subprocess
import sys
import tempfile

try:
    import numpy as np
    import scipy.fft
    import scipy.io.wavfile
    import scipy.signal
except ImportError:
    sys.exit(77)

REFERENCE_PA = 20e-6
# Where much of a band's level comes from a strong tone outside it, the level is that of the filter's skirt, which the
# standard's mask leaves free by several dB: one dB there is allowed in proportion to that share.
SKIRTS_DB = 1.0
SKIRTS_FROM = 0.15  # noise of an even spectrum has 0.11 to 0.13
count = 0
failed = 0


def ok(passed, text):
    global count, failed
    count += 1
    failed += not passed
    print(f"{'ok' if passed else 'not ok'} {count} - {text}")


def near(got, want, tolerance, text):
    passed = abs(got - want) <= tolerance  # false for NaN
    ok(passed, f"{text}: got {got:.4f}, goal {want:.4f} (+-{tolerance}), margin {tolerance - abs(got - want):.4f}")


def a_ratio(hz):
    f2 = hz**2
    f1, fa, fb, f4 = 20.598997, 107.65265, 737.86223, 12194.217

    def plain(x):
        return x**4 * f4**4 / ((x + f1**2) ** 2 * (x + fa**2) * (x + fb**2) * (x + f4**2) ** 2)

    return plain(f2) / plain(1e6)


def band_response(hz, mid, order=4):
    """Analogue Butterworth band-pass, with its phase: where a sound swells or fades, its delay is part of the level. Its
    effective bandwidth is that of the ideal filter (the noise bandwidth is pi / (2 n sin(pi / 2n)) of the width between
    the -3 dB points)."""
    narrower = 2 * order * np.sin(np.pi / (2 * order)) / np.pi
    half = 0.5 * narrower * (10**0.05 - 10**-0.05)
    edges = mid * (np.sqrt(1 + half**2) - half), mid * (np.sqrt(1 + half**2) + half)
    return scipy.signal.freqs_zpk(*scipy.signal.butter(order, edges, "bandpass", analog=True, output="zpk"), hz)[1]


def mean_square(spectrum, response, length, first, frames):
    """Of the part, after filtering of all there is around it."""
    filtered = scipy.fft.irfft(spectrum * response, length)
    return np.mean(filtered[first:first + frames] ** 2)


def db(mean_square):
    return 10 * np.log10(mean_square / REFERENCE_PA**2)


def measured(program, path, channel, first, frames, preroll):
    out = subprocess.run([program, path, str(channel), str(first), str(frames), str(preroll)], check=True,
                         capture_output=True, text=True).stdout
    return dict((line.split()[0], float(line.split()[1])) for line in out.splitlines())


def compare(program, path, label, channel, first, frames, preroll, lowest_band):
    rate, samples = scipy.io.wavfile.read(path)
    scale = {"int16": 2.0**-15, "int32": 2.0**-31, "float32": 1.0, "float64": 1.0}[samples.dtype.name]
    samples = samples if samples.ndim == 1 else samples[:, channel]
    whole = samples[:first + frames + rate // 2].astype(float) * scale
    whole -= np.mean(whole)
    length = scipy.fft.next_fast_len(len(whole) + rate)
    spectrum = scipy.fft.rfft(whole, length)
    hz = scipy.fft.rfftfreq(length, 1 / rate)
    figures = measured(program, path, channel, first, frames, preroll)
    near(figures["LAeq"], db(mean_square(spectrum, np.sqrt(a_ratio(hz)), length, first, frames)), 0.03, f"{label}: LAeq")
    for index in range(lowest_band, 14):
        if str(index) not in figures:
            continue
        mid = 1000 * 10 ** (index / 10)
        response = band_response(hz, mid)
        want = mean_square(spectrum, response, length, first, frames)
        inside = (hz >= mid * 10**-0.05) & (hz < mid * 10**0.05)
        outside = 1 - mean_square(spectrum, response * inside, length, first, frames) / want
        tolerance = 0.15 + (SKIRTS_DB * outside if outside > SKIRTS_FROM else 0)
        near(figures[str(index)], db(want), tolerance, f"{label}: band {mid:.1f} Hz, {100 * outside:.0f} % from outside")


def noise(program, folder):
    """White and pink noise of 14 s."""
    random = np.random.default_rng(20261003)
    white = random.standard_normal(14 * 48000)
    spectrum = scipy.fft.rfft(white)
    hz = scipy.fft.rfftfreq(len(white), 1 / 48000)
    pink = scipy.fft.irfft(spectrum / np.sqrt(np.maximum(hz, 5)), len(white))
    for name, samples in (("white", white), ("pink", pink)):
        path = os.path.join(folder, name + ".wav")
        scipy.io.wavfile.write(path, 48000, (0.1 * samples / np.std(samples)).astype(np.float32))
        compare(program, path, name + " noise", 0, 2 * 48000, 11 * 48000, 2 * 48000, -10)


def recordings(program, folder):
    for name, channel, start_s, seconds, lowest in (
            ("bldc-prop-throttle/motor_m1_prop_40pct_000.wav", 0, 0.5, 1.4, 0),
            ("drone-heli-field/DRONE_001.wav", 0, 1, 5, -8),
            ("drone-heli-field/HELICOPTER_005.wav", 0, 1, 5, -8)):
        path = os.path.join(folder, name)
        if not os.path.exists(path):
            ok(True, f"# SKIP {name} is not there")
            continue
        rate, samples = scipy.io.wavfile.read(path)
        first, frames = int(start_s * rate), min(int(seconds * rate), len(samples) - int(start_s * rate))
        compare(program, path, os.path.basename(name), channel, first, frames, first, lowest)


def main():
    program = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        noise(program, folder)
    recordings(program, os.environ.get("THRUM_RECORDINGS", ""))
    print(f"1..{count}")
    return 1 if failed else 0


sys.exit(main())
