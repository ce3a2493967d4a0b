#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# odd-use.sh THRUM MAKE-WAV: what users and their machines do that no manual tells: folders for files, files in the way, names
# that no terminal should see, full disks, closed streams, what spreadsheets save. One clear line each, the right
# status, nothing half written.
set -u
# shellcheck source=tests/cli/start.sh
. "$(dirname "${BASH_SOURCE[0]}")/start.sh" "$@"
"$make_wav" a.wav good || exit 1

campaign c a.wav

# told LABEL STATUS PATTERN: the command just run (its status in $status) ended with STATUS, said one line that has PATTERN in
# it, without a control character, and printed nothing.
told() {
    local lines
    lines=$(wc -l <stderr)
    [ "$status" -eq "$2" ] && [ "$lines" -eq 1 ] && grep -Eq -- "$3" stderr && ! grep -q '[[:cntrl:]]' stderr && [ ! -s stdout ]
    tap_ok $? "$1: status $status: $(cat -v stderr)"
}

# A campaign that is not there is wrong use, whatever the command.
run report nowhere
told "report of no campaign" 2 'nowhere: .*campaign.yaml'
run check nowhere.yaml
told "check of no campaign" 2 'nowhere.yaml: '
run measure --campaign nowhere a.wav
told "measure by no campaign" 2 'nowhere: '
run predict --campaign nowhere --variant stock2 --rpm 4200
told "predict of no campaign" 2 'nowhere: '
run report a.wav
told "a recording for a campaign" 2 'a.wav: .*campaign.yaml'
run report c/runs.csv
told "a run log for a campaign" 2 'runs.csv: .*campaign.yaml'
run report -
told "standard input for a campaign" 2 '^thrum: -: '
run new ""
told "a folder without a name" 2 "^thrum: new needs a folder"
run report .
told "a folder without a campaign" 2 'campaign.yaml: cannot open'
run calibrate . --level 94
told "a folder for a recording" 1 '^thrum: \.: is not a file'
run calibrate /dev/zero --level 94
told "a device for a recording" 1 '/dev/zero: is not a file'

# Names that no terminal should see.
run calibrate $'reed\nbed.wav' --level 94
told "a line end in a name" 1 'reed\\x0Abed.wav'
run $'re\033[31mport'
told "an escape sequence for a command" 2 're\\x1B\[31mport'
run report $'\302\233'
told "a C1 control character" 2 '\\xC2\\x9B'
for command in measure check; do
    for name in $'reed\nbed.wav' $'reed\033bed.wav' $'reed\377bed.wav'; do
        cp a.wav "$name"
        run $command "$name" --json
        told "$command of a name that can't stand in a report" 2 'recording 1 .*rename'
    done
done
run report "$(printf 'x%.0s' {1..300})"
told "a name that is too long" 2 'x: is no campaign'
run report c -o "$(printf 'x%.0s' {1..300})"
told "an output folder whose name is too long" 1 'name too long'

# Output folders: looked at before anything is measured, what others put there stays.
: >file
run report c -o file/deeper
told "a file in the way of the output folder" 1 'file/deeper: cannot be'
run measure a.wav -o file
told "and of measure's" 1 'file: cannot be written'
mkdir -p taken/tables
echo mine | tee taken/notes.txt >taken/tables/notes.txt
run report c -o taken -q
[ $status -eq 0 ] && [ -s taken/report.pdf ] && [ "$(cat taken/notes.txt taken/tables/notes.txt)" = $'mine\nmine' ]
tap_ok $? "foreign files in the output folder stay: $(cat stderr)"
mkdir -p way/report.html/in
run report c -o way
told "a folder in the way of a file" 1 'report.html: cannot write'
[ -z "$(find way -type f)" ]
tap_ok $? "leaves no part of a report: $(find way -type f)"
unprivileged=("$thrum")
if [ "$(id -u)" -eq 0 ]; then
    cp "$thrum" program
    unprivileged=(env -u LSAN_OPTIONS setpriv --reuid=65534 --regid=65534 --clear-groups "$work/program")
    chmod 755 . c
fi
if "${unprivileged[@]}" --version >/dev/null 2>&1; then
    mkdir -m 555 sealed
    for arguments in "report c -o sealed" "report c -o sealed/in" "measure a.wav -o sealed" "new sealed" "new sealed/in"; do
        # shellcheck disable=SC2086
        "${unprivileged[@]}" $arguments >stdout 2>stderr
        status=$?
        told "$arguments, where nothing may be written" 1 'sealed.*: Permission denied'
    done
    chmod 000 c/campaign.yaml
    "${unprivileged[@]}" report c -o never >stdout 2>stderr
    status=$?
    told "a campaign that may not be read" 2 'campaign.yaml: cannot open: Permission denied'
    chmod 644 c/campaign.yaml
