#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# names.sh THRUM MAKE-WAV DEMO: a campaign whose variants, microphones, bearings, calibrator and recordings have names as long as
# they may be, in scripts of two and three bytes a letter. Everything is measured, compared and written, with whole names.
set -u
demo=$(realpath "$3")
# shellcheck source=tests/cli/start.sh
. "$(dirname "${BASH_SOURCE[0]}")/start.sh" "$@"

# letters CHARACTER COUNT
letters() {
    printf "$1%.0s" $(seq "$2")
}
stock="$(letters щ 31)"      # 62 bytes, cut between letters at every even byte
swept="a$(letters щ 31)"     # 63 bytes, at every odd one
slow="$(letters 葉 21)"      # 63 bytes, three a letter
near="м$(letters щ 30)"
far="b$(letters щ 31)"
front="a$(letters щ 30)x1"   # alike in all but the last
rear="a$(letters щ 30)x2"
calibrator="a$(letters щ 42).wav"

mkdir c
cp "$demo/calibrator.wav" "c/$calibrator"
cp "$demo/background.wav" "c/$(letters щ 60).wav"
cat >c/campaign.yaml <<YAML
title: $(letters тростник 12)
runs: runs.csv
compare_at: {thrust_n: [3]}
microphones:
  $near:
    distance_m: 3
    meter_class: 2
    background: $(letters щ 60).wav
    calibration: {file: $calibrator, level_db: 94, frequency_hz: 1000}
  $far:
    distance_m: 3
    meter_class: 2
    calibration: {file: $calibrator, level_db: 94, frequency_hz: 1000}
variants:
  $stock: {blades: 2, diameter_mm: 254}
  $swept: {blades: 3, diameter_mm: 254}
  $slow:
    blades: 5
    diameter_mm: 380
    bearings:
      $front: {balls: 9, ball_mm: 4, pitch_mm: 12, contact_deg: 0}
      $rear: {balls: 9, ball_mm: 4, pitch_mm: 12, contact_deg: 0}
YAML
echo 'file,variant,microphone,rpm,thrust_n' >c/runs.csv
grep -E '^(stock2-(3600|4200|4800|5400)|swept3-(3060|3600|4800)|slow5-(1500|1860|2160|2460))-a' "$demo/runs.csv" |
    while IFS=, read -r file variant rpm _ thrust _; do
        case $variant in stock2) name=$stock ;; swept3) name=$swept ;; *) name=$slow ;; esac
        for microphone in "$near" "$far"; do
            copy="$rpm$(letters щ 80)${microphone:0:1}.wav"
            cp "$demo/$file" "c/$variant$copy"
            echo "$variant$copy,$name,$microphone,$rpm,$thrust" >>c/runs.csv
        done
    done

run report c -o out
[ $status -eq 0 ] && [ ! -s stderr ] && [ -s out/report.pdf ] && [ -s out/report.html ] && [ -s out/tables/comparisons.csv ]
tap_ok $? "the whole report is made: status $status $(cat stderr)"
/usr/bin/env python3 - out "$stock" "$swept" "$slow" "$near" "$far" "$calibrator" >checked <<'PY'
import json, pathlib, sys
out, names, calibrator = pathlib.Path(sys.argv[1]), sys.argv[2:7], sys.argv[7]
results = json.loads((out / "results.json").read_text("utf-8", "strict"))
html = (out / "report.html").read_text("utf-8", "strict")
said = json.dumps(results, ensure_ascii=False)
remarks = results["remarks"] + [r for run in results["runs"] for r in run["rotor"]["remarks"]]
ranking = [r for r in results["remarks"] if r.startswith("Ranking at")]
hidden = [r for r in remarks if r.startswith("Not judged")]
checks = {
    "no character is broken": "\ufffd" not in said + html,
    "all names are whole in the comparisons": {(c["variant"], c["reference"], c["microphone"]) for c in results["comparisons"]} ==
        {(v, names[0], m) for v in names[1:3] for m in names[3:]},
    "each sentence is whole": all(r.endswith(".") for r in remarks),
    "a ranking names every rotor": len(ranking) == 2 and all(all(n in r for n in names[:3]) for r in ranking),
    "both bearings are told": hidden and all("x1 outer" in r and "x2 outer" in r and "x1 inner" in r and "x2 inner" in r
                                             for r in hidden),
    "the calibrator is named, and marked where cut": all(
        r["gain"]["source"].startswith(calibrator[:38]) and "\u2026: 94.00 dB" in r["gain"]["source"] for r in results["runs"]),
    "the method names both microphones": all(n in html for n in names[3:]),
}
for label, right in checks.items():
    print(int(not right), label)
PY
tap_ok $? "the results are read"
while read -r failed label; do
    tap_ok "$failed" "$label"
done <checked
run measure --campaign c "c/stock23600$(letters щ 80)м.wav" --json
[ $status -eq 0 ] && [ ! -s stderr ]
tap_ok $? "one recording of it is measured: $(cat stderr)"
run predict --campaign c --variant "$slow" --rpm 2100 --all --json
for name in "$front" "$rear"; do
    grep -Fq "\"bearing $name outer 1\"" stdout
    tap_ok $? "a bearing of $name is one of its own"
done
tap_done
