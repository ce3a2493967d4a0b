#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# manual.sh THRUM MAKE-WAV TOP: the manual pages say what the program says of itself, name every key of docs/campaign.md, can be made
# into pages, and every example in them, in --help and in the README runs.
set -u
top=$(realpath "$3")
# shellcheck source=tests/cli/start.sh
. "$(dirname "${BASH_SOURCE[0]}")/start.sh" "$@"
commands="report measure predict check calibrate new"

# section PAGE NAME: the lines of a section of a page.
section() {
    sed -n "/^# $2\$/,/^# /{/^# /!p}" "$1"
}

# plain: bold, underlined and escaped text without its marks.
plain() {
    sed -E 's/\\(.)/\1\x01/g; s/[*_]([^\x01]|$)/\1/g; s/[*_]([^\x01]|$)/\1/g; s/\x01//g'
}

# joined: a line a term, "TERM: TEXT", from terms each followed by lines of text behind tabs.
joined() {
    awk '/^\t/ {sub(/^\t/, ""); text = text (text == "" ? "" : " ") $0; next}
         /^[^#]/ {if (term != "") print term ": " text; term = $0; text = ""}
         END {if (term != "") print term ": " text}'
}

# help_options: the same of the options in a help text.
help_options() {
    awk 'substr($0, 1, 32) ~ /^ +$/ && term != "" {sub(/^ +/, ""); text = text (text == "" ? "" : " ") $0; next}
         {if (term != "") print term ": " text; term = ""}
         /^  (-.,|   ) --/ {line = substr($0, 3); term = line; text = ""
             if (match(line, /[^ ]  +[^ ]/) && RSTART > 4) {term = substr(line, 1, RSTART); text = substr(line, RSTART + RLENGTH - 1)}
             sub(/^ +/, "", term)}'
}

# alike LABEL: one and other are the same and not empty.
alike() {
    [ -s one ] && diff one other >difference
    tap_ok $? "$1$([ -s difference ] && cat difference)"
}

: >examples
for command in $commands; do
    page=$top/docs/man/thrum-$command.1.scd
    "$thrum" "$command" --help >help
    sed -n '1s/^usage: //p' help >one
    section "$page" SYNOPSIS | plain | grep . >other
    alike "$command: the synopsis"
    sed -n "3s/^/thrum-$command - /p" help >one
    section "$page" NAME | grep . >other
    alike "$command: what it does"
    help_options <help >one
    section "$page" OPTIONS | plain | joined >other
    alike "$command: $(wc -l <one) options"
    sed -n '/^Examples$/,/^$/s/^  //p' help >one
    section "$page" EXAMPLES | grep '^thrum' >other
    alike "$command: $(wc -l <one) examples"
    cat one >>examples
done

"$thrum" --help | sed -nE 's/^  ([a-z]+) +/thrum-\1(1): /p' >one
section "$top/docs/man/thrum.1.scd" COMMANDS | plain | joined >other
alike "the commands of thrum(1)"

# Keys and columns stand in the first cells of the tables of docs/campaign.md.
sed -nE 's/^\| (`[^|]*) \|.*/\1/p' "$top/docs/campaign.md" | grep -o '`[^`]*`' | tr -d '`' | tr . '\n' | sort -u >one
section "$top/docs/man/thrum-campaign.5.scd" 'CAMPAIGN.YAML' | cat - <(section "$top/docs/man/thrum-campaign.5.scd" 'RUN LOG') |
    grep -oE '\*[a-z\\_]+\*|^\t\*kind\*' | tr -d '*\\\t' | sort -u >other
alike "the $(wc -l <one) keys and columns of thrum-campaign(5)"

if command -v scdoc >/dev/null; then
    for page in "$top"/docs/man/*.scd; do
        scdoc <"$page" >page 2>stderr && grep -q '^\.SH EXAMPLES' page
        tap_ok $? "${page##*/} makes a page $(cat stderr)"
    done
