#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds thrum twice, as released and with the address and undefined-behaviour sanitizers, runs the whole suite in both,
# its campaign, command line and report tests under a locale with a decimal comma, the demo under valgrind, and the rules of the
# house. Installs the Debian packages it needs, if any are missing (that alone needs root). The last line is
# "N passed, N failed", with ", N skipped" where a check could not be made here; its reason stands above.
set -u
# shellcheck source=tests/tools/packages.sh
. "$(dirname "${BASH_SOURCE[0]}")/tools/packages.sh"

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
skipped=0
say() { printf '\n== %s\n' "$1"; }

# fail REASON: one check of ours that did not pass.
fail() {
    failed=$((failed + 1))
    echo "not ok - $1"
}

finish() {
    local line="$passed passed, $failed failed"
    [ "$skipped" -eq 0 ] || line="$line, $skipped skipped"
    printf '\n%s\n' "$line"
    [ "$failed" -eq 0 ]
    exit
}

# suite NAME BUILD [MESON TEST OPTION...]: runs the tests of a build and adds up their checks.
suite() {
    local name=$1 build=$2 log counts
    shift 2
    log=$build/meson-logs/testlog-$name.json
    rm -f "$log"
    say "the suite: $name"
    meson test -C "$build" --no-rebuild --print-errorlogs --logbase "testlog-$name" "$@" 2>&1 | grep -v '^ninja: '
    if [ ! -s "$log" ]; then
        fail "$name: no test was run"
        return
    fi
    "$top/tests/tools/count-tests.py" "$log" >"$work/counts"
    read -r -a counts <"$work/counts"
    echo "$name: ${counts[0]} passed, ${counts[1]} failed, ${counts[2]} skipped"
    sed -n '2,$s/^\(.\)/failed: \1/p' "$work/counts"
    passed=$((passed + counts[0]))
    failed=$((failed + counts[1]))
    skipped=$((skipped + counts[2]))
}

house() {
    say "the rules of the house"
    "$top/tests/tools/house.sh" "$top/build" >"$work/house"
    cat "$work/house"
    passed=$((passed + $(grep -c '^ok' "$work/house")))
    failed=$((failed + $(grep -c '^not ok' "$work/house")))
    grep -q '^1\.\.' "$work/house" || fail "the rules of the house were not all looked at"
}

# The whole way through the demo under valgrind: no bad access, no value used before it was set, nothing of ours lost. One of
# each two runs does, and those with a fault.
memory() {
    say "the demo's report under valgrind"
    cp -r "$top/recordings-demo" "$work/demo"
    grep -E '^file|-a\.wav|knob|memory' "$top/recordings-demo/runs.csv" >"$work/demo/runs.csv"
    if valgrind -q --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite \
        --suppressions="$top/tests/tools/valgrind-libraries.supp" \
        "$top/build/src/cli/thrum" report "$work/demo" -o "$work/report" >"$work/valgrind" 2>&1; then
        passed=$((passed + 1))
        echo "ok - valgrind found nothing"
    else
        tail -n 60 "$work/valgrind"
        fail "valgrind"
    fi
}

# A locale with a decimal comma, made for this run only.
comma_locale() {
    if localedef -i de_DE -f UTF-8 "$work/de_DE.UTF-8" >/dev/null 2>&1 || [ -e "$work/de_DE.UTF-8/LC_NUMERIC" ]; then
        export LOCPATH=$work
        export LC_ALL=de_DE.UTF-8
        suite comma "$top/build" --suite campaign --suite cli --suite report
        unset LC_ALL LOCPATH
    else
        echo "ok # SKIP no locale with a decimal comma can be made here"
        skipped=$((skipped + 1))
    fi
}

packages_need build run test || {
    fail "packages are missing"
    finish
}
say "building"
build_in "$top/build" || fail "the release build"
# gcc 12 warns of a conversion that is not there when it also checks casts; the release build holds to the warning.
build_in "$top/build-san" -Dbuildtype=debugoptimized -Db_sanitize=address,undefined \
    -Dc_args='-fsanitize=float-cast-overflow -fno-sanitize-recover=all -Wno-error=conversion' ||
    fail "the sanitizer build"
[ "$failed" -eq 0 ] || finish
house
suite release "$top/build"
export ASAN_OPTIONS=detect_leaks=1:allocator_may_return_null=1 UBSAN_OPTIONS=print_stacktrace=1
export LSAN_OPTIONS="suppressions='$top/tests/tools/leaks-of-libraries.txt':print_suppressions=0"
suite sanitizers "$top/build-san"
comma_locale
memory
finish
