#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# bad-input.sh THRUM MAKE-WAV: kinds of bad campaign and bad recording. Each gives one clear line and status 2, or a finding,
# and leaves no output behind.
set -u
# shellcheck source=tests/cli/start.sh
. "$(dirname "${BASH_SOURCE[0]}")/start.sh" "$@"

for kind in good calibrator wrong-tone clipped silence not-a-number eight-bit empty short truncated; do
    "$make_wav" "$work/$kind.wav" "$kind" || exit 1
done
echo "this is no sound" >text.wav
: >nothing.wav

# fresh: a good campaign of two runs in ./c.
cp good.wav a.wav
cp good.wav b.wav
fresh() {
    rm -rf c out
    campaign c a.wav b.wav
}

# refused LABEL PATTERN: the campaign as it stands is refused with exactly one line that has PATTERN in it.
refused() {
    "$thrum" report c -o out >stdout 2>stderr
    local status=$? lines
    lines=$(wc -l <stderr)
    if [ $status -eq 2 ] && [ "$lines" -eq 1 ] && grep -Eq -- "$2" stderr && [ ! -e out ] && [ ! -s stdout ]; then
        tap_ok 0 "$1: $(cat stderr)"
    else
        tap_ok 1 "$1: status $status, $lines lines: $(cat stderr) $(ls out 2>/dev/null)"
    fi
}

# found LABEL FILE CODE: check finds CODE in the recording, with status 1.
found() {
    "$thrum" check --json "$2" >stdout 2>stderr
    local status=$?
    if [ $status -eq 1 ] && [ ! -s stderr ] && grep -q "\"code\": \"$3\"" stdout; then
        tap_ok 0 "$1: $(grep -m1 -A2 "\"code\": \"$3\"" stdout | tr -s ' \n' ' ')"
    else
        tap_ok 1 "$1: status $status: $(cat stdout stderr)"
    fi
}

fresh
"$thrum" report c -o out --formats json >stdout 2>stderr
tap_ok $? "the good campaign is measured: $(cat stderr)"
[ -s out/results.json ] && [ ! -e out/report.pdf ]
tap_ok $? "and only what was asked for is written"

# What the campaign's files tell is not told again, where it would do nothing.
for option in full-scale-db=120 background=a.wav distance-m=2 reference-distance-m=1 start-s=1 end-s=3 channel=1 tach-channel=1 \
    tach-pulses-per-rev=1 rpm=99 rpm-tolerance=2 motor-rpm=99; do
    "$thrum" measure --campaign c c/a.wav "--$option" >stdout 2>stderr
    [ $? -eq 2 ] && [ ! -s stdout ] && grep -Eq "^thrum: --${option%=*} does nothing with --campaign, .*--variant" stderr
    tap_ok $? "--$option by a row of the log: $(cat stderr)"
done
"$thrum" measure --campaign c --variant stock2 c/a.wav --rpm 4200 --start-s 1 --channel 1 >stdout 2>stderr
tap_ok $? "with --variant they are right: $(cat stderr)"

fresh; rm c/campaign.yaml
refused "no campaign.yaml" 'campaign.yaml: .*(open|there)'
fresh; echo ': [' >c/campaign.yaml
refused "no YAML" '^thrum: c/campaign.yaml:[0-9]+:[0-9]+: '
fresh; sed -i 's/blades: 2/blades: 0/' c/campaign.yaml
refused "0 blades" 'campaign.yaml:6:20: .*blades'
fresh; sed -i 's/blades: 2/bladse: 2, blades: 2/' c/campaign.yaml
refused "a misspelt key" 'campaign.yaml:6:12: .*bladse.*blades'
fresh; sed -i 's/distance_m: 1/distance_m: -1/' c/campaign.yaml
refused "a negative distance" 'campaign.yaml:4:22: .*distance_m'
fresh; sed -i 's/distance_m: 1/distance_m: one metre/' c/campaign.yaml
refused "a word for a number" 'campaign.yaml:4:22: '
fresh; sed -i 's/229/22,9/' c/campaign.yaml
refused "a decimal comma in YAML" 'campaign.yaml:6:'
fresh; echo 'title: again' >>c/campaign.yaml
refused "a key given twice" 'campaign.yaml:7:1: .*title'
fresh; echo 'reference: stokc2' >>c/campaign.yaml
refused "a reference that is not there" 'campaign.yaml:7:12: .*stokc2'
fresh; sed -i 's/^title.*/title: *other/' c/campaign.yaml
refused "an alias" 'campaign.yaml:1:8: '
fresh; sed -i '/^title/d' c/campaign.yaml
refused "no title" 'campaign.yaml.*title'
fresh; sed -i '/^runs/d' c/campaign.yaml
refused "no run log" 'campaign.yaml.*runs'
fresh; rm c/runs.csv
refused "the run log is not there" 'runs.csv'
fresh; : >c/runs.csv
refused "an empty run log" 'runs.csv'
fresh; sed -i 2,3d c/runs.csv
refused "a run log without a row" 'runs.csv'
fresh; sed -i '2s/stock2/swept3/' c/runs.csv
refused "a variant that is not there" 'runs.csv:2:.*swept3'
fresh; sed -i '2s/4200/10000000/' c/runs.csv
refused "10 million rpm" 'runs.csv:2:.*rpm'
fresh; printf 'file,variant,rpm\na.wav,stock2,"4200,5"\n' >c/runs.csv
refused "a decimal comma in a log of commas" 'runs.csv:2:14: .*4200,5.*4200\.5'
printf 'file;variant;thrust_n\na.wav;stock2;4,200\n' >c/runs.csv
refused "a comma that may stand between thousands" 'runs.csv:2:14: .*4\.2 or 4200'
fresh; rm c/b.wav
refused "a recording that is not there" 'runs.csv:3:.*b.wav'
fresh; sed -i '3s|b.wav|../good.wav|' c/runs.csv
refused "a recording outside the folder" 'runs.csv:3:.*folder'
fresh; sed -i '1s/thrust_n/trhust_n/' c/runs.csv
refused "a misspelt column" 'runs.csv:1:.*thrust_n'
fresh; sed -i '3s/b.wav,stock2/b.wav/' c/runs.csv
refused "a row with too few fields" 'runs.csv:3'
fresh; sed -i '3s/b.wav/"b.wav/' c/runs.csv
refused "a quote that never ends" 'runs.csv:'

