#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds thrum and writes the report of the demo campaign to out/demo. Installs the Debian packages it needs, if any are
# missing (that alone needs root).
set -eu
# shellcheck source=tests/tools/packages.sh
. "$(dirname "${BASH_SOURCE[0]}")/../tests/tools/packages.sh"

packages_need build run
echo "Building thrum in $top/build" >&2
build_in "$top/build"
"$top/build/src/cli/thrum" report "$top/recordings-demo" -o "$top/out/demo"
