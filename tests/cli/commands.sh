#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# commands.sh THRUM MAKE-WAV: what each command prints and returns when all is well.
set -u
# shellcheck source=tests/cli/start.sh
. "$(dirname "${BASH_SOURCE[0]}")/start.sh" "$@"
"$make_wav" good.wav good && "$make_wav" calibrator.wav calibrator || exit 1

# json FILE EXPRESSION: the value of a Python expression over the object `r` read from FILE.
json() {
    /usr/bin/env python3 -c 'import json, sys; r = json.load(open(sys.argv[1])); print(eval(sys.argv[2]))' "$1" "$2"
}

# good LABEL COMMAND...: status 0 and nothing on standard error.
good() {
    "${@:2}" >stdout 2>stderr
    local status=$?
    [ $status -eq 0 ] && [ ! -s stderr ]
    tap_ok $? "$1 (status $status) $(cat stderr)"
}

good "--version" "$thrum" --version
grep -q '^thrum [0-9]' stdout
tap_ok $? "tells the version"
good "--help" "$thrum" --help
for command in report measure predict check calibrate new; do
    grep -q "^  $command " stdout
    tap_ok $? "--help names $command"
done
for command in report measure predict check calibrate new; do
    good "$command --help" "$thrum" $command --help
    grep -q "^usage: thrum $command" stdout && grep -q '^Examples' stdout && grep -q 'Exit status' stdout
    tap_ok $? "$command --help has usage, examples and exit status"
done

# 1 kHz of 0.1 full scale peak is 20 dB below a full-scale sine.
good "calibrate" "$thrum" calibrate calibrator.wav --level 94 --json
[ "$(json stdout 'abs(r["full_scale_db"] - 114) < 0.01 and abs(r["frequency_hz"] - 1000) < 0.1')" = True ]
tap_ok $? "a tone 20 dB below full scale at 94 dB: full scale is 114 dB"
good "calibrate in words" "$thrum" calibrate calibrator.wav --level 94
grep -q 'full_scale_db: 114.0' stdout
tap_ok $? "says what to write into campaign.yaml"
# Evenly spread noise of 0.048 peak to peak has an rms of 0.048 / sqrt(12), 14.2 dB below the tone's 0.1 / sqrt(2): 20 are asked for
# (docs/findings.md). A campaign would call its runs doubtful.
"$make_wav" loose.wav loose-calibrator
good "calibrate with a loose coupler" "$thrum" calibrate loose.wav --level 94
grep -q '^doubtful .* only 14.. dB below the calibrator' stdout
tap_ok $? "says so: $(grep doubtful stdout)"
good "as JSON" "$thrum" calibrate loose.wav --level 94 --json
[ "$(json stdout '[f["code"] for f in r["findings"]]')" = "['calibrator-noise']" ]
tap_ok $? "too"
"$thrum" calibrate calibrator.wav --level 94 --channel 2 >stdout 2>stderr
[ $? -eq 1 ] && grep -q 'calibrator.wav: has no channel 2, only 1' stderr && [ ! -s stdout ]
tap_ok $? "a channel that is not there is not another one: $(cat stderr)"

# A tip of 229 mm at 4200 rev/min moves at pi 0.229 m 70 Hz = 50.36 m/s.
good "measure with a diameter" "$thrum" measure good.wav --blades 2 --rpm 4200 --diameter-mm 229 --json
[ "$(json stdout 'abs(r["runs"][0]["tip_speed_m_s"] - 50.36) < 0.01')" = True ]
tap_ok $? "gives the speed of its tips"
for option in "measure good.wav --full-scale-db 240" "measure good.wav --channel 33" "calibrate calibrator.wav --level 190"; do
    # shellcheck disable=SC2086
    "$thrum" $option >stdout 2>stderr
    [ $? -eq 2 ] && grep -q ' must be ' stderr
    tap_ok $? "what the campaign's files refuse is refused here too: $(cat stderr)"
done
good "a tolerance that the log takes" "$thrum" measure good.wav --blades 2 --rpm 4200 --rpm-tolerance 0.005 -q

