#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""same_figures.py FILE: levels, third-octave bands and a narrow-band spectrum of a mono recording, as a script on a general
numerical library computes them: the other side of one row of the speed bench. 24-bit WAV through scipy."""
import sys

import numpy as np
from scipy import signal
from scipy.io import wavfile


def a_weighting_zpk(rate_hz):
    f1, f2, f3, f4 = 20.598997, 107.65265, 737.86223, 12194.217
    poles = -2 * np.pi * np.array([f1, f1, f2, f3, f4, f4])
    gain = (2 * np.pi * f4) ** 2 * 10 ** (2.0 / 20)
    return signal.bilinear_zpk([0, 0, 0, 0], poles, gain, rate_hz)


def main():
    rate_hz, samples = wavfile.read(sys.argv[1])
    pressure = samples.astype(float) / 2 ** 31
    weighted = signal.sosfilt(signal.zpk2sos(*a_weighting_zpk(rate_hz)), pressure)
    print("LAeq", 10 * np.log10(np.mean(weighted**2)))
    fast = signal.lfilter([1 / (0.125 * rate_hz)], [1, -1 + 1 / (0.125 * rate_hz)], weighted**2)
    print("LAFmax", 10 * np.log10(fast.max()), "LA90", 10 * np.log10(np.percentile(fast[:: rate_hz // 100], 10)))
    for index in range(-17, 14):
        middle_hz = 1000 * 10 ** (index / 10)
        edges_hz = middle_hz * 10 ** (-1 / 20), middle_hz * 10 ** (1 / 20)
        if edges_hz[1] < 0.44 * rate_hz:
            band = signal.sosfilt(signal.butter(3, edges_hz, "bandpass", fs=rate_hz, output="sos"), pressure)
            print(round(middle_hz, 1), 10 * np.log10(np.mean(band**2)))
    frequencies_hz, density = signal.welch(pressure, rate_hz, "hann", 65536)
    peaks, _ = signal.find_peaks(10 * np.log10(density), prominence=10)
    print(len(peaks), "peaks", frequencies_hz[peaks][:5])


main()