# All mistakes of both files at once.
fresh
sed -i 's/blades: 2/blades: 0/; s/distance_m: 1/distance_m: -1/' c/campaign.yaml
sed -i '2s/4200/fast/' c/runs.csv
"$thrum" report c -o out >stdout 2>stderr
[ $? -eq 2 ] && [ "$(wc -l <stderr)" -eq 3 ] && [ ! -e out ]
tap_ok $? "three mistakes in two files are three lines: $(tr '\n' '|' <stderr)"

found "clipped" clipped.wav clipped
found "silence" silence.wav silence
found "not a number" not-a-number.wav non-finite
found "truncated" truncated.wav truncated
found "8 bits" eight-bit.wav low-resolution
found "too short" short.wav too-short
found "a text named .wav" text.wav unreadable
found "an empty file" nothing.wav unreadable
found "no frame" empty.wav unreadable
found "no such file" nowhere.wav unreadable
"$thrum" check good.wav >stdout 2>stderr
tap_ok $? "and a good recording is good: $(cat stdout stderr)"

# A run that can't be measured is listed, and the others are.
fresh; cp text.wav c/b.wav
"$thrum" report c -o out --formats json >stdout 2>stderr
[ $? -eq 0 ] && grep -q '"unreadable"' out/results.json && grep -q '"LAeq_db": [0-9-]' out/results.json
tap_ok $? "a run that can't be read is listed among those that can: $(cat stderr)"
"$thrum" report c -o out --formats json --strict >stdout 2>stderr
[ $? -eq 1 ] && [ "$(wc -l <stderr)" -eq 1 ]
tap_ok $? "--strict makes that status 1: $(cat stderr)"

# Calibrations that can't be used.
for fault in wrong-tone short clipped silence text; do
    fresh
    cp $fault.wav c/cal.wav
    sed -i 's/distance_m: 1/distance_m: 1, calibration: {file: cal.wav, level_db: 94}/' c/campaign.yaml
    "$thrum" report c -o out >stdout 2>stderr
    status=$?
    [ $status -ne 0 ] && [ "$(wc -l <stderr)" -eq 1 ] && grep -q 'cal.wav: ' stderr && [ ! -e out ]
    tap_ok $? "a $fault calibrator: $(cat stderr)"
done

# The output folder can't be written.
fresh
: >out
"$thrum" report c -o out >stdout 2>stderr
[ $? -eq 1 ] && [ "$(wc -l <stderr)" -eq 1 ] && [ ! -s out ]
tap_ok $? "a file in the way of the output folder: $(cat stderr)"

# The command line.
wrong() {
    "$thrum" "${@:2}" >stdout 2>stderr
    local status=$?
    [ $status -eq 2 ] && [ "$(wc -l <stderr)" -eq 1 ] && [ ! -s stdout ]
    tap_ok $? "$1: $(cat stderr)"
}
rm -f out
wrong "no command"
wrong "a command that is not there" reprot c
wrong "no campaign" report
wrong "two campaigns" report c c
wrong "an option that is not there" report c --outptu x
wrong "an abbreviated option" report c --out x
wrong "an option without its value" report c -o
wrong "a flag with a value" report c --json=yes
wrong "an unknown format" report c --formats pdf,doc
wrong "an unknown reference" report c --reference nobody
wrong "a number that is none" predict --rpm fast --blades 2
wrong "a thousands mark" predict --rpm 4.200 --blades 2
wrong "two recordings for one file of results" measure good.wav good.wav -o saved
wrong "no rotor" predict --rpm 4200
wrong "no speed" predict --blades 2
wrong "a belt with one pulley" predict --rpm 4200 --blades 2 --drive belt --motor-pulley-teeth 12
wrong "--variant without a campaign" measure good.wav --variant stock2
wrong "no level" calibrate calibrator.wav
cp good.wav "$(printf 'reed\377.wav')"
wrong "a name that is not UTF-8" measure "$(printf 'reed\377.wav')" --json
wrong "an unknown fraction" measure good.wav --bands 1/5
tap_done
