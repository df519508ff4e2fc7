#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Runs the samples in Python on the logs of samples/shop.sh and on damaged ones: they must say what
# the program, $RESEAT_TEST_PROGRAM or build-test/cli/reseat, and the sample in C say.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
program=${RESEAT_TEST_PROGRAM:-$PWD/build-test/cli/reseat}
library=$(dirname "$program")/../lib/libreseat.so.1
PATH=$(dirname "$program"):$PATH
python=/usr/bin/python3 # for which Debian's packages of Python are
work=$(mktemp -d) || exit 1
RESEAT_LOG=$work/logs MPLBACKEND=agg
export PATH RESEAT_LOG MPLBACKEND
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM

verdict() {
    "$python" -W error samples/verdict.py "$library" include >"$work/said" &&
        diff -u samples/put_back.out "$work/said"
}

# The runs that history shows as not taken back, in the order of time, as the frame has them.
same_runs() {
    reseat history "$1" --type run --json >"$work/history" &&
        "$python" - "$RESEAT_LOG/$1.jsonl" "$work/history" <<'EOF'
import json, math, sys
sys.path.insert(0, 'samples')
import reseat_log
frame = reseat_log.runs(sys.argv[1])
kept = [r for r in json.load(open(sys.argv[2]))['records'] if 'voided_by' not in r]
kept.sort(key=lambda r: (r['at'], r['seq']))
assert len(kept) > 1 and list(frame.seq) == [r['seq'] for r in kept], list(frame.seq)
for (at, row), record in zip(frame.iterrows(), kept):
    assert at.strftime('%Y-%m-%dT%H:%M:%SZ') == record['at'], (at, record)
    assert row.offset_x_mm == record['offset_x_mm'] and row.offset_y_mm == record['offset_y_mm']
    assert row.tip == record.get('tip', 'main')
    assert row.length_mm == math.hypot(row.offset_x_mm, row.offset_y_mm)
EOF
}

refuses() {
    "$python" samples/reseat_log.py "$1" >"$work/said" 2>&1 && return 1
    [ "$(cat "$work/said")" = "$2" ] || { cat "$work/said"; return 1; }
}

plots() {
    "$python" samples/reseat_log.py "$RESEAT_LOG/mill-2.jsonl" "$work/plot.png" >/dev/null &&
        [ "$(head -c 8 "$work/plot.png" | od -An -tx1 | tr -d ' ')" = 89504e470d0a1a0a ]
}

mkdir "$RESEAT_LOG" && sh samples/shop.sh "$RESEAT_LOG" >/dev/null || exit 1
check 'a verdict from Python is that from C' verdict
for spindle in hmc-1 hmc-2 mill-1 mill-2; do
    check "the runs of $spindle are those that the program counts" same_runs $spindle
done
check 'the plot is a picture' plots

log=$RESEAT_LOG/mill-2.jsonl
sed 's/"offset_x_mm":-0.0120/"offset_x_mm":-0.0121/' "$log" >"$work/changed.jsonl"
cmp -s "$log" "$work/changed.jsonl" && sed 's/"by":"tech-1"/"by":"tech-9"/' "$log" >"$work/changed.jsonl"
line=$(cmp "$log" "$work/changed.jsonl" | sed 's/.* line //')
check 'a changed record is refused' refuses "$work/changed.jsonl" \
    "$work/changed.jsonl:$line: damaged: reseat audit tells more"
printf '{"v":1,"seq":99,"ty' >>"$log"
check 'a line cut short is refused' refuses "$log" \
    "$log:$(($(wc -l <"$log") + 1)): damaged: reseat audit tells more"
reseat record mill-2 event --kind other >/dev/null 2>&1
check 'the runs count again where the line is sealed off' same_runs mill-2
: >"$work/empty.jsonl"
check 'an empty file has no runs' refuses "$work/empty.jsonl" \
    "$work/empty.jsonl: no run is on record"
finish
