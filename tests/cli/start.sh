# SPDX-License-Identifier: GPL-3.0-or-later
# shellcheck shell=bash
# What the tests of the command line begin with: source it with the arguments THRUM MAKE-WAV. It gives $thrum and $make_wav, the
# checks of tap.sh, and a folder to work in, which goes at the end.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "${BASH_SOURCE[0]}")/tap.sh"
thrum=$(realpath "$1")
# shellcheck disable=SC2034
make_wav=$(realpath "$2")
work=$(mktemp -d) || exit 1
trap 'chmod -R u+rwx "$work"; rm -rf "$work"' EXIT
cd "$work" || exit 1

# campaign FOLDER RECORDING...: a good campaign of one variant with a run for each recording.
campaign() {
    local folder=$1 recording
    shift
    mkdir -p "$folder"
    cat >"$folder/campaign.yaml" <<'YAML'
title: Reed-bed drone
runs: runs.csv
microphones:
  main: {distance_m: 1}
variants:
  stock2: {blades: 2, diameter_mm: 229}
YAML
    echo 'file,variant,rpm,thrust_n' >"$folder/runs.csv"
    for recording; do
        cp "$recording" "$folder"
        echo "${recording##*/},stock2,4200,3.1" >>"$folder/runs.csv"
    done
}

# run ARGUMENT...: thrum with its output in stdout and stderr and its exit status in $status.
# shellcheck disable=SC2034
run() {
    "$thrum" "$@" >stdout 2>stderr
    status=$?
}