# The recording's tones are 140, 280 and 420 Hz: a two-blade rotor at 4200 rev/min; 0.04 peak is -27.96 dBFS.
good "measure without a calibration" "$thrum" measure good.wav --blades 2 --rpm 4200 --json
[ "$(json stdout 'abs(r["runs"][0]["rotor"]["rpm_measured"] - 4200) < 2.1')" = True ]
tap_ok $? "measures the speed"
[ "$(json stdout 'r["runs"][0]["rotor"]["blade_passage"][0]["verdict"]')" = agrees ]
tap_ok $? "finds the blade line where the log says"
[ "$(json stdout 'abs(r["runs"][0]["rotor"]["blade_passage"][0]["level_db"] + 27.96) < 0.1')" = True ]
tap_ok $? "at -28.0 dBFS"
[ "$(json stdout 'r["runs"][0]["hearing"] is None and r["runs"][0]["is_absolute"] is False')" = True ]
tap_ok $? "gives no loudness without a calibration"
good "measure with full scale" "$thrum" measure good.wav --blades 2 --rpm 4200 --full-scale-db 114 --json
[ "$(json stdout 'abs(r["runs"][0]["rotor"]["blade_passage"][0]["level_db"] - 86.04) < 0.1')" = True ]
tap_ok $? "the same line at 86.0 dB"
good "measure to the terminal" "$thrum" measure good.wav --blades 2 --rpm 4200
grep -q 'blade 1' stdout
tap_ok $? "names the tone"
good "measure a rotor at a wrong speed" "$thrum" measure good.wav --blades 2 --rpm 3960 --json
[ "$(json stdout 'r["runs"][0]["rotor"]["blade_passage"][0]["verdict"]')" = shifted ]
tap_ok $? "says shifted"
good "measure into a folder" "$thrum" measure good.wav -o saved -q
[ -s saved/good.wav.json ] && [ ! -s stdout ]
tap_ok $? "writes one file a recording and prints nothing"
good "bands of other fractions" "$thrum" measure good.wav --bands 1/1 --json
[ "$(json stdout 'r["runs"][0]["bands"]["per_octave"]')" = 1 ]
tap_ok $? "stand beside the third octaves"

good "predict" "$thrum" predict --rpm 1500 --blades 5 --drive belt --motor-pulley-teeth 12 --rotor-pulley-teeth 60 \
    --belt-teeth 130 --motor-pole-pairs 7
grep -Eq '125\.00 .* blade 1' stdout && grep -Eq '1500\.00 .* belt mesh 1' stdout
tap_ok $? "5 blades at 25 turns a second: 125 Hz; 60 teeth: 1500 Hz"
grep -q "told apart" stdout
tap_ok $? "and says that blade 12 and the belt's mesh (60 teeth, 5 blades) can't be told apart"
lines=$(wc -l <stdout)
good "predict --all" "$thrum" predict --rpm 1500 --blades 5 --drive belt --motor-pulley-teeth 12 --rotor-pulley-teeth 60 \
    --belt-teeth 130 --motor-pole-pairs 7 --all
[ "$(wc -l <stdout)" -gt "$lines" ]
tap_ok $? "tells more lines"
good "predict as JSON" "$thrum" predict --rpm 1500 --blades 5 --json
[ "$(json stdout '[l["hz"] for l in r["lines"] if l["source"] == "blade 2"]')" = "[250.0]" ]
tap_ok $? "the second blade line is at 250 Hz"

good "new" "$thrum" new reed-bed
[ -s reed-bed/campaign.yaml ] && [ -s reed-bed/runs.csv ]
tap_ok $? "makes a campaign"
"$thrum" new reed-bed >stdout 2>stderr
[ $? -eq 1 ] && [ "$(wc -l <stderr)" -eq 1 ]
tap_ok $? "and overwrites none: $(cat stderr)"

# The same report from the recordings, by one job or two, and from saved results.
mkdir c
cp good.wav c/a.wav
cp good.wav c/b.wav
cat >c/campaign.yaml <<'YAML'
title: Reed-bed drone
runs: runs.csv
microphones:
  main: {distance_m: 1, calibration: {full_scale_db: 114}}
