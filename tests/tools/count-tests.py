#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts the checks in a test log that meson wrote (testlog.json): every TAP line is one. A program that did not end
well is at least one failure, even if every line of it said ok (a crash, a timeout, a report of the sanitizers), and one
without TAP lines is one check. Prints: passed failed skipped, then the names of what failed, a line each."""
import json
import re
import sys

passed = failed = skipped = 0
names = []
for row in open(sys.argv[1], encoding="utf-8"):
    test = json.loads(row)
    good = bad = left_out = 0
    for line in test.get("stdout", "").splitlines():
        match = re.match(r"(not )?ok\b(.*)", line)
        if not match:
            continue
        if re.search(r"#\s*SKIP", match[2], re.IGNORECASE):
            left_out += 1
        elif match[1]:
            bad += 1
            names.append(f"{test['name']}: {match[2].strip()}")
        else:
            good += 1
    result = test["result"]
    if result not in ("OK", "SKIP") and bad == 0:
        bad += 1
        names.append(f"{test['name']}: {result.lower()}, exit status {test.get('returncode')}")
    if good + bad + left_out == 0:
        if result == "SKIP":
            left_out += 1
        elif result == "OK":
            good += 1
    passed, failed, skipped = passed + good, failed + bad, skipped + left_out
print(passed, failed, skipped)
print("\n".join(names))
