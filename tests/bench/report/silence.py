#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Is what a what-if promises what happens? Takes the tones of one part of the machine out of a demo recording (each 16 Hz
around its frequency is filled with noise as strong as that beside it), measures the LAeq that is left, and prints its fall
beside that of the shares, 10 lg(1 - share).

silence.py THRUM RECORDINGS-DEMO RUN PART        silence.py build/src/cli/thrum recordings-demo slow5-2160-a.wav belt
"""
import json
import os
import subprocess
import sys
import tempfile

import numpy
from scipy.io import wavfile

THRUM, DEMO, RUN, PART = sys.argv[1:5]
SEED = 1


def measure(path, *more):
    out = subprocess.run([THRUM, "measure", "--json", "-q", path, *more], check=True, capture_output=True, text=True)
    return json.loads(out.stdout)["runs"][0]


def weight(hz):
    """A-weighting as power ratio, IEC 61672-1:2013, annex E; 0 dB at 1 kHz within 0.001 dB."""
    f2 = hz * hz
    ratio = 12194.0**2 * f2 * f2 / ((f2 + 20.6**2) * (f2 + 12194.0**2) * ((f2 + 107.7**2) * (f2 + 737.9**2)) ** 0.5)
    return (ratio * 10**0.1) ** 2


def main():
    run = measure(os.path.join(DEMO, RUN), "--campaign", DEMO)
    rate, sound = wavfile.read(os.path.join(DEMO, RUN))
    start, end = (round(s * rate) for s in run["used_s"])
    scale = 2.0 ** (8 * sound.dtype.itemsize - 1)
    lines = numpy.fft.rfft(sound[start:end] / scale)
    hz = numpy.fft.rfftfreq(end - start, 1 / rate)
    random = numpy.random.default_rng(SEED)
    tones = [t for t in run["tones"] if t["source"].split()[0] == PART]
    classes = {"blade": "blade_pct", "unexplained": "unexplained_pct"}
    share = run["shares"][classes.get(PART, "named_pct")] / 100
    named = [t for t in run["tones"] if t["source"].split()[0] not in classes]
    def power(some):
        return sum(10 ** (t["level_db"] / 10) * weight(t["hz"]) for t in some)

    share *= power(tones) / power(named) if PART not in classes else 1
    for tone in tones:
        near = abs(hz - tone["hz"]) < 8
        beside = (abs(hz - tone["hz"]) < 40) & ~near
        noise = numpy.sqrt(numpy.mean(abs(lines[beside]) ** 2))
        lines[near] = noise * numpy.exp(2j * numpy.pi * random.random(near.sum()))
    with tempfile.TemporaryDirectory() as work:
        levels = []
        for name, data in (("whole", sound[start:end] / scale), ("without", numpy.fft.irfft(lines, end - start))):
            path = os.path.join(work, name + ".wav")
            wavfile.write(path, rate, data.astype(numpy.float32))
            levels.append(measure(path, "--start-s", "0", "--end-s", str((end - start) / rate))["levels"]["LAeq_db"])
    print(f"{RUN} without its {PART} tones ({len(tones)}): LAeq falls by {levels[0] - levels[1]:.2f} dB, "
          f"the shares say {-10 * numpy.log10(1 - share):.2f} dB")


main()