variants:
  stock2: {blades: 2, diameter_mm: 229}
  swept3: {blades: 3, diameter_mm: 229}
YAML
printf 'file,variant,rpm,thrust_n\na.wav,stock2,4200,3.1\nb.wav,swept3,2800,3.1\n' >c/runs.csv
good "report" "$thrum" report c -o one -j 1
good "report with two jobs" "$thrum" report c -o two -j 2
diff -r one two >/dev/null
tap_ok $? "gives the same bytes"
good "measure as the campaign's log says" "$thrum" measure --campaign c c/a.wav c/b.wav -o results -q
mkdir away && cp c/campaign.yaml c/runs.csv away
good "report from saved results, without the recordings" "$thrum" report away --from results -o three
diff -r one three >/dev/null
tap_ok $? "gives the same bytes again"
good "report --json" "$thrum" report c -o four --json -q
cmp -s stdout one/results.json
tap_ok $? "prints results.json"

# Saved results are of the campaign as it was. What no figure of a run rests on is taken from the log as it is now: the report is
# the same as from the recordings. Whatever else was changed since is told, a line a run, and nothing is written.
printf 'file,variant,rpm,thrust_n,nut\na.wav,stock2,4200,2.9,tight\nb.wav,swept3,2800,3.3,\n' | tee away/runs.csv >c/runs.csv
good "report from saved results after thrusts and notes were corrected" "$thrum" report away --from results -o six -q
good "report from the recordings" "$thrum" report c -o seven -q
diff -r six seven >/dev/null
tap_ok $? "gives the same bytes"
# stale LABEL PATTERN OPTION...: two runs were measured otherwise, and both are told.
stale() {
    "$thrum" report away --from results -o stale "${@:3}" >stdout 2>stderr
    [ $? -eq 2 ] && [ "$(grep -c "measured .*$2.*measure it again" stderr)" -eq 2 ] && [ "$(wc -l <stderr)" -eq 2 ] && [ ! -e stale ]
    tap_ok $? "$1: $(head -n 1 stderr)"
}
cp away/campaign.yaml kept.yaml
sed -i 's/distance_m: 1,/distance_m: 3,/' away/campaign.yaml
stale "a corrected distance" 'with distance_m 1, but now it is 3'
sed 's/full_scale_db: 114/full_scale_db: 134/' kept.yaml >away/campaign.yaml
stale "a corrected calibration" 'with calibration.full_scale_db 114, but now it is 134'
sed 's/229/254/' kept.yaml >away/campaign.yaml
stale "a corrected rotor" 'with diameter_mm 229, but now it is 254'
sed 's/^runs:/air: {temperature_c: 8}\nruns:/' kept.yaml >away/campaign.yaml
stale "air that was not told" 'without air.temperature_c, but now it is 8'
cp kept.yaml away/campaign.yaml
sed -i 's/,4200,/,4300,/; s/,2800,/,2900,/' away/runs.csv
stale "corrected speeds" 'with rpm .*, but now it is .900\|with rpm 4200, but now it is 4300'
sed -i 's/,4300,/,,/; s/,2900,/,,/' away/runs.csv
stale "speeds taken out" 'with rpm .*, but now it is not given'
cp c/runs.csv away
stale "another sound field" 'with field free, but now it is diffuse' --field diffuse
stale "other bands" 'with bands_per_octave 3, but now it is 6' --bands 1/6
good "measure with the options of the report" "$thrum" measure --campaign c c/a.wav c/b.wav -o results6 --bands 1/6 --field diffuse -q
good "report with them" "$thrum" report away --from results6 --bands 1/6 --field diffuse -o eight -q
good "and from the recordings" "$thrum" report c --bands 1/6 --field diffuse -o nine -q
diff -r eight nine >/dev/null
tap_ok $? "gives the same bytes"
sed -i '/"settings"/,/}/d' results/*.json
"$thrum" report away --from results -o five >stdout 2>stderr
[ $? -eq 2 ] && grep -q 'does not say by what settings' stderr && [ ! -e five ]
tap_ok $? "results that do not say what they rest on are told: $(head -n 1 stderr)"
rm results/b*.json
cp results6/a*.json results
"$thrum" report away --from results --bands 1/6 --field diffuse -o five >stdout 2>stderr
[ $? -ne 0 ] && [ "$(wc -l <stderr)" -eq 1 ] && [ ! -e five ]
tap_ok $? "a result that is missing is told: $(cat stderr)"

# A run too near its background (ISO 3744:2010, 8.2.3: less than 6 dB above it): check tells what report will. The same sound as
# run and as background is 0 dB above it; a hiss 12 dB above the sound's own noise covers all but its tones.
told_alike() {
    "$thrum" check c --json >checked.json 2>stderr
    "$thrum" report c -o near --formats json -q 2>>stderr
    /usr/bin/env python3 - <<'PY'
import json, sys
def found(items):
    return [(i["file"], [f for f in (f["text"] for f in i["fitness"]["findings"] if f["code"] == "low-snr")]) for i in items]
checked = [item for item in json.load(open("checked.json"))["checked"] if item["row"] > 0]
reported = json.load(open("near/results.json"))["runs"]
told = found(checked)
sys.exit(0 if told == found(reported) and len(told) == 2 and all(texts for _, texts in told) else 1)
PY
}
for kind in good hiss; do
    "$make_wav" c/background.wav $kind
    sed 's/distance_m: 1,/distance_m: 1, background: background.wav,/' kept.yaml >c/campaign.yaml
    told_alike
    tap_ok $? "check tells of a background of kind $kind what report tells: $(cat stderr)"
    "$thrum" check c -q
    [ $? -eq "$([ $kind = good ] && echo 1 || echo 0)" ]
    tap_ok $? "with status 1 where it is more than a note"
done
"$make_wav" c/background.wav gusty
good "check of quiet runs in gusts far below them, which report takes as they are" "$thrum" check c
"$thrum" check c --json | /usr/bin/env python3 -c 'import json, sys
microphone = json.load(sys.stdin)["checked"][0]
sys.exit(microphone["duration_s"] is not None or microphone["used_s"] != [None, None])'
tap_ok $? "a microphone has no length, and none is made up"
"$make_wav" c/background.wav not-a-number
"$thrum" check c >stdout 2>stderr
[ $? -eq 1 ] && grep -q 'unusable: .*background' stdout
tap_ok $? "a background that can't be used is told: $(grep background stdout)"

# A thrust typed in newtons in the column of grams, beside four true ones at the same speed: told by check and in the report.
mkdir slip
printf 'title: Reed-bed drone\nruns: runs.csv\nmicrophones:\n  main: {distance_m: 1}\nvariants:\n  stock2: {blades: 2}\n' >slip/campaign.yaml
echo 'file,variant,rpm,thrust_g' >slip/runs.csv
for thrust in 312 318 3.12 315 309; do
    cp good.wav slip/$thrust.wav
    echo "$thrust.wav,stock2,4200,$thrust" >>slip/runs.csv
done
"$thrum" check slip >stdout 2>stderr
[ $? -eq 1 ] && [ "$(grep -c '^ *doubtful: the logged thrust' stdout)" -eq 1 ] && grep -q 'gram.*check row 4 of the log' stdout
tap_ok $? "check tells of a thrust in another unit: $(grep 'logged thrust' stdout)"
[ "$(grep -c 'are short' stdout)" -eq 1 ] && tail -n 2 stdout | grep -q '^note of 5 recordings (here 312.wav): .* are short'
tap_ok $? "a note of all recordings is told once, at the end: $(grep 'are short' stdout)"
good "report with it" "$thrum" report slip -o slipped --formats json
grep -q '^3.12.wav, doubtful: the logged thrust' stdout && [ "$(grep -c '"thrust-doubtful"' slipped/results.json)" -eq 1 ]
tap_ok $? "does so too, of that run alone"
tap_done