else
    tap_skip "scdoc is not here"
fi

# The examples, where the names in them are: a part of the demo as the campaign, and recordings beside it.
sed -n '/^```/,/^```/s/^\(thrum .*\)/\1/p' "$top/README.md" "$top/docs/man/thrum.1.scd" | sed 's/ *#.*//' >>examples
mkdir bin
ln -s "$thrum" bin/thrum
PATH=$work/bin:$PATH
ln -s "$top/recordings-demo" recordings-demo
for name in hover take1 take2; do "$make_wav" $name.wav good; done
"$make_wav" calibrator.wav calibrator
"$make_wav" pistonphone.wav pistonphone
fill_in() {
    cp "$top/recordings-demo/campaign.yaml" "$top"/recordings-demo/{background,calibrator}*.wav reed-bed
    grep -E '^file|^(stock2|swept3|slow5)-[0-9]*-a' "$top/recordings-demo/runs.csv" >reed-bed/runs.csv
    cp "$top"/recordings-demo/*-a.wav reed-bed
}
awk '!seen[$0]++' examples >once
{
    grep '^thrum new' once
    grep -v '^thrum new' once
} >ordered
while read -r line; do
    bash -c "$line" >stdout 2>stderr </dev/null
    status=$?
    # What check finds in the demo is no failure of the example.
    [ $status -eq 0 ] || { [ $status -eq 1 ] && [[ $line = "thrum check "* ]]; }
    tap_ok $? "$line: status $status $(cat stderr)"
    [[ $line = "thrum new reed-bed" ]] && fill_in
done <ordered
tap_ok $(($(wc -l <ordered) < 11)) "$(wc -l <ordered) examples, 11 at least"

# The least campaign of the README, with recordings of the demo.
mkdir least
sed -n '/^title: Old rotor/,/^```/{/^```/!p}' "$top/README.md" >least/campaign.yaml
sed -n '/^file,variant,thrust_n/,/^```/{/^```/!p}' "$top/README.md" >least/runs.csv
for n in 1 2 3; do
    rpm=$((3000 + 600 * n))
    cp "$top/recordings-demo/stock2-$rpm-a.wav" least/old-$n.wav
    [ $n -gt 1 ] || rpm=3660
    cp "$top/recordings-demo/swept3-$((rpm - 600))-a.wav" least/new-$n.wav
done
"$thrum" report least -o least-report >stdout 2>stderr
tap_ok $? "the least campaign of the README has its report: $(cat stderr)"
grep -q 'No background was recorded' stdout && grep -q 'Levels are relative (dBFS' stdout &&
    grep -q 'At equal level, LAeq .* dBFS at' stdout
tap_ok $? "which says what it lacks, and what its levels are"

# thrum-calibrate(1): a meter's reading less the LAeq in dBFS is the level of a full-scale sine.
laeq() {
    "$thrum" measure --json -q "$@" | sed -n 's/.*"LAeq_db": \([-0-9.]*\),.*/\1/p' | head -n 1
}
relative=$(laeq least/old-1.wav)
gain=$(LC_ALL=C awk "BEGIN { print 78.0 - ($relative) }")
LC_ALL=C awk "BEGIN { off = $(laeq least/old-1.wav --full-scale-db "$gain") - 78.0; exit !(off < 0.006 && off > -0.006) }"
tap_ok $? "$relative dBFS where a meter reads 78.0 dB: full_scale_db $gain gives that level"

# The example files of thrum-campaign(5).
mkdir manual
section "$top/docs/man/thrum-campaign.5.scd" EXAMPLES >text
sed -n '/^title/,/^```/{/^```/!p}' text >manual/campaign.yaml
sed -n '/^file,/,/^```/{/^```/!p}' text >manual/runs.csv
"$thrum" predict --campaign manual --variant slow5 --rpm 1860 >stdout 2>stderr
tap_ok $? "the example files of thrum-campaign(5) are right: $(cat stderr)"
tap_done
