#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Measures the budgets of speed and memory and writes docs/performance.md: the table, and notes.md below it.
set -eu
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
top=$(cd "$here/../../.." && pwd)
build=${THRUM_BUILD:-$top/build}
[ -d "$build" ] || meson setup "$build" "$top"
ninja -C "$build" src/cli/thrum tests/bench/speed/bench-speed >/dev/null
status=0
"$build/tests/bench/speed/bench-speed" "$build/src/cli/thrum" "$here/same_figures.py" --markdown "$top/docs/performance.md" ||
    status=$?
cat "$here/notes.md" >>"$top/docs/performance.md"
exit $status
