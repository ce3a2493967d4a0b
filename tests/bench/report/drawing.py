#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""How long the drawing of a report takes beside the measuring of its recordings: a campaign of 12 recordings of 10 s
(three rotors, two speeds, two repeats) is measured to files, then reported from them. Processor seconds of one thread.

drawing.py THRUM        the budget (DEVELOPERS.md): drawing takes less than measuring
"""
import array
import math
import os
import random
import resource
import subprocess
import sys
import tempfile
import wave

RATE = 48000
ROTORS = {"stock2": (2, 4200), "swept3": (3, 3800), "slow5": (5, 2600)}


def write_wav(path, blades, rpm, seed):
    noise = random.Random(seed)
    hz = rpm / 60 * blades
    samples = array.array("h", (
        int(900 * noise.gauss(0, 1) + sum(4000 / n * math.sin(2 * math.pi * hz * n * i / RATE) for n in (1, 2, 3)))
        for i in range(10 * RATE)))
    with wave.open(path, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(samples.tobytes())


def make_campaign(folder):
    rows = ["file,variant,rpm,thrust_n,power_w"]
    for name, (blades, rpm) in ROTORS.items():
        for step, factor in enumerate((1.0, 1.2)):
            for repeat in "ab":
                file = f"{name}-{step}{repeat}.wav"
                write_wav(os.path.join(folder, file), blades, rpm * factor, file)
                rows.append(f"{file},{name},{rpm * factor:.0f},{3 * factor ** 2:.3f},{40 * factor ** 3:.2f}")
    with open(os.path.join(folder, "runs.csv"), "w", encoding="utf-8") as out:
        out.write("\n".join(rows) + "\n")
    with open(os.path.join(folder, "campaign.yaml"), "w", encoding="utf-8") as out:
        out.write("title: Twelve recordings of ten seconds\nruns: runs.csv\nmicrophones:\n  main:\n    distance_m: 1\n"
                  "    calibration: {full_scale_db: 121.4}\nvariants:\n")
        out.writelines(f"  {name}: {{blades: {blades}, diameter_mm: 230}}\n" for name, (blades, _) in ROTORS.items())


def seconds(*command):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main():
    thrum = sys.argv[1]
    with tempfile.TemporaryDirectory() as work:
        campaign, results = os.path.join(work, "campaign"), os.path.join(work, "results")
        os.makedirs(campaign)
        make_campaign(campaign)
        files = sorted(os.path.join(campaign, name) for name in os.listdir(campaign) if name.endswith(".wav"))
        measuring = seconds(thrum, "measure", "-q", "-j", "1", "--campaign", campaign, "--json", "-o", results, *files)
        drawing = min(seconds(thrum, "report", "-q", "-j", "1", campaign, "--from", results, "-o", os.path.join(work, "out"))
                      for _ in range(3))
    print(f"measuring {measuring:.2f} s, reading, comparing and drawing {drawing:.2f} s: ratio {drawing / measuring:.2f}, budget 1")
    return 0 if drawing < measuring else 1


sys.exit(main())
