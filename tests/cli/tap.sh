# SPDX-License-Identifier: GPL-3.0-or-later
# Test Anything Protocol for shell tests: source this, call the checks, end with tap_done.
tap_count=0
tap_failed=0

# tap_ok STATUS LABEL: passes when STATUS is 0.
tap_ok() {
    local label=${2//$'\n'/ | }
    tap_count=$((tap_count + 1))
    if [ "$1" -eq 0 ]; then
        echo "ok $tap_count - $label"
    else
        echo "not ok $tap_count - $label"
        tap_failed=$((tap_failed + 1))
    fi
}

tap_skip() {
    tap_count=$((tap_count + 1))
    echo "ok $tap_count # SKIP $1"
}

tap_done() {
    echo "1..$tap_count"
    [ "$tap_failed" -eq 0 ]
    exit
}
