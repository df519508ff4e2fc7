#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Each public header alone, as C11 and as C++11, with the compilers $CC and $CXX (or whichever
# C++ compiler there is); and that a program which includes reseat.h gets them all.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
warnings='-Wall -Wextra -Wpedantic -Werror'

for candidate in ${CXX-} g++ clang++; do
    cxx=$(command -v "$candidate") && break
done

alone() {
    compiler=$1 header=$2
    shift 2
    printf '#include "reseat/%s"\n' "$header" | $compiler "$@" $warnings -Iinclude -fsyntax-only -
}

listed() {
    [ "$1" = reseat.h ] || grep -q "^#include \"reseat/$1\"" include/reseat/reseat.h &&
        grep -q "'reseat/$1'" include/meson.build
}

for path in include/reseat/*.h; do
    header=${path##*/}
    check "$header alone in C11" alone "${CC:-cc}" "$header" -std=c11 -Wstrict-prototypes -x c
    if [ -n "$cxx" ]; then
        check "$header alone in C++11" alone "$cxx" "$header" -std=c++11 -x c++
    else
        skip "$header alone in C++11" 'no C++ compiler'
    fi
    check "$header is in reseat.h and installed" listed "$header"
done
finish
