#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Rules of the house that no compiler checks; TAP, one line a rule. house.sh BUILD: the release build whose libraries are
# looked at.
set -u
top=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
cd "$top" || exit 1
build=$1
count=0
failed=0

# rule NAME FINDINGS: passes when there is nothing to find.
rule() {
    count=$((count + 1))
    if [ -z "$2" ]; then
        echo "ok $count - house: $1"
    else
        failed=$((failed + 1))
        echo "not ok $count - house: $1"
        printf '%s\n' "$2" | head -20 | sed 's/^/# /'
    fi
}

sources() {
    find src tests -name '*.[ch]' "$@" | sort
}

scripts() {
    find .ci recordings-demo tests docs -type f ! -name '*.wav' -exec awk 'FNR == 1 && /^#!.*sh$/ {print FILENAME}' {} + | sort
}

rule "C is formatted by .clang-format" "$(sources | xargs clang-format --dry-run -Werror 2>&1 | grep error)"
rule "shellcheck is content with every script" "$(scripts | xargs -d '\n' shellcheck -x -S warning 2>&1)"
rule "no library holds data that can change" "$(find "$build/src" -name '*.a' -exec nm -f sysv {} + 2>/dev/null |
    awk -F'|' '$7 ~ /^ *\.(data|bss)/ && $7 !~ /\.data\.rel\.ro/ || $7 ~ /COM/ {print $1, $7}')"
rule "units are converted in units.h only" "$(sources -path 'src/*' | xargs grep -nE 'pow\(10(\.0*)?,|/ 60\.0' | grep -vE '^src/(base/(units\.h|num\.c)|meters/band\.c):')"
rule "nothing was left for later" "$(grep -rnE '\b(T[O]DO|FI[X]ME|X[X]X)\b' src tests docs .ci)"
rule "no call that has no place here" "$(sources -path 'src/*' |
    xargs grep -nE '\b(system|popen|gets|strcpy|strcat|sprintf|atof|atoi) *\(')"
rule "no file is longer than 500 lines" "$(sources | xargs wc -l | awk '$2 != "total" && $1 > 500')"
rule "every source names its licence" "$(sources | xargs grep -L SPDX-License-Identifier)"
rule "the build names every source" "$(cd src && for file in */*.c; do
    grep -q "'${file##*/}'" "${file%/*}/meson.build" || echo "src/$file"
done)"
echo "1..$count"
exit $((failed > 0))
