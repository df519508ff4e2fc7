# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""python3 model.py PROGRAM PAGE: the example and the formulas of reseat-model(7), computed here from
what the page says alone, are what the page prints and what the program answers."""

import json
import math
import re
import subprocess
import sys

program, page_name = sys.argv[1:]
page = open(page_name, encoding='utf-8').read().replace('\\-', '-')
results = []


def check(name, good, detail=''):
    results.append(good)
    print(('ok' if good else 'not ok'), len(results), '-', name)
    if not good and detail != '':
        print('#', str(detail).replace('\n', '\n# '))


def ask(*words):
    said = subprocess.run([program, *words, '--json'], capture_output=True, check=False)
    return json.loads(said.stdout)


def phi(z):
    return math.erfc(-z / math.sqrt(2)) / 2


def turned(x, y, deg):
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return c * x - s * y, s * x + c * y


def disc(ex, ey, along, across, limit):
    """The chance within the limit, by strips across e: for scatter alike along and across it."""
    mean, strips = math.hypot(ex, ey), 20000
    total = 0
    for i in range(strips):
        x = limit * math.cos(math.pi * (i + 0.5) / strips)
        half = math.sqrt(limit * limit - x * x)
        inside = phi(half / across) - phi(-half / across)
        density = math.exp(-((x - mean) / along) ** 2 / 2) / (along * math.sqrt(2 * math.pi))
        total += inside * density * half * math.pi / strips
    return total


def says(name, text):
    check(name + ': ' + text, text in page)


# The block of the example is what the program prints.
block = re.search(r'\.Bd -literal\n\$ (reseat .*)\n((?:.+\n)+?)\.Ed', page)
shown = subprocess.run(['sh', '-c', block[1].replace('reseat', program, 1)], capture_output=True,
                       text=True, check=False).stdout
check('the example prints what the page shows', shown == block[2], shown)

# The example by hand.
run, seat, touch, spindle, turn = 0.001, 0.002, 0.0005, 0.002, math.radians(0.2)
ex, ey = 2 * 0.012, 2 * -0.005
length = math.hypot(ex, ey)
variance = run ** 2 + 2 * seat ** 2 + touch ** 2 + 4 * spindle ** 2
u = math.sqrt(variance)
says('error', f'({ex:.3f}, {ey:.3f})')
says('its length', f'{length:.3f} long')
says('variance', f'= {variance:.8f} mm^2')
says('its root', f'= {u:.6f} mm')
low, high = (-0.04 - length - 0.003) / u, (0.04 - length - 0.003) / u
says('bounds', f'Phi({high:.3f}) - Phi({low:.2f})')
surface = phi(high) - phi(low)
says('chance of a surface', f'= {surface:.4f}')
round_all = disc(ex, ey, u, math.hypot(u, math.sqrt(2) * length / 2 * turn), 0.04)
says('chance of the disc', f'{round_all:.4f}, and above')
kept = run ** 2 + touch ** 2 + 2 * seat ** 2
says('variance unturned', f'{kept:.8f}')
asked = ('check', '--offset', '0.012,-0.005', '--seat', 'keys:2')
answer = ask(*asked, '--limit', '0.04')
check('the program answers the chance by hand to 1e-12',
      abs(answer['worst']['chance_within'] - surface) < 1e-12, answer['worst'])
unturned = ask(*asked, '--limit', '0.008')['seats'][0]['chance_within']
check('and of the disc unturned, all but u_turn',
      abs(unturned - (1 - math.exp(-0.008 ** 2 / (2 * kept)))) < 1e-4)
check('and with u_turn', abs(unturned - disc(0, 0, math.sqrt(kept), math.hypot(
    math.sqrt(kept), math.sqrt(2) * length / 2 * turn), 0.008)) < 1e-9, unturned)
says('u_turn', f'u_turn of {math.sqrt(2) * length / 2 * turn:.5f} mm')
says('verdict', 'the verdict is OK')
check('the program says the same', answer['verdict'] == 'OK')

# The formulas at another turn, with a part that stays and another offset in use.
o, a, used, deg = (0.0121, -0.0047), (0.0021, 0.0013), (0.0119, -0.0049), 73.0
q = o[0] - a[0], o[1] - a[1]
h = math.radians(deg) / 2
e = (used[0] - o[0] + 2 * math.sin(h) * (q[0] * math.sin(h) + q[1] * math.cos(h)),
     used[1] - o[1] + 2 * math.sin(h) * (-q[0] * math.cos(h) + q[1] * math.sin(h)))
r = turned(*q, deg)
check('both forms of the error agree',
      math.hypot(used[0] - o[0] + q[0] - r[0] - e[0], used[1] - o[1] + q[1] - r[1] - e[1]) < 1e-15)
answer = ask('check', '--offset', f'{o[0]},{o[1]}', '--spindle-part', f'{a[0]},{a[1]}', '--in-use',
             f'{used[0]},{used[1]}', '--seat', str(deg), '--limit', '0.02')
error = answer['worst']['error_mm']
check('the error at a turn', math.hypot(error[0] - e[0], error[1] - e[1]) < 1e-15, error)
terms = {term['source']: term['u_mm'] for term in answer['budget']}
across = math.sqrt(2) * math.hypot(*q) * turn
for name, value in (('u_run', run), ('u_seat', math.sqrt(2) * seat), ('u_touch', touch),
                    ('u_spindle', 2 * math.sin(h) * 0.0002), ('u_turn', across), ('u_drift', 0),
                    ('lobing', 0.003 * math.sin(math.radians(min(1.5 * deg, 90))))):
    check('the term ' + name, abs(terms[name] - value) < 1e-15, terms[name])

# Closed forms where nothing is known of the turn.
answer = ask('check', '--offset', '0.012,-0.005', '--seat', 'any', '--limit', '0.01')
size = math.hypot(0.012, -0.005)
for key, value in (('mean_mm', 4 * size / math.pi), ('rms_mm', math.sqrt(2) * size),
                   ('p95_mm', 2 * size * math.sin(math.radians(85.5))),
                   ('seats_within', 2 / math.pi * math.asin(0.01 / (2 * size)))):
    check('of any turn, ' + key, abs(answer['any'][key] - value) < 1e-14, answer['any'][key])
check('the turn that uses up the limit', abs(answer['geometry']['allowed_turn_deg'] - math.degrees(
    2 * math.asin(0.01 / (2 * size)))) < 1e-11)
check('the offset that half a turn cannot spoil',
      abs(answer['geometry']['allowed_offset_mm'] - 0.005) < 1e-16)

# Half a turn of the spindle.
now = ask('find-seat', '--offset', '0.012,-0.005', '--at-0', '120.0121,79.9948', '--at-180',
          '119.9881,80.0052', '--reading-u', '0.002')
check('half a turn of the spindle', math.hypot(now['offset_now_mm'][0] + 0.0120,
                                               now['offset_now_mm'][1] - 0.0052) < 1e-12, now)

print(f'1..{len(results)}')
sys.exit(0 if all(results) else 1)
