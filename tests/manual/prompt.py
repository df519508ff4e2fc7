# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""prompt.py COMPLETION: keys typed at the prompt of a bash that has the completion.

In place of the program stands a function that prints its arguments, one in <> each. Reports by the
Test Anything Protocol.
"""

import os
import pty
import select
import sys
import tempfile
import time

COMPLETION = os.path.abspath(sys.argv[1])
START = r"""
bind 'set bell-style none'; bind 'set enable-bracketed-paste off'; bind 'set show-all-if-ambiguous off'
reseat() { printf '<%s>' "$@"; printf '.\n'; }
PS1='READY>'; cd "$HOME"
"""
# What is typed, \t for the key, and the arguments that come of it.
CASES = [
    ("a command", "reseat find\t", ["find-seat"]),
    ("an option of the command", "reseat check --conf\t", ["check", "--confidence"]),
    ("a value", "reseat reduce --gauge sp\t", ["reduce", "--gauge", "sphere"]),
    ("a value after an equals sign", "reseat reduce --gauge=sp\t", ["reduce", "--gauge=sphere"]),
    ("a spindle", "reseat check --log logs hm\t", ["check", "--log", "logs", "hmc-1"]),
    ("a spindle of a folder completed too", "reseat check --log 'my \t hm\t",
     ["check", "--log", "my logs/", "hmc-2"]),
    ("a file with blanks in its name", "reseat reduce ring\t", ["reduce", "ring of 50.csv"]),
    ("a file that would run something", "reseat reduce \\$\\(\t", ["reduce", "$(touch ran).csv"]),
    ("a quoted file", "reseat reduce 'ring\t", ["reduce", "ring of 50.csv"]),
    ("a file after an equals sign", "reseat find-seat --then=ring\t",
     ["find-seat", "--then=ring of 50.csv"]),
    ("the page of a report", "reseat report hmc-1 -o pag\t", ["report", "hmc-1", "-o", "page.html"]),
    ("nothing where nothing is known", "reseat check --limit ri\t", ["check", "--limit", "ri"]),
]


def read_until(master, mark, seconds=20):
    """What comes up to the mark; all that came if the mark does not."""
    got = b""
    end = time.monotonic() + seconds
    while mark not in got and time.monotonic() < end:
        if select.select([master], [], [], 0.1)[0]:
            got += os.read(master, 4096)
    return got


def make_home(home):
    os.mkdir(home + "/logs")
    os.mkdir(home + "/my logs")
    for name in ("logs/hmc-1.jsonl", "my logs/hmc-2.jsonl", "ring of 50.csv",
                 "$(touch ran).csv", "page.html"):
        open(home + "/" + name, "w", encoding="utf-8").close()


def start(home):
    pid, master = pty.fork()
    if pid == 0:
        os.execvpe("bash", ["bash", "--norc", "--noprofile", "-i"],
                   {"PATH": os.environ["PATH"], "HOME": home, "TERM": "dumb", "LC_ALL": "C",
                    "INPUTRC": "/dev/null", "PS1": "", "COLUMNS": "500"})
    setup = home + "/start.sh"
    with open(setup, "w", encoding="utf-8") as script:
        script.write(START + ". '%s'\n" % COMPLETION)
    os.write(master, b". '%s'\n" % setup.encode())
    read_until(master, b"READY>")
    return pid, master


def terminals():
    """Whether there are pseudo-terminals here: a bare chroot has none."""
    try:
        for end in pty.openpty():
            os.close(end)
    except OSError:
        return False
    return True


def main():
    if not terminals():
        print("1..0 # SKIP there are no pseudo-terminals")
        return 0
    failed = 0
    with tempfile.TemporaryDirectory() as home:
        make_home(home)
        pid, master = start(home)
        for number, (name, keys, expected) in enumerate(CASES, 1):
            wanted = "".join("<%s>" % word for word in expected) + "."
            os.write(master, keys.encode() + b"\n")
            got = read_until(master, b".\r\nREADY>").decode(errors="replace")
            right = "\n" + wanted + "\r\n" in got
            failed += not right
            print("%s %d - %s" % ("ok" if right else "not ok", number, name))
            if not right:
                print("typed %r, expected %s, got %r" % (keys, wanted, got), file=sys.stderr)
        os.write(master, b"exit\n")
        os.waitpid(pid, 0)
        ran = os.path.exists(home + "/ran")
        print("%s %d - nothing was run" % ("not ok" if ran else "ok", len(CASES) + 1))
        print("1..%d" % (len(CASES) + 1))
    return 1 if failed or ran else 0


sys.exit(main())
