#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The phrases by which report/warnings.c, gauge.c and difference_remarks.c know a remark stand in the sentences that other rooms make. Prints TAP.

check_phrases.py SRC-FOLDER
"""
import pathlib
import re
import sys

STRING = r'"((?:[^"\\]|\\.)*)"'


def texts_of(path):
    """All string literals of a C file, neighbours joined as the compiler joins them."""
    source = path.read_text(encoding="utf-8")
    return ["".join(re.findall(STRING, match.group(0))) for match in re.finditer(rf"(?:{STRING}\s*)+", source)]


def main():
    src = pathlib.Path(sys.argv[1])
    table = re.search(r"signs\[\] = \{\n(.*?)\n\};", (src / "report/warnings.c").read_text(encoding="utf-8"), re.S).group(1)
    rows = re.findall(rf"\{{ [A-Z_]+, (true|false), {STRING},\s*(?:NULL|{STRING})", table)
    made = {room: [text for path in sorted((src / room).glob("*.c")) for text in texts_of(path)] for room in ("rotor", "compare")}
    source = (src / "report/difference_remarks.c").read_text(encoding="utf-8")
    rows += [("true", phrase, "") for phrase in re.findall(rf"strstr\(remark, {STRING}", source)]
    gauges = re.search(r"units\[\] = \{\n(.*?)\n\};", (src / "report/gauge.c").read_text(encoding="utf-8"), re.S).group(1)
    figures = [words + rest for words, rest in re.findall(rf"\{{ {STRING}, {STRING},", gauges)]
    rows += [("false", figure.replace("%", "%%"), "") for figure in figures]
    count = failed = 0
    for is_of_comparison, phrase, name_end in rows:
        room = "compare" if is_of_comparison == "true" else "rotor"
        found = any(phrase in text and name_end in text for text in made[room])
        count += 1
        failed += not found
        print(f"{'ok' if found else 'not ok'} {count} - {room}: \"{phrase}\"")
    expected = table.count("{ ") + gauges.count("{ ") + 3
    print(f"{'ok' if count == expected else 'not ok'} {count + 1} - all {count} phrases were read")
    failed += count != expected
    print(f"1..{count + 1}")
    return failed > 0


sys.exit(main())
