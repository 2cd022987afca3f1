"""The views of a sizing: what to make, its alternatives, and the build without weights against the sized one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from featherbench.checks import run_cautions
from featherbench.checks.wording import AT_LIMIT
from featherbench.judging import judge
from featherbench.judging.judgement import CLOSE_CALL, RUNS_OUT, release_lines
from featherbench.numerals import quantity, row_texts, unit_of
from featherbench.plain_text import plain
from featherbench.sizing.tolerance import UNMATCHED
from featherbench.views.bench import about_builds, comparison_view
from featherbench.views.bench_data import run_data
from featherbench.views.brief.doubts import in_doubt, largest_side
from featherbench.views.brief.strength import strength_text
from featherbench.views.cases import Case
from featherbench.views.findings_table import findings_table
from featherbench.views.first_lines import of_sizing
from featherbench.views.pictures import drawing_picture
from featherbench.views.sized.ways import TARGET_KINDS, ways_table
from featherbench.views.view import Note, Table, View
from featherbench.workshop.title_block import cut_list, tolerance_words

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.sampling.sampled import Sampled
    from featherbench.sizing import Sizing
    from featherbench.studies import Comparison


def size_view(
    sizing: Sizing,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    *,
    sampled: Sampled | None = None,
    seed: int | None = None,
) -> View:
    """What to make; its bench run is a detail. checks: those of the sized build; system: "metric" or "trade"; sampled:
    what tolerances and doubts do to it, by which its release may be too close to call.
    """
    case = Case("", sizing.run)
    first = of_sizing(sizing, checks, sampled)
    about = about_builds([case], [checks], cautions, system, first=first)
    bench = findings_table([case], system)
    return replace(
        about,
        title=plain(sizing.plain.title),
        question=_question(sizing),
        answer=size_answer(sizing, checks, system, sampled, _release_open(sampled)),
        tables=(
            *_in_order(_to_make(sizing, checks), ways_table(sizing, system), sizing),
            replace(bench, rows=tuple(replace(row, detail=True) for row in bench.rows), remarks=()),
        ),
        notes=(*map(Note, sizing.notes), *about.notes),
        data=_data(sizing, checks, cautions, seed),
    )


def sized_view(
    sizing: Sizing,
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    sampled: Sampled | None = None,
) -> View:
    """With the build without weights beside the sized one. sampled: what tolerances do to both; else as size_view."""
    view = comparison_view(comparison, checks, cautions, system, sampled=sampled)
    return replace(
        view,
        question=_question(sizing),
        answer=(
            *size_answer(sizing, checks[-1], system, open_release=_release_open(sampled)),
            *view.answer[1:],  # the force is said once
        ),
        brief=(),
        tables=(
            *_in_order(_to_make(sizing, checks[-1]), ways_table(sizing, system), sizing),
            *view.tables,
        ),
        notes=(*map(Note, sizing.notes), *view.notes),
    )


def _in_order(to_make: Table, ways: Table, sizing: Sizing) -> tuple[Table, Table]:
    """Where there are several ways the ranking is what was asked for; else what to make."""
    return (ways, to_make) if len(sizing.alternatives) > 1 else (to_make, ways)


def _question(sizing: Sizing) -> str:
    return f"What weights to make for “{sizing.plain.title}”?"


def _release_open(sampled: Sampled | None) -> bool:
    """Whether the sized build's blades run to full pitch in some samples, and in some they do not."""
    if sampled is None:
        return False
    build = sampled.builds[-1]
    high, low = (build.outcomes.get(side, {}) for side in ("release", "release_low"))
    return any(line.startswith(CLOSE_CALL) for line in release_lines(high, low, build.done - build.refused))


