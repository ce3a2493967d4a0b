# SPDX-License-Identifier: GPL-3.0-or-later
# shellcheck shell=bash
# What the scripts share: packages from docs/packages.txt, and builds. To be sourced.

top=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)

# packages_of SECTION...: the names in those sections of the list.
packages_of() {
    local section
    for section; do
        sed -n "/^\[$section\]\$/,/^\[/p" "$top/docs/packages.txt" | grep -vE '^(#|\[|$)'
    done
}

# packages_need SECTION...: installs what is missing of those sections, and says so. Root is wanted only then.
packages_need() {
    local name as_root=() missing=()
    if ! command -v dpkg-query >/dev/null; then
        echo "This is no Debian: these packages, by whatever name, are needed: $(packages_of "$@" | tr '\n' ' ')" >&2
        return 0
    fi
    for name in $(packages_of "$@"); do
        [ "$(dpkg-query -W -f '${db:Status-Status}' "$name" 2>/dev/null)" = installed ] || missing+=("$name")
    done
    [ ${#missing[@]} -gt 0 ] || return 0
    if [ "$(id -u)" -ne 0 ]; then
        if ! command -v sudo >/dev/null; then
            echo "These packages are missing; as root: apt-get install ${missing[*]}" >&2
            return 1
        fi
        as_root=(sudo)
    fi
    echo "Installing what is missing: ${missing[*]}" >&2
    if ! "${as_root[@]}" apt-get -qq update ||
        ! "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -qq -y -o Dpkg::Use-Pty=0 \
            --no-install-recommends install "${missing[@]}" >/dev/null; then
        echo "apt-get could not install them" >&2
        return 1
    fi
}

# build_in FOLDER [MESON OPTION...]: sets the folder up once and builds; quiet unless something is wrong.
build_in() {
    local folder=$1 log
    shift
    log=$(mktemp)
    if { [ -e "$folder/build.ninja" ] || meson setup --fatal-meson-warnings "$@" "$folder" "$top"; } >"$log" 2>&1 &&
        ninja -C "$folder" >>"$log" 2>&1; then
        rm -f "$log"
        return 0
    fi
    tail -n 60 "$log" >&2
    rm -f "$log"
    return 1
}
