#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# interface.sh SOVERSION: prints what a program is compiled against: the soversion, prototypes,
# values of enumerations and macros, sizes of structures and where their members lie. The compiler
# $CC is asked for all but the prototypes.

set -u
unset CDPATH
LC_ALL=C
export LC_ALL
cd "$(dirname "$0")/../.." || exit 1

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# The headers less their comments.
cat include/reseat/*.h | awk '
    { text = text $0 "\n" }
    END {
        while (begin = index(text, "/*")) {
            printf "%s", substr(text, 1, begin - 1)
            text = substr(text, begin + 2)
            text = substr(text, index(text, "*/") + 2)
        }
        printf "%s", text
    }' >"$work/headers"

# A program that prints the rest: a line a structure, an enumeration, a macro with a value.
{
    echo '#include <stdio.h>'
    echo '#include <reseat/reseat.h>'
    echo 'int main(void) {'
    sed -n 's/^#define \(RESEAT_[A-Z0-9_]*\) \{1,\}[(0-9-].*/printf("macro \1 %.17g\\n", (double)(\1));/p' \
        "$work/headers"
    grep -v '^ *#' "$work/headers" | tr -s ' \n' ' ' | awk -v RS=' typedef ' '
        function body() { return substr($0, index($0, "{") + 1, index($0, "}") - index($0, "{") - 1) }
        /^enum / {
            printf "printf(\"enum %s\");\n", $2
            count = split(body(), names, ",")
            for (i = 1; i <= count; i++) {
                sub(/=.*/, "", names[i])
                gsub(/ /, "", names[i])
                if (names[i] != "")
                    printf "printf(\" %s=%%d\", (int)%s);\n", names[i], names[i]
            }
            print "puts(\"\");"
        }
        /^struct [a-z_]* \{/ {
            printf "printf(\"struct %s %%zu\", sizeof(%s));\n", $2, $2
            count = split(body(), rows, ";")
            for (i = 1; i < count; i++) {
                gsub(/\[[^]]*\]/, "", rows[i])
                gsub(/[()*]/, " ", rows[i])
                many = split(rows[i], parts, ",")
                for (j = 1; j <= many; j++) {
                    last = split(parts[j], words, " ")
                    printf "printf(\" %s@%%zu+%%zu\", offsetof(%s, %s), sizeof((%s *)0)->%s);\n",
                        words[last], $2, words[last], $2, words[last]
                }
            }
            print "puts(\"\");"
        }'
    echo 'return 0; }'
} >"$work/values.c"

echo "soversion $1"
grep -v '^ *#' "$work/headers" | tr -s ' \n' ' ' | grep -o 'RESEAT_API [^;]*;' | sed 's/^RESEAT_API //' | sort
${CC:-cc} -std=c11 -Iinclude "$work/values.c" -o "$work/values" && "$work/values" | sort
