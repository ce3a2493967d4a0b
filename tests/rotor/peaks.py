# SPDX-License-Identifier: GPL-3.0-or-later
"""No tone that scipy's welch and find_peaks put 15 dB above the local median may be missing from thrum's.

The local median is that of the lines within the critical band (ECMA-418-1, clause 10; from memory), as scipy's
spectrum has them; nothing of thrum's own floor is used. usage: peaks.py LIST_TONES; exit status 77: no scipy.
"""
import os
import subprocess
import sys

try:
    import numpy as np
    from scipy.io import wavfile
    from scipy.signal import find_peaks, welch
except ImportError:
    print("1..0 # SKIP scipy is not there")
    sys.exit(77)

BLOCK = 32768
STANDS_OUT_DB = 15.0
RECORDINGS = [
    "bldc-prop-throttle/motor_m1_prop_40pct_000.wav",
    "bldc-prop-throttle/motor_m1_no_prop_60pct_000.wav",
    "drone-heli-field/HELICOPTER_018.wav",
    "drone-heli-field/DRONE_001.wav",
    "drone-heli-field/BACKGROUND_001.wav",
    "esc10-helicopter/3-150979-A.wav",
]


def local_median(power, hz):
    """On 24 points an octave, straight lines of level between them."""
    step = hz[1]
    centres = np.unique(np.geomspace(12, len(hz) - 1, int(24 * np.log2(len(hz) / 12))).astype(int))
    medians = []
    for k in centres:
        f = hz[k]
        half = int(min(max(12 + 0.5 * f, 12), 12 + 37.5 * (1 + 1.4e-6 * f * f) ** 0.69) / step)
        medians.append(np.median(power[max(k - half, 1) : k + half + 1]))
    return np.exp(np.interp(np.arange(len(hz)), centres, np.log(np.maximum(medians, 1e-30))))


def main():
    folder = os.environ.get("THRUM_RECORDINGS", ".")
    number = failed = 0
    for name in RECORDINGS:
        number += 1
        path = os.path.join(folder, name)
        if not os.path.exists(path):
            print(f"ok {number} # SKIP {name} is not there")
            continue
        rate, samples = wavfile.read(path)
        samples = samples[:, 0] if samples.ndim > 1 else samples
        block = BLOCK
        while 2.5 * block > len(samples):
            block //= 2
        hz, power = welch(samples / 32768.0, rate, "hann", block, detrend=False, scaling="spectrum")
        height_db = 10 * np.log10(np.maximum(power, 1e-30) / np.maximum(local_median(power, hz), 1e-30))
        peaks, _ = find_peaks(height_db, height=STANDS_OUT_DB, distance=3)
        peaks = [k for k in peaks if hz[k] >= 20 and hz[k] < 0.45 * rate]
        listed = subprocess.run([sys.argv[1], path, str(block)], check=True, capture_output=True, text=True).stdout
        tones = [tuple(map(float, line.split())) for line in listed.splitlines()]
        missed = [
            k for k in peaks if not any(abs(t[0] - hz[k]) <= max(t[1] / 2, 1.5 * hz[1]) for t in tones)
        ]
        for k in missed:
            print(f"# missed {hz[k]:.2f} Hz, {height_db[k]:.1f} dB above the median")
        failed += bool(missed)
        print(
            f"{'not ok' if missed else 'ok'} {number} - {name}: {len(peaks)} peaks of scipy {STANDS_OUT_DB:.0f} dB above "
            f"the local median, {len(missed)} of them not among thrum's {len(tones)} tones"
        )
    print(f"1..{number}")
    return 1 if failed else 0


sys.exit(main())
