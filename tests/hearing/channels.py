#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Both ears alike: ISO 532-1 knows a sound that is the same at both ears (diotic), so which of two channels holds it must
not matter. Two sounds in a stereo file and the same file with its channels exchanged: every hearing figure of a channel
is that of the other file's other channel, and differs from that of the sound beside it.

usage: channels.py THRUM
Speaks the Test Anything Protocol."""

import json
import math
import os
import struct
import subprocess
import sys
import tempfile
import wave

RATE_HZ = 48000
FIGURES = ("loudness_stationary_sone", "loudness_mean_sone", "loudness_max_sone", "loudness_n5_sone", "loudness_level_phon",
           "sharpness_acum", "roughness_asper", "fluctuation_vacil", "annoyance")


def sound(carrier_hz, modulation_hz):
    step, swing = 2 * math.pi * carrier_hz / RATE_HZ, 2 * math.pi * modulation_hz / RATE_HZ
    return [round(8000 * (1 + 0.8 * math.sin(swing * i)) * math.sin(step * i)) for i in range(3 * RATE_HZ)]


def write(path, left, right):
    with wave.open(path, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(b"".join(struct.pack("<hh", l, r) for l, r in zip(left, right)))


def hearing(thrum, path, channel):
    done = subprocess.run([thrum, "measure", "--json", "--full-scale-db", "90", "--start-s", "0", "--end-s", "3",
                           "--channel", str(channel), path], capture_output=True, text=True, check=True)
    return {name: json.loads(done.stdout)["runs"][0]["hearing"][name] for name in FIGURES}


def main():
    thrum = os.path.realpath(sys.argv[1])
    one, other = sound(900, 6), sound(3100, 45)
    count = failed = 0
    with tempfile.TemporaryDirectory() as folder:
        path, exchanged = os.path.join(folder, "ab.wav"), os.path.join(folder, "ba.wav")
        write(path, one, other)
        write(exchanged, other, one)
        for channel in (1, 2):
            here, there = hearing(thrum, path, channel), hearing(thrum, exchanged, 3 - channel)
            beside = hearing(thrum, path, 3 - channel)
            for name in FIGURES:
                passed = here[name] is not None and here[name] == there[name] and here[name] != beside[name]
                count += 1
                failed += not passed
                print(f"{'ok' if passed else 'not ok'} {count} - channel {channel}, exchanged {3 - channel}: {name}: "
                      f"got {here[name]}, goal {there[name]}, beside it {beside[name]}")
    print(f"1..{count}")
    return 1 if failed else 0


sys.exit(main())
