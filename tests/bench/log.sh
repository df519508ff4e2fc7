#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# log.sh PROGRAM PROCESS_BENCH MEMORY_BENCH MAKE_LOG BARE_FILE CJSON_LINES: the log against the bare
# file system, drift against plain readers of the same lines, and the memory of what reads a million
# records against that of ten thousand.

set -eu
program=$1 bench=$2 memory=$3 make=$4 bare=$5 cjson=$6
work=$(mktemp -d "${TMPDIR:-/var/tmp}/reseat-bench-XXXXXX") # on a disk: fsync means something
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
export RESEAT_LOG="$work"
unset RESEAT_SPINDLE RESEAT_BY

"$make" 10 log-10 1000 >"$work/log-10.jsonl"
"$make" 10000 log-10000 1000 >"$work/log-10000.jsonl"
"$make" 1000000 log-1000000 10000000 >"$work/log-1000000.jsonl" # its one policy stands first
now=2023-01-01T00:00:00Z
last=$(tail -n 1 "$work/log-10.jsonl" | wc -c)

"$bench" 'record against open, write, fsync, close' 1.3 200 \
    "$program" record log-10 reseat --probe P1 --seat 0 --why battery --at $now \
    -- "$bare" append "$work/bare" "$last"
"$make" 10 log-10 1000 >"$work/log-10.jsonl"
mkdir "$work/small" "$work/large" # each alone: a check looks into the other logs of its folder too
cp "$work/log-10.jsonl" "$work/small/"
cp "$work/log-10000.jsonl" "$work/large/"
"$bench" 'check of 10,000 records against 10' 3 100 \
    "$program" check log-10000 --log "$work/large" --as-of $now \
    -- "$program" check log-10 --log "$work/small" --as-of $now
"$bench" 'check of a million records against one raw read' 10 5 \
    "$program" check log-1000000 --as-of $now -- "$bare" read "$work/log-1000000.jsonl"
"$bench" 'audit of a million records against sha256sum' 3 3 \
    "$program" audit log-1000000 -- "$(command -v sha256sum)" "$work/log-1000000.jsonl"

# drift keeps each run that it shows: both of its logs hold 1,250.
"$make" 1000000 log-few 10000000 800 >"$work/log-few.jsonl"
for command in 'audit log-1000000' 'check log-1000000' 'history log-1000000' 'drift log-few'; do
    "$memory" "${command% *} of a million records against 10,000" 1.2 \
        "$program" $command --as-of $now -- "$program" "${command% *}" log-10000 --as-of $now
done

# One probe among a thousand; the peers read every line and add up one number.
"$make" 1000000 log-many 10000000 8 1000 >"$work/log-many.jsonl"
drift="$program drift log-many --probe P7 --as-of $now"
"$bench" 'drift of one probe in a million records against cJSON alone' 1.5 3 \
    $drift -- "$cjson" "$work/log-many.jsonl"
if jq=$(command -v jq); then
    "$bench" 'drift of one probe in a million records against jq' 1.5 1 \
        $drift -- "$jq" -s 'map(.offset_x_mm // 0) | add' "$work/log-many.jsonl"
fi
if sqlite=$(command -v sqlite3); then
    cat >"$work/import" <<'EOT'
#!/bin/sh
printf '%s\n' 'create table line (text);' '.mode ascii' '.separator "\001" "\n"' \
    ".import $2 line" "select avg(text ->> 'offset_x_mm') from line where text ->> 'probe' = 'P7';" |
    "$1" :memory:
EOT
    chmod +x "$work/import"
    "$bench" 'drift of one probe in a million records against SQLite import and query' 1.5 1 \
        $drift -- "$work/import" "$sqlite" "$work/log-many.jsonl"
fi

mkdir "$work/shop"
for i in $(seq 1000); do
    "$make" 40 "m-$i" 1000 >"$work/shop/m-$i.jsonl"
done
"$bench" 'overview of 1,000 logs against one check in their folder' 1000 1 \
    "$program" overview --log "$work/shop" --as-of 2021-02-01T00:00:00Z \
    -- "$program" check m-1 --log "$work/shop" --as-of 2021-02-01T00:00:00Z

# Four times as much of a folder is to cost about four times as much, not sixteen times.
mkdir "$work/few" "$work/more" "$work/100" "$work/400"
for i in $(seq 300); do
    ! [ "$i" -le 75 ] || cp "$work/shop/m-$i.jsonl" "$work/few/"
    cp "$work/shop/m-$i.jsonl" "$work/more/"
done
"$bench" 'overview of 300 logs against 75' 5 10 \
    "$program" overview --log "$work/more" --as-of 2021-02-01T00:00:00Z \
    -- "$program" overview --log "$work/few" --as-of 2021-02-01T00:00:00Z
"$make" 4000 log-100 100000 8 100 >"$work/100/log-100.jsonl"
"$make" 16000 log-400 100000 8 400 >"$work/400/log-400.jsonl"
"$bench" 'overview of 400 probes of a log against 100' 5 10 \
    "$program" overview --log "$work/400" --as-of 2021-02-01T00:00:00Z \
    -- "$program" overview --log "$work/100" --as-of 2021-02-01T00:00:00Z
