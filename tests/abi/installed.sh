#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# installed.sh BUILD LIBRARIES SOVERSION SOURCE: installs into a folder of its own what a build with
# -Ddefault_library=LIBRARIES has, looks whether that is all and nothing else, and builds and runs
# SOURCE and the samples against it, outside of the sources and with what pkg-config says alone.

set -u
unset CDPATH
LC_ALL=C
export LC_ALL
build=$1 libraries=$2 soversion=$3 source=$(realpath "$4")
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
top=$PWD

for candidate in ${CXX-} g++ clang++; do
    cxx=$(command -v "$candidate") && break
done

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
root=$work/root
check 'installs' meson install -C "$build" --no-rebuild --destdir "$root"
PKG_CONFIG_PATH=$(dirname "$(find "$root" -name reseat.pc)")
PKG_CONFIG_SYSROOT_DIR=$root
LD_LIBRARY_PATH=$(dirname "$PKG_CONFIG_PATH")
export PKG_CONFIG_PATH PKG_CONFIG_SYSROOT_DIR LD_LIBRARY_PATH
version=$(pkg-config --modversion reseat)

expected() {
    printf '%s\n' bin/reseat lib/pkgconfig/reseat.pc share/bash-completion/completions/reseat \
        share/man/man1/reseat.1 share/man/man5/reseat-log.5 share/man/man7/reseat-model.7
    for header in include/reseat/*.h; do echo "$header"; done
    [ "$libraries" = shared ] || echo lib/libreseat.a
    [ "$libraries" = static ] ||
        printf '%s\n' lib/libreseat.so "lib/libreseat.so.$soversion" "lib/libreseat.so.$version"
}
# The folder of libraries has a name of its own on some systems.
as_expected() {
    expected | sort >"$work/expected"
    prefix=$(dirname "$(dirname "$(find "$root" -path '*/bin/reseat')")")
    ( cd "$prefix" && find . ! -type d ) | sed -E 's|^\./||; s|^lib(64\|/[^/]*-linux-[^/]*)/|lib/|' |
        sort >"$work/found"
    diff "$work/expected" "$work/found"
}
check 'what is expected (<) is what is installed (>)' as_expected

runs() {
    version_printed=$("$(find "$root" -path '*/bin/reseat')" --version) &&
        [ "$version_printed" = "reseat $version" ]
}
check 'the installed program runs' runs

# build_with STATIC COMPILER SOURCE...: builds $work/program in a folder outside of the sources;
# with --static it needs no libreseat to run.
build_with() {
    static=$1
    shift
    eval "set -- \"\$@\" $(pkg-config $static --cflags --libs reseat)" &&
        ( cd "$work" && "$@" -o program )
}
# Twice the offset after half a turn; and the record that was appended behind the first of a log.
printf '%s\n' "reseat $version: 0.024 -0.01" 'service 1' >"$work/printed"
prints() {
    ( cd "$work" && rm -f uses.jsonl && ./program ) >"$work/actual" &&
        diff "$work/printed" "$work/actual"
}
uses() {
    cp "$source" "$work/uses.c" && build_with "$@" && prints
}
warnings='-Wall -Wextra -Wpedantic -Werror'
static=
[ "$libraries" != static ] || static=--static
check 'a program in C' uses "$static" ${CC:-cc} -std=c11 $warnings uses.c
if [ -n "$cxx" ]; then
    check 'a program in C++' uses "$static" "$cxx" -std=c++11 $warnings -x c++ uses.c -x none
else
    skip 'a program in C++' 'no C++ compiler'
fi
if [ "$libraries" = both ]; then
    rm -f "$LD_LIBRARY_PATH"/libreseat.so*
    check 'a program in C, of the static library' uses --static ${CC:-cc} -std=c11 $warnings uses.c
fi

sample_runs() {
    build_with "$static" ${CC:-cc} -std=c11 "$top/$sample" -lm &&
        ( cd samples && "$work/program" ) >"$work/actual" || return
    [ ! -e "${sample%.c}.out" ] || diff "${sample%.c}.out" "$work/actual"
}
[ "$libraries" = both ] || for sample in samples/*.c; do
    check "$sample" sample_runs
done
finish
