"""What a mutation run has found: kept a line each, counted by room, those that change nothing left out."""

from __future__ import annotations

import json
import tomllib
from collections import Counter, defaultdict
from pathlib import Path

from mutation_faults import Fault
from mutation_rig import Trial

ROOMS = (
    "rotor",
    "plant",
    "servo",
    "linkage",
    "assembly",
    "checks",
    "sizing",
    "workshop",
    "bench",
    "aircraft",
    "studies",
    "sampling",
    "fitting",
    "exploring",
    "ranking",
    "hovering",
    "sweeping",
)
STRICT = ROOMS[:8]
GOAL = {room: 0.97 if room in STRICT else 0.93 for room in ROOMS}
EQUIVALENT = Path(__file__).with_name("mutation_equivalent.toml")


def room_of(file: str) -> str:
    """The room a file is counted in."""
    if file.startswith("sections/"):  # outlines go into the blade
        return "assembly"
    if file.startswith(("slips/", "judging/")):  # what the checks come to
        return "checks"
    return "sizing" if file.startswith("sizing/") else file.split("/")[0]


def equivalents() -> dict[str, str]:
    """Faults that change nothing, with the reason."""
    if not EQUIVALENT.is_file():
        return {}
    return dict(tomllib.loads(EQUIVALENT.read_text(encoding="utf-8"))["equivalent"])


class Results:
    """What was found so far, one JSON object a line; the last one about a fault holds."""

    def __init__(self, file: Path) -> None:
        """Read what is there."""
        self.file, self.known = file, {}
        if file.is_file():
            for line in file.read_text(encoding="utf-8").splitlines():
                kept = json.loads(line)
                self.known[kept["key"]] = kept

    def add(self, fault: Fault, trial: Trial) -> None:
        """Keep one more."""
        self.known[fault.key] = {"key": fault.key, **trial.__dict__}
        with self.file.open("a", encoding="utf-8") as file:
            file.write(json.dumps(self.known[fault.key]) + "\n")


def score(
    results: Results, faults: dict[str, Fault], listed: dict[str, str]
) -> tuple[list[str], dict[str, list[str]]]:
    """Lines of the table by room, and survivors by room."""
    count: defaultdict[str, Counter[str]] = defaultdict(Counter)
    left: defaultdict[str, list[str]] = defaultdict(list)
    gone = 0
    for key, kept in results.known.items():
        if key not in faults:
            gone += 1
            continue
        room = room_of(faults[key].file)
        outcome = "equivalent" if key in listed and kept["outcome"] != "noticed" else kept["outcome"]
        if outcome in ("not noticed", "no such test"):
            left[room].append(key)
            outcome = "survived"
        count[room][outcome] += 1
    heads = ("planted", "noticed", "survived", "equivalent", "unloadable", "score", "goal")
    lines = [f"{'room':<10}{'possible':>9}" + "".join(f"{head:>11}" for head in heads)]
    possible = Counter(room_of(fault.file) for fault in faults.values())
    total: Counter[str] = Counter()
    for room in [*ROOMS, "all"]:
        one = total if room == "all" else count[room]
        tried = one["noticed"] + one["survived"]
        share = f"{100.0 * one['noticed'] / tried:.1f} %" if tried else "-"
        goal = f"{100.0 * GOAL[room]:.0f} %" if room in GOAL else ""
        shown = (
            sum(one.values()),
            one["noticed"],
            one["survived"],
            one["equivalent"],
            one["does not load"],
            share,
            goal,
        )
        there = possible[room] if room != "all" else len(faults)
        lines.append(f"{room:<10}{there:>9}" + "".join(f"{value:>11}" for value in shown))
        total.update(one)
    if gone:
        lines.append(f"{gone} more were planted in text that has changed since")
    return lines, left
