"""Processes of their own that need not load everything anew: each is forked from one that has.

A fresh interpreter spends two seconds on loading numpy, scipy, numba and the compiled laws before it does what is asked
of it. Here one server a test process loads those and nothing else: no typer, rich or matplotlib, which read the
environment as they are imported. The two builds that most are asked about are computed there, too, and the ranges of
the first. What is asked for then runs in a fork with arguments, environment, folder and streams of its own. Where
loading or computing itself is the question a test starts an interpreter.
"""

import atexit
import contextlib
import functools
import json
import os
import pty
import select
import subprocess
import sys
import tempfile
import traceback
from pathlib import Path
from typing import NamedTuple

PROGRAM = "from featherbench.cli import main\nmain()"
PATIENCE = 300.0
"""s that anything may take."""
ROOT = Path(__file__).parents[1]
RANGES = 32
"""As often as commands repeat a run when nobody says; with another number each fork would sample for itself."""


class Ended(NamedTuple):
    """How it ended, and what it said where."""

    returncode: int
    stdout: str
    stderr: str


def forked(words=(), *, code=PROGRAM, folder=ROOT, env=None, encoding="utf-8"):
    """Run the program, or another code, with these words; what it printed went into files, not to a terminal."""
    with tempfile.TemporaryDirectory() as own:
        out, err = Path(own) / "out", Path(own) / "err"
        _ask(words, code, folder, env, ["/dev/null", str(out), str(err)])
        (answer,) = _server().stdout.readline().split()
        return Ended(int(answer), *(path.read_bytes().decode(encoding) for path in (out, err)))


def forked_on_terminal(words, *, folder=ROOT, env=None):
    """Exit status, and what a terminal is sent."""
    leader, follower = pty.openpty()
    _ask(words, PROGRAM, folder, env, [os.ttyname(follower)] * 3)
    sent, answer = b"", b""
    server = _server().stdout
    while not answer:
        ready, _, _ = select.select([leader, server], [], [], PATIENCE)
        assert ready, "nothing comes any more"
        if leader in ready:
            sent += os.read(leader, 1 << 16)
        elif server in ready:
            answer = server.readline()
    os.close(follower)
    with contextlib.suppress(OSError):  # the other end is closed
        while piece := os.read(leader, 1 << 16):
            sent += piece
    os.close(leader)
    return int(answer), sent.decode()


def _ask(words, code, folder, env, streams):
    known = dict(os.environ) if env is None else dict(env)
    asked = [list(map(str, words)), code, str(folder), known, streams]
    _server().stdin.write(json.dumps(asked).encode() + b"\n")
    _server().stdin.flush()


@functools.cache
def _server():
    running = subprocess.Popen(
        [sys.executable, "-P", __file__],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=ROOT,
        start_new_session=True,  # Ctrl-C is for who asks, and it ends with them
    )
    atexit.register(_stop, running)
    return running


def _stop(running):
    running.stdin.close()
    running.wait(PATIENCE)
    running.stdout.close()


def _serve():
    """Load, then fork for each line that comes."""
    from featherbench import studies
    from featherbench.sampling import assumptions, sampled
    from featherbench.scenario import read

    if "NUMBA_DISABLE_JIT" not in os.environ:  # the compiled laws are loaded as they are called
        sys.path.append(str(Path(__file__).parent))
        from once import remembering

        sys.path.pop()
        for module, name, remembered in remembering():
            setattr(module, name, remembered)
        plain, weighted = (read(f"scenarios/survey-3kg/{name}.toml") for name in ("plain", "weighted"))
        for run in (studies.predict(plain), *studies.compare(plain, weighted).runs):
            assumptions.assumptions_that_matter(run)
        sampled.sampled([studies.predict(plain)], RANGES, seed=0)
    for line in sys.stdin.buffer:
        child = os.fork()
        if child == 0:
            _become(*json.loads(line))
        _, status = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")
        sys.stdout.flush()


def _become(words, code, folder, env, streams):
    """What was asked for, in this process; never returns."""
    os.environ.clear()
    os.environ.update(env)
    os.chdir(folder)
    for end, path in enumerate(streams):
        opened = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOCTTY)
        os.dup2(opened, end)
        os.close(opened)
    encoding, _, errors = os.environ.get("PYTHONIOENCODING", "utf-8").partition(":")
    for name, end, mode in (("stdin", 0, "r"), ("stdout", 1, "w"), ("stderr", 2, "w")):
        stream = open(end, mode, encoding=encoding, errors=errors or "backslashreplace", closefd=False)  # noqa: SIM115
        setattr(sys, name, stream)
        setattr(sys, f"__{name}__", stream)
    sys.argv = ["featherbench", *words]
    status = 0
    try:
        exec(code, {"__name__": "__main__"})
    except SystemExit as ended:
        status = ended.code if isinstance(ended.code, int) else 0 if ended.code is None else 1
    except BaseException:
        traceback.print_exc()
        status = 1
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError):
            stream.flush()
    os._exit(status)


if __name__ == "__main__":
    _serve()
