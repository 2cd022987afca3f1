"""Plants small faults in the program, one at a time, and counts how many the tests notice.

    python validation/mutation.py --map                      what each test reaches; once, some 15 minutes
    python validation/mutation.py --room checks --count 40   forty more faults in one room
    python validation/mutation.py --again                    survivors once more, after tests were added
    python validation/mutation.py --report                   score by room, survivors
    python validation/mutation.py --sample 20 --choose COMMIT --within 45

Faults are chosen in an order that the seed makes, so a run that was broken off goes on where it was. A fault counts
as noticed when a test fails, or does not end in several times its usual time; as survived when the tests that reach
its function do not, cheapest first up to --most seconds of them. The whole suite would only notice more. A fault that
keeps the program from loading is left out of the score; one that changes nothing anybody can see is listed with the
reason in mutation_equivalent.toml, and left out, too. --sample needs no map: it finds tests by name, stops in time and
says how many faults it tried; what it does not notice is not yet a survivor.

Laws are tried uncompiled first (see mutation_rig.py for how compiled ones are kept from hiding a fault).

Why a driver of our own. mutmut 3.8 changes no function with a decorator, which is every compiled law, and its trial
run of tests/servo on its rewritten tree did not pass. cosmic-ray 8.7 copes, but starts an interpreter for each
fault and loses all compiled laws with it: 16 s each for `servo/supply.py`, whose laws have six tests of milliseconds,
and it neither drops terms and factors nor exchanges arguments.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by numpy as it is imported; see featherbench/cli.py

from mutation_choice import APART, Choice, Known
from mutation_faults import Fault, faults_of
from mutation_rig import Rig, Trial
from mutation_score import ROOMS, Results, equivalents, room_of, score

ROOT = Path(__file__).resolve().parents[1]
NOT_MAPPED = ("window",)
"""Rooms of tests that are not used."""
PLAIN = ("rotor", "plant", "servo", "linkage")
MATERIALS, OF_MATERIALS = "assembly/materials.py", "tests/assembly/test_materials.py"
"""A file with tests of milliseconds, on which a sample tries itself."""


def all_faults(package: Path) -> dict[str, Fault]:
    """Every fault that can be planted, by key."""
    files = [
        file for file in sorted(package.rglob("*.py")) if room_of(str(file.relative_to(package))) in ROOMS
    ]
    found = [one for file in files for one in faults_of(str(file.relative_to(package)), file.read_bytes())]
    return {fault.key: fault for fault in found}


def make_map(rig: Rig, folder: Path, only: list[str]) -> None:
    """Run the suite once, room by room, noting what each test reaches; only: names of maps, [] for all of them."""
    folder.mkdir(exist_ok=True)
    rooms = sorted({file.parent.name for file in (rig.tree / "tests").glob("*/test_*.py")} - set(NOT_MAPPED))
    jobs = {room: [f"tests/{room}"] for room in rooms}
    jobs |= {f"plain-{room}": [f"tests/{room}"] for room in PLAIN}
    for file in sorted((rig.tree / "validation").glob("test_*.py")):
        jobs[f"validation-{file.stem}"] = [f"validation/{file.name}"]
    if set(only) - set(jobs):
        raise SystemExit(
            f"no such map: {', '.join(sorted(set(only) - set(jobs)))}; there are {', '.join(jobs)}"
        )
    jobs = {name: tests for name, tests in jobs.items() if not only or name in only}
    environment = os.environ | {
        "PYTHONPATH": os.pathsep.join([str(rig.tree / "sim"), str(rig.tree / "validation")]),
        "MUTATION_PACKAGE": str(rig.package),
    }
    for name, tests in jobs.items():
        print(f"map {name}", flush=True)
        words = ["-q", "-p", "no:cacheprovider", "--hypothesis-seed=0", "-p", "mutation_map", *tests]
        words += [word for file in APART for word in ("--ignore", file)]
        more = {"MUTATION_MAP": str(folder / f"{name}.json")}
        if name.startswith("plain-"):
            more |= {"NUMBA_DISABLE_JIT": "1", "MUTATION_LIMIT": "3"}
        with (folder / f"{name}.txt").open("wb") as log:
            subprocess.run(
                [sys.executable, "-m", "pytest", *words], cwd=rig.tree, env=environment | more, stdout=log, stderr=log,
                check=False,
            )  # fmt: skip


def try_fault(rig: Rig, choice: Choice, fault: Fault, most: float, until: float | None = None) -> Trial:
    """Plant a fault and run round after round of tests until one notices it, or until a time of the clock."""
    source = (rig.package / fault.file).read_bytes()
    start, trial = time.monotonic(), Trial("no such test", "", 0.0)
    with rig.planted(fault.file, fault.planted(source)):
        for tests in choice.rounds(fault, most):
            cpu = 4.0 * tests.seconds + (15.0 if tests.plain else 105.0) if tests.timed else most + 5.0
            if until is not None:
                cpu = min(tests.seconds, until - time.monotonic())
                if cpu <= 1.0:
                    if trial.outcome == "no such test":
                        trial = Trial("out of time", "", 0.0)
                    break
            new = rig.trial(tests.tests, cpu, tests.plain)
            if new.outcome == "no such test" and any(
                "[" in test for test in tests.tests
            ):  # cases renamed since
                new = rig.trial(sorted({test.split("[")[0] for test in tests.tests}), cpu, tests.plain)
            if new.outcome == "out of time" and until is None and not tests.timed:
                new = Trial("not noticed", "", new.seconds)  # as far as its time went
            if new.outcome == "out of time" and until is None:
                new = Trial("noticed", "out of time", new.seconds)
            if not (new.outcome in ("no such test", "does not load") and tests.plain):
                trial = new
            if trial.outcome in ("noticed", "does not load"):
                break
    return Trial(trial.outcome, trial.by, round(time.monotonic() - start, 2))


def unsound(rig: Rig, trial: Trial, file: Path) -> bool:
    """Whether the test that noticed fails without any fault, too; asked once for each test."""
    known = json.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}
    if trial.outcome != "noticed" or ".py" not in trial.by:
        return False
    if trial.by not in known:
        known[trial.by] = rig.sound(trial.by, False)
        file.write_text(json.dumps(known), encoding="utf-8")
    return not known[trial.by]


def learn(known: Known, fault: Fault, trial: Trial) -> None:
    """Try first what noticed faults nearby."""
    if trial.outcome == "noticed" and "::" in trial.by:
        known.keen[f"{fault.file}::{fault.where}"][trial.by] += 1
        known.keen[fault.file][trial.by] += 1


def sample(rig: Rig, choice: Choice, faults: list[Fault], within: float) -> int:
    """Try faults until the time is up and say how it went; 1 if none of several was noticed, which is a broken rig.

    How many of so few are noticed is a matter of luck, so nothing else fails here but a fault that cannot be missed.
    """
    until, tally = time.monotonic() + within, Counter[str]()
    if rig.trial([OF_MATERIALS], 60.0).outcome != "not noticed":
        raise SystemExit(f"tests fail without a fault: see {rig.log}")
    sound = (rig.package / MATERIALS).read_bytes()
    with rig.planted(MATERIALS, sound.replace(b'"steel", 7850.0', b'"steel", 7.85')):
        if rig.trial([OF_MATERIALS], 60.0).outcome != "noticed":
            raise SystemExit(f"steel as light as air is not noticed: see {rig.log}")
    tried = 0
    for fault in faults:
        left = until - time.monotonic()
        if left < 3.0:
            break
        share = min(left, 2.5 * left / (len(faults) - tried))
        trial = try_fault(rig, choice, fault, 10.0, time.monotonic() + share)
        tried += 1
        tally[trial.outcome] += 1
        print(
            f"{trial.outcome:<13} {trial.seconds:5.1f} s  {fault.file}:{fault.line}  {fault.key.split('::', 1)[1]}",
            flush=True,
        )
    known = tally["noticed"] + tally["not noticed"] + tally["no such test"]
    print(f"{tried} of {len(faults)} faults tried in {within:.0f} s: {tally['noticed']} noticed of {known} decided, "
          f"{tally['out of time']} not decided in their time, {tally['does not load']} did not load")  # fmt: skip
    return 1 if known >= 6 and tally["noticed"] == 0 else 0


def main() -> int:
    """Read the words of the command and do it."""
    asked = _words()
    asked.work.mkdir(parents=True, exist_ok=True)
    os.nice(asked.nice)
    rig = Rig(ROOT, asked.work)
    if asked.map:
        make_map(rig, asked.work / "maps", asked.of)
        return 0
    faults, results, listed = all_faults(rig.package), Results(asked.work / "results.jsonl"), equivalents()
    if not asked.report:
        rig.warm()
        known = Known.read(asked.work / "maps")
        choice = Choice(rig.tree, known)
        order = sorted(faults.values(), key=lambda fault: fault.rank(asked.choose))
        if asked.sample:
            chosen = [fault for fault in order if fault.key not in listed][: asked.sample]
            return sample(rig, choice, chosen, asked.within)
        for key, kept in results.known.items():
            if key in faults:
                learn(known, faults[key], Trial(kept["outcome"], kept["by"], 0.0))
        for fault in _chosen(asked, order, results, listed):
            trial = try_fault(rig, choice, fault, asked.most)
            while unsound(rig, trial, asked.work / "sound.json"):
                print(f"fails without a fault, not used: {trial.by}", flush=True)
                choice.drop(trial.by)
                trial = try_fault(rig, choice, fault, asked.most)
            learn(known, fault, trial)
            results.add(fault, trial)
            print(f"{trial.outcome:<13} {trial.seconds:6.1f} s  {fault.key}  {trial.by}", flush=True)
    lines, left = score(results, faults, listed)
    print("\n".join(lines))
    for room, keys in left.items():
        print(f"\nsurvived in {room}:", *sorted(keys), sep="\n  ")
    return 0


def _chosen(asked: Any, order: list[Fault], results: Results, listed: dict[str, str]) -> list[Fault]:
    """The faults of this run."""
    mine = [fault for fault in order if not asked.room or room_of(fault.file) in asked.room]
    if asked.only:
        return [fault for fault in mine if asked.only in fault.key]
    if asked.again:
        lost = {
            key for key, kept in results.known.items() if kept["outcome"] in ("not noticed", "no such test")
        }
        return [fault for fault in mine if fault.key in lost - set(listed)]
    done = Counter(room_of(fault.file) for fault in mine if fault.key in results.known)
    print(f"already planted: {dict(done)}", flush=True)
    return [fault for fault in mine if fault.key not in results.known | listed][: asked.count]


def _words() -> Any:
    reader = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    reader.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "featherbench-mutation")
    reader.add_argument(
        "--map", action="store_true", help="run the suite once and note what each test reaches"
    )
    reader.add_argument("--of", action="append", default=[], metavar="MAP", help="with --map: only that one")
    reader.add_argument(
        "--report", action="store_true", help="print the score and the survivors, plant nothing"
    )
    reader.add_argument("--room", action="append", choices=ROOMS, help="only this room; may be repeated")
    reader.add_argument("--count", type=int, default=20, help="how many faults more")
    reader.add_argument("--again", action="store_true", help="try the survivors again")
    reader.add_argument("--only", metavar="TEXT", help="only faults with this in their key, done or not")
    reader.add_argument(
        "--most", type=float, default=60.0, help="seconds of tests spent on one fault at most"
    )
    reader.add_argument(
        "--sample", type=int, default=0, help="try so many faults without a map, and stop in time"
    )
    reader.add_argument("--choose", default="", help="what makes the order of faults, such as a commit")
    reader.add_argument("--within", type=float, default=45.0, help="seconds for a sample")
    reader.add_argument("--nice", type=int, default=0, help="how far to stand back for other programs")
    return reader.parse_args()


if __name__ == "__main__":
    sys.exit(main())
