#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# What holds for the sources as text. A check passes when its search finds nothing, and says nothing:
# one that cannot be made is no success.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
. tests/abi/names.sh

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# Under version control what is or would be tracked, else what is there.
if [ "$(git rev-parse --show-toplevel 2>/dev/null)" = "$(pwd -P)" ]; then
    git ls-files -z --cached --others --exclude-standard | tr '\0' '\n' >"$work/listed"
    versioned=yes
else
    find . -type f ! -path './build*' ! -path './.git/*' | sed 's|^\./||' >"$work/listed"
    versioned=no
fi
while IFS= read -r file; do
    [ ! -f "$file" ] || printf '%s\n' "$file"
done <"$work/listed" >"$work/files"

# files PATTERN: those whose path matches; search PATTERN OPTION...: grep in them.
files() {
    grep -E "$1" "$work/files"
}
search() {
    pattern=$1
    shift
    files "$pattern" | tr '\n' '\0' | LC_ALL=C.UTF-8 xargs -0 -r grep "$@" /dev/null
}
code='\.[ch]$'
ours='\.([ch]|sh|bash|py|js|in|[15])$|meson\.build$|^\.ci/run$'

nothing_from() { ! "$@" 2>&1 | grep .; }

without_licence() {
    search "$ours" -L 'SPDX-License-Identifier: MIT' | grep -v '^/dev/null$'
    search "$ours" -L 'SPDX-FileCopyrightText: 2026 the reseat contributors' | grep -v '^/dev/null$'
}
long_files() {
    files "^(lib|cli|include|samples)/.*$code" | while IFS= read -r file; do
        [ "$(wc -l <"$file")" -le 600 ] || printf '%s\n' "$file"
    done
}
strangers() {
    cut -d/ -f1 "$work/files" | sort -u |
        grep -vxE 'README\.md|DEVELOPERS\.md|LICENSE|meson\.build|lib|cli|include|tests|samples|\..*'
}
hidden() { git ls-files --others --ignored --exclude-standard -- lib cli include tests samples; }
cjson_outside() { search "^(lib|cli|include|samples)/.*$code" -il cjson | grep -vx lib/base/json.c; }
# What turns a real into text or back follows the locale, unless it writes no digit after the point.
reals='"[^"]*%[-+#0-9.*]*[aefgAEFG]|\<(strto(d|f|ld)|v?f?s?scanf|atof) *\('
reals_outside() {
    search "^(lib|cli)/.*$code" -nE "$reals" | sed 's/%\.0f//g' | grep -E "$reals" |
        grep -vE '^lib/base/number\.c:'
}
# Each floor uses only itself and those before it; so do the public headers, in their order.
upwards() {
    for folder in base maths model measure log history; do
        below="$below $folder"
        files "^lib/$folder/.*$code" | xargs grep -o '^#include "[a-z]*/' |
            grep -vE "\"($(echo reseat $below | tr ' ' '|'))/"
    done
    for header in status values seat probe touches rescue log drift history; do
        grep -H '^#include "reseat/' "include/reseat/$header.h" |
            grep -vE "\"reseat/($(echo none $earlier | tr ' ' '|'))\.h"
        earlier="$earlier $header"
    done
}
# What the unit tests name, as `subject_test reseat_name`.
grep -ow 'reseat_[a-z0-9_]*' /dev/null tests/unit/*.c | sed 's|^tests/unit/||; s|\.c:| |' |
    sort -u >"$work/named"
public_names | sort >"$work/public"
untested() { cut -d' ' -f2 "$work/named" | sort -u | comm -23 "$work/public" -; }
unbuilt() {
    files '\.c$' | while IFS= read -r file; do
        name=${file##*/} name=${name%.c}
        folder=${file%/*}
        case $file in
        lib/*) folder=lib name=${file#lib/} name=${name%.c} ;;
        cli/report/*) folder=cli name=${file#cli/} name=${name%.c} ;;
        esac
        grep -q "'$name\.c'\|'${name%_*}'\|'$name'" "$folder/meson.build" ||
            printf '%s\n' "$file"
    done
}
# The rows | `function` | `subject_test` | `subject_fuzz` | as `place function` lines.
sed -n 's/^| `\(reseat_[a-z0-9_]*\)` | \(.*\) |$/\1 \2/p' tests/FUNCTIONS.md | tr -d '`|,' |
    awk '{ print $1 >rows; for (i = 2; i <= NF; i++) print $i, $1 }' rows="$work/rows" \
    >"$work/places"
not_in_table() { sort "$work/rows" | comm -23 "$work/public" -; }
# A test that is not there or does not name the function, a fuzz target that is not there.
not_as_in_table() {
    grep '_test ' "$work/places" | sort | comm -23 - "$work/named"
    grep -o '^[a-z_]*_fuzz ' "$work/places" | sort -u | while read -r target; do
        [ -e "tests/fuzz/$target.c" ] || echo "there is no $target"
    done
}

# Of nothing all would hold.
something() {
    for folder in lib cli include tests samples; do
        [ "$(files "^$folder/.*$code" | grep -c .)" -gt 0 ] || { echo "none in $folder"; return 1; }
    done
    [ -s "$work/public" ] && [ -s "$work/named" ]
}

check 'there are sources, public functions and tests of them' something
check 'every source has its two SPDX lines' nothing_from without_licence
check 'no tab in a source' nothing_from search "$ours" -n "$(printf '\t')"
check 'no blank ends a line of a source' nothing_from search "$ours" -n ' $'
check 'no line of C over 100 columns' nothing_from search "$code" -nE '.{101}'
check 'no file of C over 600 lines' nothing_from long_files
check 'nothing at the top but the layout' nothing_from strangers
check 'cJSON is named in lib/base/json.c alone' nothing_from cjson_outside
check 'reals are read and written in number.c alone' nothing_from reals_outside
check 'every C source is in the meson.build of its folder' nothing_from unbuilt
below='' earlier=''
check 'each floor uses only those before it' nothing_from upwards
check 'nothing in the library prints' nothing_from search '^lib/' -nwE '(v?f?printf|puts|putchar|perror) *\('
check 'every public function is named in a unit test' nothing_from untested
if [ $versioned = yes ]; then
    check 'no file beside the sources is ignored' nothing_from hidden
else
    skip 'no file beside the sources is ignored' 'not under version control'
fi
check 'every public function is in tests/FUNCTIONS.md' nothing_from not_in_table
check 'what that table names is there' nothing_from not_as_in_table
finish
