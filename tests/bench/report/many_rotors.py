#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""How the report of a campaign with many rotors turns out: pages, size of the files, seconds of one thread. The demo is
measured, and each of its rotors copied with all its levels off by some dB, so that no two are alike.

many_rotors.py THRUM RECORDINGS-DEMO OUT COUNT...       many_rotors.py build/src/cli/thrum recordings-demo /tmp/many 8 20 100
"""
import csv
import json
import pathlib
import re
import resource
import subprocess
import sys

LEVEL_KEYS = re.compile(r"(level|LAeq|LCeq|LZeq|LAFmax|LAFmin|LASmax|LCpeak|LAE|LA10|LA50|LA90|max_F|max_S|_F|_S)\w*_db$")


def louder(value, off_db, key=""):
    if isinstance(value, dict):
        return {name: louder(item, off_db, name) for name, item in value.items()}
    if isinstance(value, list):
        return [louder(item, off_db, key) for item in value]
    if isinstance(value, float) and LEVEL_KEYS.search(key):
        return round(value + off_db, 2)
    return value


def rotor_blocks(text):
    """The campaign file up to its variants, and the lines of each of them."""
    head, tail = text.split("\nvariants:\n")
    blocks = {}
    for line in tail.splitlines():
        named = re.match(r"  (\w+):$", line)
        if named:
            name = named.group(1)
            blocks[name] = []
        elif line.strip():
            blocks[name].append(line)
    return head, blocks


def measure(thrum, campaign, out):
    """The results of the runs by their file names."""
    for row in csv.DictReader((campaign / "runs.csv").open()):
        subprocess.run([thrum, "measure", "--quiet", "--campaign", campaign, campaign / row["file"], "-o", out], check=True)
    return {result["runs"][0]["file"]: result for result in (json.loads(path.read_text()) for path in out.glob("*.json"))}


def write_campaign(campaign, by_file, count, out):
    """OUT/campaign and OUT/results."""
    (out / "campaign").mkdir(parents=True)
    (out / "results").mkdir()
    head, blocks = rotor_blocks((campaign / "campaign.yaml").read_text())
    names = list(blocks)
    rows = list(csv.DictReader((campaign / "runs.csv").open()))
    yaml = [re.sub(r"\nreference: \w+", f"\nreference: {names[0]}-000", head), "", "variants:"]
    log = []
    for i in range(count):
        name = names[i % len(names)]
        new = f"{name}-{i:03d}"
        off_db = ((i * 7919) % 101 - 50) / 20 if i >= len(names) else 0.0
        yaml += [f"  {new}:"] + [line.replace("title: ", f"title: No. {i}, ") for line in blocks[name]]
        for row in (row for row in rows if row["variant"] == name):
            file = row["file"].replace(name, new)
            log.append({**row, "file": file, "variant": new})
            result = louder(by_file[row["file"]], off_db)
            result["runs"][0].update(file=file, variant=new, row=len(log) + 1)
            (out / "results" / f"{file}.row{len(log) + 1}.json").write_text(json.dumps(result))
    (out / "campaign" / "campaign.yaml").write_text("\n".join(yaml) + "\n")
    with (out / "campaign" / "runs.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(log)


def processor_s():
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime


def main():
    thrum, campaign, out = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
    by_file = measure(thrum, campaign, out / "measured")
    for count in map(int, sys.argv[4:]):
        folder = out / str(count)
        write_campaign(campaign, by_file, count, folder)
        before_s = processor_s()
        subprocess.run([thrum, "report", folder / "campaign", "--from", folder / "results", "--quiet", "-o", folder / "report"],
                       check=True)
        used_s = processor_s() - before_s
        info = subprocess.run(["pdfinfo", folder / "report/report.pdf"], check=True, capture_output=True, text=True).stdout
        sizes = {name: (folder / "report" / name).stat().st_size / 1e6 for name in ("report.pdf", "report.html", "results.json")}
        print(f"{count} rotors: {re.search(r'Pages: +([0-9]+)', info).group(1)} pages, "
              + ", ".join(f"{name} {size:.1f} MB" for name, size in sizes.items()) + f", {used_s:.1f} s")


if __name__ == "__main__":
    main()
