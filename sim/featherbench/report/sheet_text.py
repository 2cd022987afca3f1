"""What size found: in words, as a table of alternatives, and as a document for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from featherbench.checks import Verdict, judge, lacking, verdict_text, worst_first
from featherbench.checks.judgement import RUNS_OUT
from featherbench.plain_text import plain
from featherbench.render.columns import Column
from featherbench.render.document import heading, plain_data
from featherbench.report.tabled import sheet_of
from featherbench.views.bench_data import run_data
from featherbench.views.first_lines import of_sizing
from featherbench.views.numerals import quantity, row_texts, unit_of
from featherbench.views.view import Table
from featherbench.workshop.title_block import cut_list, tolerance_words

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.checks import Check
    from featherbench.studies.sizing import Sizing

TARGET_KINDS = {"compensation": "ratio", "seat_ratio": "ratio", "rod_force": "force"}
MOST = 8
"""Alternatives that are shown."""


def size_answer(found: Sizing, checks: Sequence[Check], system: str) -> list[str]:
    """Sentences: what to make, what it reaches and leaves, what it adds and does to the rod's force."""
    best, kind = found.best, TARGET_KINDS[found.quantity]
    name = found.quantity.replace("_", " ")
    (target, got, left), unit, _ = row_texts([found.target, best.achieved, best.residue], kind, system)
    reached = "reaches" if best.reached else "CANNOT MEET the target, it reaches"
    force = max(found.run.value("rod_force_push"), found.run.value("rod_force_pull"))
    return [
        f"{_make(found, checks)} It {reached} a {name} of {got} {unit}".rstrip()
        + f", {left.lstrip('-')} {unit}".rstrip()
        + f" {'over' if best.residue < 0.0 else 'short of'} the {target} {unit}".rstrip()
        + " asked for.",
        f"It adds {quantity(best.mass, 'mass', system)} and {quantity(best.load, 'force', system)} of centrifugal load "
        f"to each blade; the largest force on the rod is then {quantity(force, 'force', system)}.",
    ]


def _make(found: Sizing, checks: Sequence[Check]) -> str:
    """ "Make:" only of what holds; of anything else why not."""
    judged = judge(checks, found.run)
    why = [judged.reasons] if judged.stop else []
    if judged.runs_out:
        why.append(RUNS_OUT)
    fitted = found.best.route == "standard"
    if why:
        return f"Do not {'fit' if fitted else 'make'}: {found.best.words}. {'; '.join(why)}.".replace(
            ". released", ". Released"
        )
    return f"{'Fit' if fitted else 'Make'}: {found.best.words}."


def make_heading(found: Sizing, checks: Sequence[Check]) -> str:
    """Over the list of pieces."""
    judged = judge(checks, found.run)
    return "Not to be made as it is" if judged.stop or judged.runs_out else "To make"


def print_size(
    found: Sizing,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    console: Console,
    verbose: bool = False,
) -> None:
    """Print what has to be read first, the answer, the alternatives, the cut list, bad checks, notes, cautions."""
    from featherbench.render.printing import (
        print_cautions,
        print_first,
        print_heading,
        print_list,
        print_table,
        say,
    )

    print_first(console, of_sizing(found, checks))
    say(console, plain(found.plain.title), "bold")
    for sentence in size_answer(found, checks, system):
        say(console, sentence)
    print_heading(console, "Alternatives, the chosen one first")
    print_table(console, _columns(found, system))
    print_heading(console, make_heading(found, checks))
    for line in (*cut_list(found), *tolerance_words(found)):
        say(console, line, hang=4)
    print_list(console, "Notes", found.notes)
    bad = [check for check in worst_first(checks) if check.verdict is Verdict.FAILS]
    said = [f"{check.name}: {verdict_text(check)} ({check.source})" for check in bad]
    said += [
        f"unknown, do not run: {one}" for one in lacking(c for c in checks if c.verdict is Verdict.UNKNOWN)
    ]
    print_list(console, "With this part", said)
    print_cautions(console, cautions if verbose else ())


def alternatives_sheet(found: Sizing, system: str) -> Table:
    """The best of each route and material, the chosen one first."""
    return sheet_of("Alternatives, the chosen one first", _columns(found, system))


def _columns(found: Sizing, system: str) -> list[Column]:
    shown = found.alternatives[:MOST]
    kind = TARGET_KINDS[found.quantity]
    columns = [Column("", tuple(one.words for one in shown), shrinks=True)]
    for title, own, values in (
        (found.quantity.replace("_", " "), kind, [one.achieved for one in shown]),
        ("left", kind, [one.residue for one in shown]),
        ("mass", "mass", [one.mass for one in shown]),
        ("load", "force", [one.load for one in shown]),
    ):
        texts, unit, _ = row_texts(list(values), own, system)
        columns.append(Column(f"{title} {unit}".rstrip(), tuple(texts), "point"))
    columns.append(Column("", tuple("" if one.reached else "misses" for one in shown)))
    return columns


def size_document(
    found: Sizing, checks: Sequence[Check], cautions: Sequence[str], *, seed: int | None = None
) -> dict[str, Any]:
    """The prediction's document with the findings of size, "pieces" and "alternatives" beside it; SI."""
    data = plain_data(run_data(found.run, checks, cautions, seed=seed))
    document: dict[str, Any] = {**heading(of_sizing(found, checks)), **data}
    kind = TARGET_KINDS[found.quantity]
    for name, own in found.findings.items():
        unit = unit_of(kind if name == "size_residue" else own.kind)
        document["findings"][name] = {"value": own.value, "unit": unit}
    document["target"] = {"quantity": found.quantity, "value": found.target, "unit": unit_of(kind)}
    document["pieces"] = [_piece(one) for one in found.best.build.made]
    document["alternatives"] = [
        {
            "route": one.route,
            "what": one.words,
            "achieved": one.achieved,
            "residue": one.residue,
            "mass": one.mass,
            "load": one.load,
            "reached": one.reached,
            "limits": list(one.touching),
        }
        for one in found.alternatives
    ]
    document["tolerance"] = found.tolerances.general
    document["notes"] = [*found.notes, *document["notes"]]
    return document


def _piece(one: Any) -> dict[str, Any]:
    """One thing to make: metres and kilograms; sections along the chord normal from the feathering axis."""
    column = one.column
    return {
        "name": one.name,
        "count": one.count,
        "material": one.material,
        "density": one.density,
        "standard": one.standard,
        "thread": one.thread,
        "mass": one.mass,
        "first_normal": float(column.first),
        "second_normal": float(column.second),
        "radius": one.radius,
        "sections": [
            {
                "from": piece.start,
                "length": piece.length,
                "diameter": piece.diameter or None,
                "across_flats": piece.across_flats or None,
                "bore": piece.bore,
            }
            for piece in one.pieces
        ],
    }
