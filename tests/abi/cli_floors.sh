#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# The floors of the command line: a file includes its own header and those of floors below alone.
# only FILES HEADERS: names what the files include beside these headers and the system's.

set -u
unset CDPATH
cd "$(dirname "$0")/../../cli" || exit 1
. ../tests/tap.sh

only() {
    for file in $1; do
        own=${file##*/}
        [ -f "$file" ] || echo "there is no $file"
        sed -n 's/^#include "\(.*\)"/\1/p' "$file" | grep -vxE "${own%.*}\.h|reseat/reseat\.h|$2" |
            sed "s|^|$file includes |"
    done
}
nothing_from() { ! "$@" 2>&1 | grep .; }

tables='options\.h|fields\.h'
show="show/[a-z_]*\.h|$tables"
commands=$(grep -o '\<run_[a-z_]*' commands.h | sed 's/run_//; s/$/.c/' | grep -vx report.c)
# Only what is given; a mistaken pattern would hold of nothing.
check 'there are commands' test "$(echo "$commands" | wc -l)" -gt 10
check 'tables include tables' nothing_from only 'options.[ch] fields.[ch] parse.c' "$tables"
check 'sentences, words and JSON know the library alone' nothing_from \
    only 'show/sentences.[ch] show/words.[ch] show/json.[ch]' 'words\.h'
check 'what is shown includes tables and what is shown' nothing_from \
    only 'show/*.[ch]' '[a-z_]*\.h|\.\./(options|fields)\.h'
check 'files and logs include what is shown' nothing_from \
    only 'files.[ch] log_target.[ch]' "$show"
check 'a request includes these' nothing_from \
    only 'request.[ch] reduction.[ch]' "$show|files\.h|log_target\.h"
check 'a recording includes requests' nothing_from \
    only 'recording.[ch]' "$show|files\.h|log_target\.h|request\.h"
check 'no command includes another' nothing_from \
    only "$commands" "$show|(commands|files|log_target|request|reduction|recording)\.h"
finish
