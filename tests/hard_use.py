"""Hard use by one command: `python tests/hard_use.py`, some hours; `--share 0.01` for a hundredth of it.

Damaged scenarios and readings (the properties of tests/scenario/test_fuzz.py and tests/bench/test_log_fuzz.py), odd
builds predicted by the program with all its files, and predictions killed and interrupted at any moment. What falls is
kept whole in a folder: the files of the case, and in said.txt what was wrong with it. It can be stopped at any time,
and says what was tried until then. 1 if anything fell.
"""

import argparse
import contextlib
import importlib
import json
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from pathlib import Path

from hypothesis import seed, settings

HERE = Path(__file__).parent
PORTION = 100
"""Examples of a property before the next one has its turn; hypothesis shrinks what falls."""
ENOUGH = 5
"""Falls of one kind, often the same one, after which it is left."""
SAID_EVERY = {True: 1.0, False: 60.0}
"""s between two lines of progress, on a terminal and in a file."""


class Count:
    """What was tried of one kind, of how many, and what fell."""

    def __init__(self, kind, wanted, kept):
        self.kind, self.wanted, self.kept = kind, wanted, kept
        self.tried = self.fell = 0
        self._said = time.monotonic()

    def __str__(self):
        left = ", left after that many falls" if self.fell >= ENOUGH else ""
        return f"{self.kind}: {self.tried:,} of {self.wanted:,} tried, {self.fell} fell{left}"

    @property
    def done(self):
        return self.tried >= self.wanted or self.fell >= ENOUGH

    def one_more(self):
        self.tried += 1
        terminal = sys.stderr.isatty()
        if time.monotonic() - self._said > SAID_EVERY[terminal]:
            self._said = time.monotonic()
            print(
                f"\r{self}" if terminal else self, end="" if terminal else "\n", file=sys.stderr, flush=True
            )

    @contextlib.contextmanager
    def watched(self, name):
        """A folder for one case, kept whole with what was wrong if it falls."""
        with tempfile.TemporaryDirectory() as folder:
            try:
                yield Path(folder)
            except Exception:
                self.fell += 1
                place = self.kept / f"{self.kind}-{name}"
                shutil.copytree(folder, place, dirs_exist_ok=True)
                (place / "said.txt").write_text(traceback.format_exc(), encoding="utf-8")
                print(f"\nFELL, kept in {place}", file=sys.stderr, flush=True)


def properties(count, began, *tests):
    """Properties by turns, each turn from a seed of its own."""
    for number in range(began, began + count.wanted):
        if count.done:
            return
        test = tests[number % len(tests)]
        body = test.hypothesis.inner_test

        def counted(*given, body=body, **named):
            count.one_more()
            return body(*given, **named)

        test.hypothesis.inner_test = counted
        try:
            with count.watched(f"{test.__name__}-{number}") as folder:
                seed(number)(test)(
                    **({"tmp_path": folder} if "tmp_path" in body.__code__.co_varnames else {})
                )
        finally:
            test.hypothesis.inner_test = body


def scenarios(count, began):
    """Damaged scenario files and settings, read."""
    fuzz = importlib.import_module("scenario.test_fuzz")
    properties(
        count,
        began,
        fuzz.test_random_bytes,
        fuzz.test_random_damage_to_a_valid_file,
        fuzz.test_odd_values_at_any_key,
        fuzz.test_any_setting,
    )


def readings(count, began):
    """Damaged logs and files of readings, read."""
    fuzz = importlib.import_module("bench.test_log_fuzz")
    properties(count, began, fuzz.test_edited_logs, fuzz.test_any_bytes, fuzz.test_any_text)


def predictions(count, began):
    """Odd builds by the whole program, every eighth with a page and ranges: finite and adding up, or refused."""
    import test_hard_use
    from forked import forked

    for number in range(began, began + count.wanted):
        if count.done:
            return
        file, changes = test_hard_use.odd_build(number)
        with count.watched(str(number)) as folder:
            files = ["--json", folder / "a.json", "--csv", folder / "a.csv"]
            files += ["--report", folder / "a.html", "--runs", "16"] if number % 8 == 0 else ["--runs", "0"]
            words = [word for key, value in changes.items() for word in ("--set", f"{key}={value}")]
            (folder / "words.txt").write_text(
                " ".join(map(repr, ["predict", file, *words])), encoding="utf-8"
            )
            ended = forked(["predict", file, *words, *files])
            said = f"{ended.returncode}: {ended.stderr}"
            refused = test_hard_use.tried(file, changes)
            assert ended.returncode == (2 if refused else 0), said
            assert "Traceback" not in said, said
            if refused:
                assert ended.stderr.strip(), "refused without a word"
                assert not (folder / "a.json").exists(), said
            else:
                json.loads((folder / "a.json").read_text(encoding="utf-8"), parse_constant=no_number)
        count.one_more()


def no_number(text):
    """What JSON does not know and python writes all the same."""
    raise AssertionError(f"{text} in a file of results")


def stops(count, began, stop):
    """Predictions with all their files, stopped at any moment."""
    import test_hard_use

    with tempfile.TemporaryDirectory() as folder:
        _, _, long = test_hard_use.ended_by(None, 0.0, Path(folder))
    ways = (test_hard_use.ended_by, test_hard_use.ended_from_the_start_by)
    for number in range(began, began + count.wanted):
        if count.done:
            return
        moment = random.Random(number).uniform(0.0, 1.1 * long)
        with count.watched(str(number)) as folder:
            test_hard_use.stopped(stop, moment, folder, ways[number % 2])
        count.one_more()


def kills(count, began):
    """Stopped without warning."""
    stops(count, began, signal.SIGKILL)


def interrupts(count, began):
    """Stopped by Ctrl-C."""
    stops(count, began, signal.SIGINT)


KINDS = {scenarios: 100_000, readings: 20_000, predictions: 2_000, kills: 100, interrupts: 200}


def main():
    """Each kind in its turn; what was tried is said at the end, whatever the end is."""
    names = [kind.__name__ for kind in KINDS]
    words = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    words.add_argument("--share", type=float, default=1.0, help="of the long run, 0.01 for a hundredth")
    words.add_argument("--only", nargs="+", choices=names, default=names, help="kinds to try")
    words.add_argument("--seed", type=int, default=int(time.time()), help="where to begin; by the clock")
    words.add_argument("--kept", type=Path, default=HERE.parent / ".hard_use", help="folder for what falls")
    asked = words.parse_args()
    sys.path[:0] = [str(HERE)]
    settings.register_profile("portion", deadline=None, max_examples=PORTION // 4, database=None)
    settings.load_profile("portion")
    print(f"--seed {asked.seed}", file=sys.stderr)
    counts = []
    status = 0
    try:
        for kind, long in KINDS.items():
            if kind.__name__ in asked.only:
                counts.append(Count(kind.__name__, max(1, round(asked.share * long)), asked.kept))
                kind(counts[-1], asked.seed)
    except KeyboardInterrupt:
        status = 130
    print("", "stopped; until then" if status else "all done", *counts, sep="\n", flush=True)
    return status or int(any(count.fell for count in counts))


if __name__ == "__main__":
    sys.exit(main())
