#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Measures the budgets of speed and memory and writes the table to docs/performance.md.
set -eu
top=$(cd "$(dirname "${BASH_SOURCE[0]}")/../../.." && pwd)
[ -d "$top/build" ] || meson setup "$top/build" "$top"
ninja -C "$top/build" >/dev/null
"$top/build/tests/bench/speed/bench-speed" "$top/build/src/cli/thrum" "$top/tests/bench/speed/same_figures.py" \
    --markdown "$top/docs/performance.md"