def size_answer(
    sizing: Sizing,
    checks: Sequence[Check],
    system: str,
    sampled: Sampled | None = None,
    open_release: bool = False,
) -> tuple[str, ...]:
    """Sentences: what to make, what it reaches and leaves, what it adds and does to the rod's force.

    open_release: whether samples leave open that its blades run to full pitch.
    """
    best, kind = sizing.best, TARGET_KINDS[sizing.quantity]
    name = sizing.quantity.replace("_", " ")
    (target, got, left), unit, _ = row_texts([sizing.target, best.achieved, best.residue], kind, system)
    reached = "reaches" if best.reached else "CANNOT MEET the target, it reaches"
    force, side = largest_side(sizing.run)
    doubts = in_doubt(sampled.builds[0].intervals.get(f"rod_force_{side}"), system) if sampled else ""
    weights = [name for name in sizing.taken_off if sizing.given.part[name].group == "counterweight"]
    who = f"In place of {' and '.join(map(plain, weights))}, which come off, it" if weights else "It"
    kept = [name for name, part in sizing.plain.part.items() if part.group == "counterweight"]
    who = f"Beside {' and '.join(map(plain, kept))}, which stay, it" if kept else who
    asked, got, left = (f"{text.lstrip('-')} {unit}".rstrip() for text in (target, got, left))
    off = f"{left} {'over' if best.residue < 0.0 else 'short of'} the {asked} asked for"
    return (
        f"{_make(sizing, checks, open_release)} It {reached} a {name} of {got}, {'as asked' if got == asked else off}.",
        f"{who} adds {quantity(best.mass, 'mass', system)} and {quantity(best.load, 'force', system)} of centrifugal "
        f"load to each blade; the largest force on the rod is then {quantity(force, 'force', system)}{doubts}.",
    )


def _make(sizing: Sizing, checks: Sequence[Check], open_release: bool) -> str:
    """ "Make:" only of what holds; of anything else why not, and of what may run to full pitch the choice."""
    judged = judge(checks, sizing.run)
    why = [judged.reasons] if judged.stop else []
    if judged.runs_out:
        why.append(RUNS_OUT)
    why += [one for one in sizing.best.against if one.startswith(UNMATCHED)]
    fitted = sizing.best.route in ("standard", "own")
    if why:
        return f"Do not {'fit' if fitted else 'make'}: {sizing.best.words}. {'; '.join(why)}.".replace(
            ". released", ". Released"
        )
    verb = "Fit" if fitted else "Make"
    if open_release:
        return f"{verb} only if you accept that its blades may run to full pitch: {sizing.best.words}."
    spare = f", with {AT_LIMIT} in strength" if strength_text(checks).endswith(AT_LIMIT) else ""
    return f"{verb}{spare}: {sizing.best.words}."


def _to_make(sizing: Sizing, checks: Sequence[Check]) -> Table:
    """The cut list and its tolerances, beside the drawing."""
    judged = judge(checks, sizing.run)
    heading = "Not to be made as it is" if judged.stop or judged.runs_out else "What to make"
    drawing = drawing_picture(sizing, run_cautions(sizing.run))
    return Table(heading, remarks=(*cut_list(sizing), *tolerance_words(sizing)), picture=drawing)


def _data(
    sizing: Sizing, checks: Sequence[Check], cautions: Sequence[str], seed: int | None
) -> dict[str, Any]:
    """The prediction's, with the findings of size, "pieces" and "alternatives" beside it."""
    data = run_data(sizing.run, checks, cautions, seed=seed)
    kind = TARGET_KINDS[sizing.quantity]
    own = {
        name: {"value": finding.value, "unit": unit_of(kind if name == "size_residue" else finding.kind)}
        for name, finding in sizing.findings.items()
    }
    return {
        **data,
        "findings": {**data["findings"], **own},
        "target": {"quantity": sizing.quantity, "value": sizing.target, "unit": unit_of(kind)},
        "pieces": [_piece(part) for part in sizing.best.build.made],
        "alternatives": [
            {
                "route": alternative.route,
                "what": alternative.words,
                "achieved": alternative.achieved,
                "residue": alternative.residue,
                "mass": alternative.mass,
                "load": alternative.load,
                "reached": alternative.reached,
                "limits": list(alternative.touching),
                "above": alternative.above,
                "below": alternative.below,
                "holds": alternative.holds,
                "against": list(alternative.against),
                "safety": alternative.margin,
                "weakest": alternative.weakest,
            }
            for alternative in sizing.alternatives
        ],
        "tolerance": sizing.tolerances.general,
        "notes": [*sizing.notes, *data["notes"]],
    }


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
                "flats": piece.cut.across if piece.cut and piece.cut.across else None,
                "slot": piece.cut.wide if piece.cut and not piece.cut.across else None,
                "cut_length": piece.cut.long if piece.cut else None,
            }
            for piece in one.pieces
        ],
    }
