# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""Logs of a simulated shop, written as the program would: sealed line by line."""

import datetime
import hashlib
import json
import os
import random

HOSTILE = ('</title></svg></table><script>document.title="taken"</script>'
           '<img src=http://example.org/x onerror=alert(1)>&lt;b&gt; "\' \u202e <style>*{display:none}</style>')
BEGIN = datetime.datetime(2025, 5, 5, 6, 0, tzinfo=datetime.timezone.utc)


def time(days):
    return (BEGIN + datetime.timedelta(days=days)).strftime('%Y-%m-%dT%H:%M:%SZ')


class Log:
    """DIR/NAME/NAME.jsonl; its records are given as types and fields. Each log is alone in its
    folder: a probe that is in two at once is told of."""

    def __init__(self, folder, name):
        os.makedirs(os.path.join(folder, name), exist_ok=True)
        self.path = os.path.join(folder, name, name + '.jsonl')
        self.lines, self.seal, self.day = [], '', 0.0
        self.add('log', spindle=name, format='reseat-log')

    def add(self, sort, **fields):
        record = {'v': 1, 'seq': len(self.lines), 'type': sort, 'recorded_at': time(self.day)}
        text = json.dumps({**record, **fields}, ensure_ascii=False, separators=(',', ':'))[:-1]
        self.seal = hashlib.sha256((self.seal + text).encode()).hexdigest()
        self.lines.append(f'{text},"seal":"{self.seal}"}}\n')

    def policy(self, **fields):
        self.add('policy', **{'limit_mm': 0.008, 'seats': 'keys:2', 'u_seat_mm': 0.0006,
                              'u_spindle_mm': 0.0004, 'lobing_mm': 0.0008, **fields})

    def run(self, x, y, days=14.0, **fields):
        self.day += days
        self.add('run', **{'probe': 'P1', 'at': time(self.day), 'seat_deg': 0.0,
                           'offset_x_mm': round(x, 5), 'offset_y_mm': round(y, 5),
                           'offset_u_mm': 0.0004, **fields})

    def runs(self, count, x=0.002, y=-0.001, seed=17, **fields):
        source = random.Random(seed)
        for _ in range(count):
            self.run(source.gauss(x, 0.0004), source.gauss(y, 0.0004), **fields)

    def fact(self, sort, **fields):
        self.day += 1
        self.add(sort, at=time(self.day), **fields)

    def write(self):
        with open(self.path, 'w', encoding='utf-8', newline='') as file:
            file.writelines(self.lines)


def many_baselines(log):
    for i in range(8):
        log.runs(6 if i % 3 else 9, x=0.002 + 0.0005 * i, seed=i)
        log.fact('event', kind=('stylus-change', 'collision', 'service')[i % 3])
    log.runs(3)


def hostile(log):
    log.run(0.002, -0.001, probe=HOSTILE[:40], note=HOSTILE, by=HOSTILE[:50])
    log.fact('reseat', probe=HOSTILE[:40], seat_deg=None, why=HOSTILE)
    log.add('void', voids=3, why=HOSTILE)
    log.fact('reseat', probe=HOSTILE[:40], seat_deg=None, why=HOSTILE[:60])


def lobed(log):
    directions = [15.0 * i for i in range(24)]
    radii = [round(2.995 + 0.0009 * (-1) ** (i // 4), 5) for i in range(24)]
    log.runs(9)
    log.run(0.0021, -0.0011, dirs_deg=directions, radii_mm=radii)
    log.fact('reseat', probe='P1', seat_deg=90.0, within_deg=20.0)


def three_tips(log):
    """Two probes, one with two tips, each with runs of its own and a radius that varies."""
    for i in range(9):
        log.run(0.002, -0.001 + 0.0001 * (i % 3), radius_mm=2.995 + 0.0001 * (i % 2))
        log.run(0.03 + 0.0005 * i, 0.001 * (i % 2), days=0, probe='P2', stylus_length_mm=50.0)
        log.run(-0.02, 0.003, days=0, probe='P2', tip='left')


def unseated(log):
    log.runs(9, seat_deg=None)
    log.fact('reseat', probe='P1', seat_deg=30.0)


def drifting(log, count):
    """Steps far beyond the scatter, so that most runs are flagged."""
    source = random.Random(5)
    for i in range(count):
        log.run(0.002 + 0.01 * i / count + source.gauss(0, 0.0001), -0.001, days=0.05)


def write_shop(folder):
    """Sixty spindles with a probe each, every third with a collision: the folder of their logs."""
    os.makedirs(folder, exist_ok=True)
    for i in range(60):
        name = f'hmc-{i}'
        log = Log(folder, name)
        log.path = os.path.join(folder, name + '.jsonl')
        log.policy()
        log.runs(12, seed=i, probe=f'P{i}')
        if i % 3 == 0:
            log.fact('event', kind='collision')
        log.write()
        os.rmdir(os.path.join(folder, name))
    return folder


def write_all(folder):
    """name: (what it holds, policy or None, options of the report)"""
    def gone(log):
        log.runs(9)
        log.fact('reseat', probe='P1', seat_deg=None)

    logs = {
        'runs-0': (lambda log: None, {}, []),
        'runs-1': (lambda log: log.runs(1), {}, []),
        'runs-7': (lambda log: log.runs(7), {}, []),
        'runs-8': (lambda log: log.runs(8), {}, []),
        'runs-1000': (lambda log: log.runs(1000, days=0.5), {}, []),
        'runs-10000': (lambda log: log.runs(10000, days=0.05), {}, []),
        'flagged-10000': (lambda log: drifting(log, 10000), {}, []),
        'many-baselines': (many_baselines, {}, []),
        'hostile': (hostile, {}, []),
        'lobed': (lobed, {}, []),
        'three-tips': (three_tips, {'reseats': 'changer'}, []),
        'unseated': (unseated, {}, []),
        'equal': (lambda log: [log.run(0.002, -0.001) for _ in range(12)], {}, []),
        'same-day': (lambda log: log.runs(9, days=0.02), {}, []),
        'no-limit': (lambda log: log.runs(12), None, []),
        'inch': (gone, {}, ['--unit', 'in']),
        'micrometre': (gone, {'seats': 'keys:3'}, ['--unit', 'um']),
        'any-seat': (gone, {'seats': 'any'}, []),
        'many-keys': (gone, {'seats': 'keys:24'}, []),
        'tiny-limit': (gone, {'limit_mm': 0.00002}, []),
        'huge-limit': (gone, {'limit_mm': 25.0}, []),
        'large-offset': (lambda log: log.runs(9, x=31.4159, y=-12.5), {}, []),
    }
    for name, (fill, policy, _) in logs.items():
        log = Log(folder, name)
        if policy is not None:
            log.policy(**policy)
        fill(log)
        log.write()
    return {name: options for name, (_, _, options) in logs.items()}
