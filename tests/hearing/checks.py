#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The checks of docs/hearing.md, made of what the tests of this folder print.

usage: checks.py --markdown FOLDER         the tables to standard output, from the programs in FOLDER
       checks.py --page PAGE FOLDER THRUM  tests that PAGE holds them, between its two marks
       checks.py --write PAGE FOLDER THRUM puts them there
Speaks the Test Anything Protocol."""

import os
import re
import subprocess
import sys

BEGIN, END = "<!-- checks: made by tests/hearing/checks.py --write -->", "<!-- checks: end -->"
NUMBERS = re.compile(r"^(?P<label>.*): got (?P<got>\S+), goal (?P<goal>\S+) \(-(?P<below>\S+)/\+(?P<above>\S+)\), margin \S+$")

ANNEX_B = "ISO 532-1:2017 annex B, from memory"
BOOK = "Fastl and Zwicker, Psychoacoustics, from memory"
ASPER = BOOK + "; 17 % is the step just noticed (public university page)"
SERIES = "series tabled with the model of Osses et al. 2016 and growth by Fastl and Zwicker, from memory"
ECMA = "ECMA-418-1, from memory"
PAS = "ISO/PAS 20065:2016, from memory"
CLOSED = "closed form"

# What is checked, allowed, source, test, lines of it (a regular expression on the whole label).
CHECKS = [
    ("Loudness", [
        ("28 third-octave levels, machinery noise: 83.296 sone", "last digit printed (standard: 5 %)", ANNEX_B,
         "loudness_stationary", r"ISO 532-1 annex B.2 signal 1.*"),
        ("1 kHz, 40 dB: 1 sone, five sample rates", "1 %", "definition of the sone", "loudness_stationary", r"1000 Hz 40 dB.*"),
        ("1 kHz, 60 dB: 4.019 sone", "1 %", ANNEX_B, "loudness_stationary", r"1000 Hz 60 dB.*"),
        ("250 Hz, 80 dB: 14.655 sone", "1 %", ANNEX_B, "loudness_stationary", r"250 Hz 80 dB.*"),
        ("4 kHz, 40 dB: 1.549 sone", "1 %", ANNEX_B, "loudness_stationary", r"4000 Hz 40 dB.*"),
        ("1 kHz, 40 to 90 dB: sones double by 10 dB", "5 %", "definition of the sone; the standard's bound", "loudness_time",
         r"1 kHz at .* dB, sone"),
        ("the same: loudness level is the level", "1 phon", "definition of the phon", "loudness_time", r"its loudness level, phon"),
        ("noise, 50 to 90 dB: 10 dB more are 1.8 to 2.2 times the sones", "as said", "rule of thumb, public handbooks",
         "loudness_time", r".* noise, .* against 10 dB less: sones"),
        ("steady tones: loudness against time is the stationary one", "1 %", "ISO 532-1:2017 clause 6, from memory",
         "loudness_time", r"steady .*|N5 as well|and the largest"),
        ("a burst of 10 ms is half as loud as a long one (2 kHz, 57 dB)", "5 % of either", BOOK, "loudness_time",
         r".*published: half as loud.*"),
        ("bursts of 10 to 200 ms by the weighting of 3.5 and 70 ms", "5 %", CLOSED, "loudness_time",
         r".*\(weighting by duration\)"),
        ("1 kHz, 70 dB pulses of 10 to 500 ms", "5 %", "independent program of the same block diagram", "loudness_time",
         r"1 kHz, 70 dB for .*"),
        ("both ears alike: exchanged channels give the same figures", "same digits", "ISO 532-1: diotic sounds", "channels",
         r"channel .*"),
        ("silence: 0 sone", "exact", "definition of the sone", "invariance", r"(stationary|mean|N5|largest|against time), sone"),
        ("a louder band never takes loudness away (5600 random cases)", "nothing", "the method", "loudness_stationary",
         r"the most that any louder band.*"),
        ("filters 25 to 250 Hz, middle of the bands, dB", "0.04 dB", "ISO 532-1:2017 annex A.2, from memory", "filters",
         r".*worst in the middle of a band, dB"),
        ("the same, flanks down to −50 dB", "1 dB", "ISO 532-1:2017 annex A.2, from memory", "filters", r"worst on the flanks.*"),
        ("decay after masking against its differential equations", "1 %", CLOSED, "loudness_time", r"decay network.*"),
        ("loudness level of tones among the editions of ISO 226, 100 Hz to 8 kHz, 40 to 80 phon",
         "3 phon beyond the editions, 4.5 and 6.5 at 6.3 and 8 kHz", "ISO 226:1987, 2003, 2023, from memory", "contours",
         r"\d+ Hz, .* phon by the edition of .*"),
    ]),
    ("Sharpness", [
        ("reference sound: 1 acum", "0.005 acum", "DIN 45692:2009-08", "sharpness", r"reference sound.*"),
        ("21 narrow-band sounds at 4 sone", "5 % or 0.05 acum", "DIN 45692:2009-08 table, from memory", "sharpness",
         r"narrow band .*"),
        ("20 broad-band sounds at 4 sone", "5 % or 0.05 acum", "DIN 45692:2009-08 table, from memory", "sharpness",
         r".* to 10 kHz, 4 sone, acum"),
        ("broad-band and high-pass noise of figure 1", "5 %", "DIN 45692:2009-08 figure 1 (public text)", "sharpness",
         r"DIN 45692 figure 1.*"),
    ]),
    ("Roughness and fluctuation strength", [
        ("1 kHz, 60 dB, 70 Hz, fully modulated: 1 asper, five sample rates", "1 %", "definition of the asper", "roughness",
         r".*70 Hz, fully modulated.*"),
        ("roughness over modulation rate at 1 kHz", "17 %", ASPER, "roughness", r"1 kHz modulated at .*"),
        ("largest roughness over carriers, 125 Hz to 8 kHz", "17 % beyond the range read", ASPER, "roughness",
         r".*largest roughness .*"),
        ("place of that largest roughness", "17 % of its height", ASPER, "roughness", r".*published place of the maximum.*"),
        ("a quarter of the depth: 0.1 asper; 40 dB more: three times", "17 %", ASPER, "roughness",
         r"modulated by a quarter.*|40 dB more.*"),
        ("steady tone and steady noise are not rough", "0.1 asper", "limit of audibility, from memory", "roughness",
         r".*steady tone.*|.*steady white noise.*"),
        ("1 kHz, 60 dB, 4 Hz, fully modulated: 1 vacil, four sample rates", "1 %", "definition of the vacil", "fluctuation",
         r".*4 Hz, fully modulated.*"),
        ("tones modulated in amplitude, 4 Hz, 60 to 80 dB", "17 %", SERIES, "fluctuation", r"tone modulated in amplitude, .*"),
        ("tones modulated in frequency, 4 Hz, 60 to 80 dB", "17 %", SERIES, "fluctuation", r"tone modulated in frequency, .*"),
        ("modulated broad-band noise, 4 Hz, 60 to 80 dB", "17 %", SERIES, "fluctuation", r"modulated broad-band noise, .*"),
        ("modulated noise over rate, 1 to 8 Hz, and at half the depth", "17 %", BOOK, "fluctuation", r"noise modulated .*"),
        ("a quarter of the depth in noise: a sixteenth; a tone 2.6 dB deep: nothing", "0.1 vacil", BOOK, "fluctuation",
         r"a quarter of the depth.*|a tone 2.6 dB deep.*"),
        ("steady tone and noise, rough tones: hardly any", "0.01 to 0.05 vacil", "definition", "fluctuation",
         r"a steady tone.*|steady white noise.*|a rough tone.*|modulated at 121 Hz.*"),
    ]),
    ("Tones", [
        ("tone-to-noise ratio of tones in white noise", "0.2 dB", CLOSED, "ecma", r"TNR of .*"),
        ("prominence ratio of the same", "0.2 dB", CLOSED, "ecma", r"its PR"),
        ("tones that share a critical band", "0.05 dB", CLOSED, "ecma",
         r"above 1 kHz the stronger.*|the weaker is rated.*|below 1 kHz distant.*|close ones.*"),
        ("a tone with one 20 to 40 dB weaker 2, 10, 40 Hz and 0.8 critical bands away: both ratios", "0.2 dB", CLOSED, "neighbours",
         r"strong tone: (TNR|PR)"),
        ("the same: its audibility against that alone", "0.5 dB, and what the standard leaves in the noise below", CLOSED, "neighbours",
         r"strong tone: audibility"),
        ("the weaker one: not prominent, no prominence ratio, no tone-to-noise ratio where heard as one", "exact", ECMA, "neighbours",
         r"weak tone .*: (not prominent|no prominence ratio of its neighbour's|heard as one with the strong one)"),
        ("the weaker one: its own tone-to-noise ratio", "0.2 dB", CLOSED, "neighbours", r"weak tone .*: TNR"),
        ("two of nearly one height, and two that are prominent only together: tone-to-noise ratio", "0.2 dB", CLOSED, "neighbours",
         r"the (stronger|weaker) of two: TNR|two tones together: TNR"),
        ("a tone that wanders by up to 2.2 %, hum beside it, in white noise: tone-to-noise ratio of either", "0.4 dB", CLOSED, "neighbours",
         r"a wandering tone beside hum|hum beside a wandering tone"),
        ("critical bands: width and edges", "last digit printed", ECMA, "ecma",
         r"critical bandwidth.*|at 500 Hz|lower edge of the band.*|upper edge"),
        ("outer bands of the prominence ratio against contiguous critical bands", "1.05 % of the tone", CLOSED, "ecma",
         r".* band's edge for .*"),
        ("limits of prominence, both ratios", "last digit printed", ECMA, "ecma", r"limit of (TNR|PR) .*"),
        ("masking index", "last digit printed", PAS, "audibility", r"masking index .*"),
        ("K_T just below and above each step", "exact", "ISO 1996-2:2017 annex J, from memory", "audibility", r"K_T .*"),
        ("audibility 0.3 dB to each side of 0, 2, 4, 6, 9, 12 dB", "0.1 dB", CLOSED, "audibility", r"audibility, dB"),
        ("its K_T", "exact", "ISO 1996-2:2017 annex J, from memory", "audibility", r"its K_T .*"),
        ("audibility of tones in white noise", "0.35 dB", CLOSED, "audibility", r"audibility of .*"),
        ("a tone in every other 3 s: one spectrum against the mean over spectra of 3 s", "0.35 dB", PAS, "audibility",
         r"one spectrum of the whole.*"),
        ("tonality of 1 kHz, 60 dB: 1 t.u.", "5 %", "Aures 1985, from memory", "tonality", r"1 kHz, 60 dB, t.u."),
    ]),
    ("All figures", [
        ("44.1, 64, 88.2, 96 kHz against 48 kHz", "1 %", "same sound", "invariance", r".* against 48 kHz: .*"),
        ("blocks of any size", "same bits", "same sound", "invariance", r"blocks of .*"),
        ("annoyance by its formula", "last digit printed", BOOK, "tonality", r"annoyance of .*"),
    ]),
]


class Line:
    """A line of the protocol: its label, whether it passed, and its figures where it has some."""

    def __init__(self, text):
        self.passed = text.startswith("ok")
        self.label = text.split(" - ", 1)[1]
        self.got = self.goal = self.share = None
        match = NUMBERS.match(self.label)
        if match:
            self.label = match["label"]
            self.got, self.goal = float(match["got"]), float(match["goal"])
            allowed = float(match["above" if self.got >= self.goal else "below"])
            self.allowed = allowed
            self.share = 1 if allowed == 0 else 1 - abs(self.got - self.goal) / allowed


def run(folder, thrum, test):
    command = [os.path.join(folder, "test-hearing-" + test)]
    if test == "channels":
        command = [os.path.join(os.path.dirname(os.path.realpath(__file__)), "channels.py"), thrum]
    return subprocess.run(command, capture_output=True, text=True, check=False).stdout.splitlines()


def shown(value, allowed):
    """As many digits as a hundredth of what is allowed wants."""
    if allowed == 0 or abs(value) < allowed / 100:
        return f"{value:.4g}" if allowed == 0 else "0"
    digits = 0
    while 10.0 ** -digits > allowed / 50 and digits < 6:
        digits += 1
    return f"{value:.{digits}f}"


def row(check, lines):
    what, allowed, source, test, pattern = check
    found = [line for line in lines if re.fullmatch(pattern, line.label)]
    if not found or not all(line.passed for line in found):
        return None
    rated = [line for line in found if line.share is not None]
    nearest, left = "–", "–"
    if rated:
        worst = min(rated, key=lambda line: line.share)
        nearest = f"{shown(worst.got, worst.allowed)} for {shown(worst.goal, worst.allowed)}"
        left = f"{100 * worst.share:.0f} %" if worst.allowed else "–"
    return f"| {what} | {allowed} | {len(found)} | {nearest} | {left} | {source} | `{test}` |\n"


def markdown(folder, thrum):
    """The tables, and the checks that no line of the tests answers."""
    tests = sorted({check[3] for _, checks in CHECKS for check in checks})
    output = {test: run(folder, thrum, test) for test in tests}
    lines = {test: [Line(text) for text in output[test] if re.match(r"(not )?ok \d+ - ", text)] for test in tests}
    missing, text = [], ""
    for title, checks in CHECKS:
        text += f"\n**{title}**\n\n| check | allowed | figures | nearest to its limit | left of it | source | test |\n"
        text += "| --- | --- | ---: | --- | ---: | --- | --- |\n"
        for check in checks:
            made = row(check, lines[check[3]])
            text += made or ""
            if not made:
                missing.append(check[0])
    text += "\n**Published curves, told and not asked for beyond the rows above**\n\n| curve | published (from memory) | got |\n| --- | --- | --- |\n"
    for test in tests:
        for line in output[test]:
            if line.startswith("# series |"):
                text += line[len("# series "):] + "\n"
    return text + "\n", missing


def main():
    option, folder = sys.argv[1], sys.argv[-2]
    made, missing = markdown(folder, sys.argv[-1])
    if option == "--markdown":
        print(made)
        return len(missing)
    with open(sys.argv[2], encoding="utf-8") as file:
        page = file.read()
    before, rest = page.split(BEGIN + "\n")
    held, after = rest.split(END)
    if option == "--write":
        with open(sys.argv[2], "w", encoding="utf-8") as file:
            file.write(before + BEGIN + "\n" + made + END + after)
        return len(missing)
    print(f"{'not ok' if missing else 'ok'} 1 - every check is answered by a test that passes {missing or ''}")
    differing = [f"# page: {old}\n# made: {new}" for old, new in zip(held.splitlines(), made.splitlines()) if old != new]
    print(f"{'ok' if held == made else 'not ok'} 2 - {os.path.basename(sys.argv[2])} holds what --write makes")
    print("\n".join(differing[:5]))
    print("1..2")
    return 1 if missing or held != made else 0


sys.exit(main())
