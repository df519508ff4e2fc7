# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""A verdict from Python, by the library itself: what put_back.c asks.

    python3 verdict.py [LIBRARY [INCLUDE]]

No structure is written down here: cffi reads the headers as a C compiler hands them over, so that
a program like this fits the library whose headers it read. LIBRARY is libreseat.so.1 and INCLUDE
what the compiler looks through, unless typed.
"""

import os
import re
import subprocess
import sys

import cffi


def declarations(include):
    """What the headers declare, without what they include of the system's."""
    command = [os.environ.get('CC', 'cc'), '-E', '-D__attribute__(text)=', '-x', 'c', '-']
    if include:
        command.insert(1, '-I' + include)
    text = subprocess.run(command, input='#include <reseat/reseat.h>\n', capture_output=True,
                          text=True, check=True).stdout
    ours, kept = False, []
    for line in text.splitlines():
        marker = re.match(r'# \d+ "(.*)"', line)
        if marker:
            ours = '/reseat/' in marker[1]
        elif ours:
            kept.append(line)
    return '\n'.join(kept)


def main():
    library = sys.argv[1] if len(sys.argv) > 1 else 'libreseat.so.1'
    ffi = cffi.FFI()
    ffi.cdef(declarations(sys.argv[2] if len(sys.argv) > 2 else ''))
    reseat = ffi.dlopen(library)

    seat = ffi.new('reseat_seat *', {'kind': reseat.RESEAT_SEAT_KEYS, 'keys': 2})
    question = ffi.new('reseat_question *')
    answer = ffi.new('reseat_answer *')
    status = reseat.reseat_verdict_question({'x': 0.012, 'y': -0.005}, 0, seat, question)
    if status == reseat.RESEAT_OK:
        question.limit_mm = 0.01
        status = reseat.reseat_verdict_decide(question, answer)
    if status != reseat.RESEAT_OK:
        sys.exit(ffi.string(reseat.reseat_status_text(status)).decode())
    for at in answer.seats[0:answer.count]:
        print(f'seat {at.seat_deg:3.0f}: off by X {at.error_mm.x:+.4f} Y {at.error_mm.y:+.4f} mm')
    print('OK' if answer.ok else 'RECALIBRATE')


if __name__ == '__main__':
    main()
