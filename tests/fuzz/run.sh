#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Fuzzes every reader of text with libFuzzer, address and undefined sanitizers, from the committed seeds.
#   tests/fuzz/run.sh [SECONDS [TARGET...]]     seconds for each target, default 60
# Ends with 0 when nothing was found, 1 when something was (the input stays where the last line says: make it a file with a
# name that tells what it was under regressions/TARGET), 77 without clang's libFuzzer.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
seconds=${1:-60}
shift || true
targets=("$@")
[ ${#targets[@]} -gt 0 ] || targets=(campaign_yaml run_log number)
build=$(mktemp -d)
keep=no
trap '[ "$keep" = yes ] || rm -rf "$build"' EXIT

flags=(-std=c17 -D_POSIX_C_SOURCE=200809L -g -O1 -fno-omit-frame-pointer -I"$top/src" -I"$here" -I"$top/tests"
    "-fsanitize=fuzzer,address,undefined" -fno-sanitize-recover=all)
if ! printf '#include <stddef.h>\nint LLVMFuzzerTestOneInput(const unsigned char *d, size_t n) { return d[0] == n; }\n' |
    clang -x c "${flags[@]}" -o "$build/probe" - 2>/dev/null; then
    echo "fuzz: clang with libFuzzer is needed: the packages under [fuzz] in docs/packages.txt"
    exit 77
fi

sources=("$top"/src/campaign/*.c "$top"/src/base/{err,num,memory,text,files,nearest}.c)
found=0
for target in "${targets[@]}"; do
    echo "fuzz: building $target"
    clang "${flags[@]}" -o "$build/$target" "$here/$target.c" "${sources[@]}" -lyaml -lcsv -lm
done
for target in "${targets[@]}"; do
    mkdir -p "$build/corpus-$target" "$here/regressions/$target"
    echo "fuzz: $target for $seconds s"
    if ! (cd "$build" && "./$target" -max_total_time="$seconds" -max_len=16384 -timeout=10 -rss_limit_mb=512 \
        -print_final_stats=1 -verbosity=0 -dict="$here/dictionaries/$target.txt" \
        "corpus-$target" "$here/seeds/$target" "$here/regressions/$target" >"$target.log" 2>&1); then
        tail -n 40 "$build/$target.log"
        found=1
        keep=yes
    fi
    grep -E '^stat::(number_of_executed_units|peak_rss_mb)' "$build/$target.log" || true
done
[ "$found" = 0 ] && echo "fuzz: nothing found" || echo "fuzz: the input that failed is in $build"
exit "$found"
