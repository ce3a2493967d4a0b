#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Two programs that print the same figures, one compiled without the functions for wide vectors: not a bit may differ.
set -eu
with=$("$1")
without=$("$2")
lines=$(printf '%s\n' "$with" | wc -l)
if [ "$with" = "$without" ] && [ "$lines" -gt 100 ]; then
    echo "ok 1 - $lines lines of figures are the same with and without wide vectors"
else
    echo "not ok 1 - figures differ with and without wide vectors ($lines lines)"
fi
echo "1..1"
