#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Counts, with valgrind's callgrind, the instructions of `thrum measure` on ten seconds that the bench makes, and compares
# them with instructions.txt: more than 5 % off is a failure. Instructions, not seconds, since machines are shared; they
# depend a little on the processor and on the libraries (transforms, logarithms), so compare on one kind of machine.
#   instructions.sh            checks
#   instructions.sh --update   writes instructions.txt anew
set -eu
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
top=$(cd "$here/../../.." && pwd)
build=${THRUM_BUILD:-$top/build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
[ -d "$build" ] || meson setup "$build" "$top"
ninja -C "$build" src/cli/thrum tests/bench/speed/bench-speed >/dev/null
"$build/tests/bench/speed/bench-speed" --make "$work/ten.wav" 10

# count OPTION...: millions of instructions of measure with these options.
count() {
    valgrind --tool=callgrind --callgrind-out-file=/dev/null "$build/src/cli/thrum" measure "$work/ten.wav" -q -j 1 \
        --blades 2 --rpm 4200 "$@" 2>&1 >/dev/null | sed -n 's/.*Collected : \([0-9]*\)[0-9]\{6\}$/\1/p'
}

plain=$(count)
hearing=$(count --full-scale-db 114)
printf 'without hearing %s\nwith hearing %s\n' "$plain" "$hearing" >"$work/now"
if [ "${1-}" = --update ]; then
    { echo "# Millions of instructions of thrum measure on ten seconds; made by: instructions.sh --update"
      cat "$work/now"; } >"$here/instructions.txt"
    exit
fi
failed=0
while read -r with what now; do
    was=$(sed -n "s/^$with $what //p" "$here/instructions.txt")
    verdict=ok
    if [ $((now * 100)) -gt $((was * 105)) ] || [ $((now * 100)) -lt $((was * 95)) ]; then
        verdict="not ok"
        failed=1
    fi
    echo "$verdict - $with $what: $now million instructions, $was in instructions.txt (within 5 %)"
done <"$work/now"
exit $failed