else
    tap_skip "nobody else can run the program here"
fi

# full KIB ARGUMENT...: thrum on a full disk: no file can grow beyond so much.
full() {
    local most=$1
    shift
    (
        trap '' XFSZ
        ulimit -f "$most"
        "$thrum" "$@" >/dev/null 2>&3
    ) 3>stderr
    status=$?
    : >stdout
}
full 16 report c -o full
told "a report that does not fit the disk" 1 'cannot write: '
[ -z "$(find full -type f)" ]
tap_ok $? "leaves no part of a report: $(find full -type f)"

# A second report that does not fit the disk leaves the first one as it was: the PDF still fits, the page does not.
"$thrum" report c -o kept >/dev/null 2>&1
find kept -type f -exec sha256sum {} + | sort >one
cp c/campaign.yaml first.yaml
sed -i 's/^title: .*/title: A second report/' c/campaign.yaml
full $(($(stat -c %s kept/report.html) / 1024 - 1)) report c -o kept
told "a second report that does not fit the disk" 1 'report.html: cannot write: '
find kept -type f -exec sha256sum {} + | sort | diff one - >difference
tap_ok $? "leaves the first as it was: $(cat difference)"
mv first.yaml c/campaign.yaml

# Streams that are full or closed.
for arguments in "report c -o streams --json" "report c -o streams" "measure a.wav --json" "predict --rpm 4200 --blades 2" \
    "check c" "--help" "report --help" "--version" "new streams-new"; do
    # shellcheck disable=SC2086
    "$thrum" $arguments >/dev/full 2>stderr
    status=$?
    : >stdout
    told "$arguments >/dev/full" 1 'standard output: No space'
done
"$thrum" measure a.wav --json >&- 2>stderr
status=$?
: >stdout
told "standard output is closed" 1 'standard output'
"$thrum" report c -o closed <&- >&- 2>&-
[ $? -eq 1 ] && cmp -s closed/results.json taken/results.json && cmp -s closed/report.pdf taken/report.pdf
tap_ok $? "all three are closed: the report is the same to the byte"
{
    "$thrum" report c -o piped --json 2>stderr
    echo $? >status
} | head -n 1 >/dev/null
[ ! -s stderr ] && [ -s piped/results.json ] && [ "$(cat status)" -ne 2 ]
tap_ok $? "a reader that has seen enough is no mistake: status $(cat status) $(cat stderr)"

# What spreadsheets save.
printf '\357\273\277file;variant;rpm;thrust_n;note\r\na.wav;stock2;4200;3.1;"x; y"\r\n;;;;\r\n' >c/runs.csv
run check c
[ $status -eq 0 ] && [ ! -s stderr ]
tap_ok $? "semicolons, a byte-order mark, CR LF and an empty row are right: $(cat stderr)"
printf 'file;variant;rpm;thrust_n\r\na.wav;stock2;4200;3,1\r\n' >c/runs.csv
run check c
[ $status -eq 0 ] && [ ! -s stderr ]
tap_ok $? "decimal commas between semicolons are right: $(cat stderr)"
printf '"file";"variant";"rpm"\n"a.wav";"stock2";"4.200"\n' >c/runs.csv
run check c
told "a thousands mark" 2 'runs.csv:2:18: .*4200'
printf 'file\tvariant\trpm\na.wav\tstock2\t4200\n' >c/runs.csv
run check c
told "tabs" 2 'runs.csv:1:1: .*commas or semicolons'
printf 'file,variant,rpm,note\na.wav,stock2,4200,Geh\344use\n' >c/runs.csv
run check c
told "Latin-1" 2 'runs.csv:2:.*UTF-8'
printf 'file,variant,rpm\na.wav,stock2,4200\n' | iconv -t UTF-16 >c/runs.csv
run check c
told "UTF-16" 2 'runs.csv:1:.*UTF-8'
printf 'PK\003\004' >c/runs.csv
run check c
told "a workbook" 2 'runs.csv:1:1: .*save it as CSV'
rm c/runs.csv
mkdir c/runs.csv
run check c
told "a folder for the run log" 2 'runs.csv. is no file'
tap_done
