#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# installed.sh BUILD: installs into a folder of its own, and builds and runs each sample program
# against that with what pkg-config says, as a user of the library would.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
build=$1

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
check 'installs' meson install -C "$build" --no-rebuild --destdir "$work"
PKG_CONFIG_PATH=$(dirname "$(find "$work" -name reseat.pc)")
PKG_CONFIG_SYSROOT_DIR=$work
LD_LIBRARY_PATH=$(dirname "$(find "$work" -name 'libreseat.so*' | head -n 1)")
export PKG_CONFIG_PATH PKG_CONFIG_SYSROOT_DIR LD_LIBRARY_PATH

builds_and_runs() {
    # The folder may have blanks in its name, which pkg-config escapes for a shell.
    eval "set -- $(pkg-config --cflags --libs reseat)" &&
        ${CC:-cc} -std=c11 "$sample" "$@" -lm -o "$work/sample" &&
        ( cd samples && "$work/sample" ) >"$work/printed" || return
    [ ! -e "${sample%.c}.out" ] || diff "${sample%.c}.out" "$work/printed"
}

for sample in samples/*.c; do
    check "$sample" builds_and_runs
done
finish
