#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Both commands of the README on a Debian 12 with nothing but git: makes such a system in a folder (debootstrap, from the
# mirror that this machine's apt uses), clones the last commit into it, to a path with a space, and runs them from
# elsewhere. Wants root and debootstrap; not part of the suite. clean-machine.sh [FOLDER]: a folder that is not there yet,
# and is kept; without one, a temporary folder that is removed.
set -eu
top=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
suite=bookworm
keep=${1:-}
root=${keep:-$(mktemp -d)/system}

indextargets() {
    apt-get indextargets --format "$1" 'Created-By: Packages' 'Origin: Debian' 'Component: main'
}

clean_up() {
    umount "$root/proc" 2>/dev/null || true
    [ -n "$keep" ] || rm -rf --one-file-system "$(dirname "$root")"
}

make_system() {
    local mirror file
    # shellcheck disable=SC2016 # apt fills these in
    mirror=$(indextargets '$(RELEASE) $(REPO_URI)' | sed -n "s/^$suite //p" | head -n 1)
    debootstrap --variant=minbase --include=git,ca-certificates "$suite" "$root" "$mirror" >"$root.log"
    trap clean_up EXIT
    # shellcheck disable=SC2016
    indextargets 'deb $(REPO_URI) $(RELEASE) $(COMPONENT)' | sort -u >"$root/etc/apt/sources.list"
    cp /etc/resolv.conf "$root/etc/resolv.conf"
    for file in /etc/apt/apt.conf.d/*; do
        if grep -qiE 'proxy|Check-(Valid|Date)' "$file"; then
            cp "$file" "$root/etc/apt/apt.conf.d/"
        fi
    done
    mount -t proc proc "$root/proc"
    chroot "$root" apt-get clean
}

# inside COMMAND...: in the new system, with a plain environment and from its top folder.
inside() {
    chroot "$root" env -i HOME=/root PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 "$@"
}

echo "Making a Debian 12 with git in $root"
mkdir -p "$(dirname "$root")"
make_system
git -C "$top" bundle create -q "$root/root/thrum.bundle" HEAD
inside git -c advice.detachedHead=false clone -q /root/thrum.bundle "/root/a clone"
echo "== recordings-demo/run.sh"
time inside "/root/a clone/recordings-demo/run.sh"
echo "== tests/run.sh"
time inside "/root/a clone/tests/run.sh"
