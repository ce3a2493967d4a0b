#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# scale-out.sh THRUM MAKE-WAV DEMO: the demo measured in pieces by GNU parallel gives the same report as measured at once; an
# interrupted run leaves nothing behind.
set -u
demo=$(realpath "$3")
# shellcheck source=tests/cli/start.sh
. "$(dirname "${BASH_SOURCE[0]}")/start.sh" "$@"

"$thrum" report "$demo" -o whole -q 2>stderr
tap_ok $? "the demo measured at once $(cat stderr)"
if command -v parallel >/dev/null 2>&1 && parallel --version 2>/dev/null | grep -q '^GNU parallel'; then
    find "$demo" -name '*.wav' ! -name 'calibrator*' ! -name 'background*' |
        parallel --will-cite -q -j 2 "$thrum" measure --quiet --jobs 1 --campaign "$demo" '{}' -o results 2>stderr
    tap_ok $? "each recording measured by a process of its own $(cat stderr)"
    "$thrum" report "$demo" --from results -o pieces -q 2>stderr
    tap_ok $? "and reported $(cat stderr)"
    diff -r whole pieces >/dev/null
    tap_ok $? "the reports are the same to the byte"
else
    tap_skip "GNU parallel is not here"
fi

# Interrupted while it measures: the status of an interrupted program, and nothing written.
/usr/bin/env python3 - "$thrum" "$demo" <<'PY'
import signal, subprocess, sys, time
child = subprocess.Popen([sys.argv[1], "report", sys.argv[2], "-o", "stopped", "-j", "1"],
                         stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                         preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL))
time.sleep(0.05)
child.send_signal(signal.SIGINT)
sys.exit(0 if child.wait() == -signal.SIGINT else 1)
PY
tap_ok $? "an interrupt ends it at once (a shell calls that status 130)"
[ ! -e stopped ]
tap_ok $? "and leaves nothing behind"

# A run recorded as the background: check tells what report tells of it.
mkdir wrong && cp "$demo"/*.wav "$demo"/campaign.yaml "$demo"/runs.csv wrong && chmod u+w wrong/*
cp wrong/stock2-4200-a.wav wrong/background.wav
"$thrum" check wrong >stdout 2>stderr
[ $? -eq 1 ] && grep -q "unusable: the background recording background.wav can't be used: .*rotor" stdout
tap_ok $? "a rotor that runs in the background is told: $(grep 'background recording' stdout)"
tap_done
