#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# headers.sh SOVERSION: each public header alone, as C11 and as C++11, with the compilers $CC and
# $CXX (or whichever C++ compiler there is); that a program which includes reseat.h gets them all;
# and that what they declare is what stands in the file `interface`.

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

# Sizes are those of machines with pointers of 8 bytes.
wide() {
    echo "char wide[sizeof(void *) == 8 ? 1 : -1];" | ${CC:-cc} -x c -fsyntax-only - 2>/dev/null
}
as_listed() {
    sh tests/abi/interface.sh "$1" | diff tests/abi/interface - && return
    echo 'if that is meant (DEVELOPERS.md, the interface):'
    echo "sh tests/abi/interface.sh $1 >tests/abi/interface"
    return 1
}
if wide; then check 'the interface is as listed' as_listed "$1"
else skip 'the interface is as listed' 'pointers are not of 8 bytes'; fi
finish
