# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""The log of a spindle in Python.

    python3 reseat_log.py LOG.jsonl [PLOT.png]

prints the runs that count, and draws how far each found the ball off the spindle axis. `records`
needs the standard library alone; `runs` makes a pandas data frame of what it returns.
"""

import datetime
import hashlib
import json
import math
import re
import sys

SEALED = re.compile(rb'(.*),"seal":"([0-9a-f]{64})"\}', re.DOTALL)
TAKEN_BACK = ('run', 'reseat', 'event', 'verify', 'policy', 'gauge')  # what a void can name
TIMES = ('at', 'recorded_at', 'gauge_due_at')


def sound(path):
    """The records whose seals hold, oldest first. ValueError where a line is neither sound nor
    sealed off by a repair that stands below it."""
    found, above, bad = [], b'', []
    offset = 0
    with open(path, 'rb') as file:
        for number, whole in enumerate(file, 1):
            parts = SEALED.fullmatch(whole.rstrip(b'\n'))
            holds = parts and hashlib.sha256(above + parts[1]).hexdigest().encode() == parts[2]
            if parts:
                above = parts[2]
            if holds and whole.endswith(b'\n'):
                record = json.loads(whole)
                if record['type'] == 'repair':
                    bad = [line for line in bad if not within(record, line, path)]
                found.append(record)
            else:
                bad.append((number, offset, len(whole)))
            offset += len(whole)
    if bad:
        raise ValueError(f'{path}:{bad[0][0]}: damaged: reseat audit tells more')
    return found


def within(repair, line, path):
    """Whether a repair seals a bad line off, and the bytes are still those that it saw."""
    begin, length = repair['offset_bytes'], repair['length_bytes']
    if not begin <= line[1] < begin + length:
        return False
    with open(path, 'rb') as file:
        file.seek(begin)
        return hashlib.sha256(file.read(length)).hexdigest() == repair['sha256']


def records(path):
    """The records that were not taken back, in the order of time, their times as datetime."""
    found = sound(path)
    void = set()
    for record in found:
        if record['type'] == 'void':
            void.update(range(record['voids'], record.get('voids_to', record['voids']) + 1))
    kept = [r for r in found if not (r['type'] in TAKEN_BACK and r['seq'] in void)]
    for record in kept:
        for name in TIMES:
            if name in record:
                record[name] = datetime.datetime.fromisoformat(record[name].replace('Z', '+00:00'))
    return sorted(kept, key=lambda r: (r.get('at', r['recorded_at']), r['seq']))


def runs(path):
    """The runs as a data frame, a column a field, indexed by their time."""
    import pandas

    frame = pandas.DataFrame([r for r in records(path) if r['type'] == 'run'])
    if frame.empty:
        return frame
    frame['tip'] = frame['tip'].fillna('main') if 'tip' in frame else 'main'
    frame['length_mm'] = [math.hypot(x, y) for x, y in zip(frame.offset_x_mm, frame.offset_y_mm)]
    return frame.set_index('at')


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__.split('\n\n')[1].strip())
    try:
        frame = runs(sys.argv[1])
    except (OSError, ValueError) as error:
        sys.exit(str(error))
    if frame.empty:
        sys.exit(f'{sys.argv[1]}: no run is on record')
    shown = ['seq', 'probe', 'tip', 'seat_deg', 'offset_x_mm', 'offset_y_mm', 'length_mm']
    print(frame[shown].to_string(float_format='%.4f'))
    if len(sys.argv) == 3:
        probes = frame.pivot_table('length_mm', 'at', ['probe', 'tip'])
        axes = probes.plot(style='o-', xlabel='', ylabel='length of the offset, mm', grid=True)
        axes.set_ylim(0, 1.1 * frame.length_mm.max())
        axes.figure.savefig(sys.argv[2])


if __name__ == '__main__':
    main()
