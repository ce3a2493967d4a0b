#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every finding's code in the program stands in docs/findings.md and every code there is in the program; every code of
# this room is in one of its tests.
root=$1
page=$root/docs/findings.md
count=0
failed=0

check() { # status, text
    count=$((count + 1))
    if [ "$1" -eq 0 ]; then
        echo "ok $count - $2"
    else
        echo "not ok $count - $2"
        failed=$((failed + 1))
    fi
}

# The code is the second argument of findings_add, in quotes, or what the file defines as CODE.
codes_in() {
    cat "$@" | tr '\n' ' ' | grep -oE '(findings_add\([^,"]*,|#define CODE)[[:space:]]*"[a-z0-9-]+"' |
        grep -oE '"[a-z0-9-]+"' | tr -d '"' | sort -u
}

all=$(codes_in "$root"/src/*/*.c)
own=$(codes_in "$root"/src/recording/*.c)
[ -n "$own" ]
check $? "codes are found in the source"
for code in $all; do
    grep -q "^| \`$code\` |" "$page"
    check $? "$code stands in docs/findings.md"
done
for code in $own; do
    grep -q "\"[a-z -]*${code}[a-z -]*\"" "$root"/tests/recording/*.c
    check $? "$code has a test"
done
for code in $(grep -oE "^\\| \`[a-z0-9-]+\` \\|" "$page" | tr -d '|` '); do
    echo "$all" | grep -qx "$code"
    check $? "$code of docs/findings.md is in the source"
done
echo "1..$count"
[ "$failed" -eq 0 ]
