#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# library.sh LIBRARY SOVERSION: what the built shared library shows and calls, against the public
# headers.

set -u
unset CDPATH
LC_ALL=C
export LC_ALL
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
. tests/abi/names.sh
library=$1 soversion=$2

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
public_names | sort >"$work/declared"
nm -D --defined-only "$library" | awk '{print $3}' | sort >"$work/exported"
nm -D --undefined-only "$library" | awk '{sub(/@.*/, "", $NF); print $NF}' | sort >"$work/called"

# What would print, end the program, change its locale or lean on a state shared by threads.
# assert's way out is allowed: a release has none.
cat >"$work/forbidden" <<'EOF'
^_*(exit|_Exit|quick_exit|abort|atexit|raise|kill|errx?|verrx?|warnx?|error)$
^_*(v?f?printf|v?dprintf|puts|fputs|putc|fputc|putchar|putw|perror|psignal|syslog)(_chk|_unlocked)?$
^(stdin|stdout|stderr)$
^_*(setlocale|uselocale|tzset|setenv|unsetenv|putenv|signal|sigaction|umask|chdir)$
^_*(strtok|asctime|ctime|gmtime|localtime|strerror|rand|srand|random|srandom|drand48|readdir)$
EOF

only_public_names() { [ -s "$work/exported" ] && ! grep -v '^reseat_' "$work/exported"; }
matches_headers() { [ -s "$work/declared" ] && diff "$work/declared" "$work/exported"; }
calls_nothing_forbidden() { [ -s "$work/called" ] && ! grep -E -f "$work/forbidden" "$work/called"; }
named_for_its_soversion() { readelf -d "$library" | grep -F "soname: [libreseat.so.$soversion]"; }

check 'every exported name begins reseat_' only_public_names
check 'what the headers mark (<) is what is exported (>)' matches_headers
check 'its name ends in the soversion' named_for_its_soversion
check 'nothing prints, ends the program or changes its state' calls_nothing_forbidden
finish
