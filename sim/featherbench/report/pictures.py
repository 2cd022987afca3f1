"""The pictures of each kind of result, by name: what a page shows and what --figures writes are the same list."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from featherbench.report import style
from featherbench.report.bands import BAND_CAPTION
from featherbench.report.files import OutputExists, OutputRefused, write_whole
from featherbench.report.summary import Case, cases_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from featherbench.assembly import Assembly
    from featherbench.bench.setup import Setup
    from featherbench.scenario import Scenario
    from featherbench.studies.bias import Bias
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.match import Match
    from featherbench.studies.run import Comparison, Run
    from featherbench.studies.sampled import Sampled
    from featherbench.studies.sizing import Sizing
    from featherbench.studies.spread import Spread
    from featherbench.studies.wag import Wag

KINDS = ("svg", "png")
DOTS_PER_INCH = 200


class Drawn(NamedTuple):
    """A picture: name (of its files, and on the page), title and caption in words, and what draws it; kind: "plot", or
    "sheet" for one with paper of its own.
    """

    name: str
    title: str
    caption: str
    figure: Callable[[], Figure]
    kind: str = "plot"


def check_folder(folder: Path, force: bool) -> None:
    """Refuse a folder that cannot take pictures, or holds some already; raises OutputRefused."""
    if folder.exists() and not folder.is_dir():
        raise OutputRefused(f"{folder} is a file: give a folder for the pictures")
    if not folder.exists() and not folder.parent.is_dir():
        raise OutputRefused(
            f"{folder} cannot be made: there is no folder {folder.parent}; make it, or give another"
        )
    if folder.is_dir() and not force:
        there = sorted(path.name for path in folder.iterdir() if path.suffix.lower()[1:] in KINDS)
        if there:
            raise OutputExists(
                f"{folder} holds pictures already ({there[0]}): give another folder, or --force to overwrite "
                "those of the same name"
            )


def write_pictures(folder: Path, drawn: Sequence[Drawn], force: bool = False) -> list[Path]:
    """Write each picture as NAME.svg and NAME.png; the folder is made. Raises OutputRefused."""
    check_folder(folder, force)
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputRefused(f"{folder} cannot be made: {error.strerror or error}") from error
    written = []
    for one in drawn:
        figure = one.figure()
        for kind in KINDS:
            path = folder / f"{one.name}.{kind}"
            write_whole(path, picture_bytes(figure, kind, one.title), force)
            written.append(path)
    return written


def picture_bytes(figure: Figure, kind: str, title: str) -> bytes:
    """The figure on white paper as a file of `kind` "svg" or "png"; the same figure gives the same bytes."""
    metadata = {"Title": title} | ({"Date": None, "Creator": None} if kind == "svg" else {"Software": None})
    target = io.BytesIO()
    with style.applied():
        figure.savefig(target, format=kind, dpi=DOTS_PER_INCH, facecolor="white", metadata=metadata)
    return target.getvalue()


def run_pictures(run: Run, system: str, sampled: Sampled | None = None) -> list[Drawn]:
    """Of one bench run, its parts to scale among them; sampled: what its tolerances do, for bands."""
    return _with_parts(cases_of([run], sampled), system)


def comparison_pictures(comparison: Comparison, system: str, sampled: Sampled | None = None) -> list[Drawn]:
    """Of several bench runs side by side, their parts to scale among them; sampled: what their tolerances do."""
    return _with_parts(cases_of(comparison.runs, sampled), system)


def _with_parts(cases: Sequence[Case], system: str) -> list[Drawn]:
    parts = parts_picture([(case.name, case.run.setup.assembly, case.run.scenario) for case in cases], system)
    return [*bench_pictures(cases, system), parts]


def bench_pictures(cases: Sequence[Case], system: str) -> list[Drawn]:
    """Of one bench run, or of several side by side."""
    from featherbench.report.course import course_figure
    from featherbench.report.figures import force_figure, moments_figure, release_figure
    from featherbench.report.play_figure import play_figure

    band = "The band of each build" if len(cases) > 1 else "The band"
    sure = f" {BAND_CAPTION}" if any(case.spread is not None and case.spread.bands for case in cases) else ""
    return [
        Drawn(
            "force",
            "Force on the rod over pitch",
            f"{band} is what friction makes of it: pushing pitch up takes its upper edge, pulling it down "
            "its lower edge. Where the band leaves the room between the servo's lines, the servo cannot "
            f"follow.{sure}",
            lambda: force_figure(cases, system),
        ),
        Drawn(
            "moments",
            "Where the moment comes from",
            "What each group of parts adds to the moment on one blade. Where the sum stays inside the "
            "friction band, released blades stay put; where it slopes down out of the band, they "
            f"return until they are inside it.{sure}",
            lambda: moments_figure(cases, system),
        ),
        Drawn(
            "course",
            "The bench run over time",
            "The supply current is what a meter in the servo's lead would have to follow; the meter averages "
            "and refreshes slowly, so it misses short peaks. The winding current flows inside the servo.",
            lambda: course_figure(cases, system),
        ),
        Drawn(
            "release",
            "Released at speed",
            "Pitch after the rod is released on the high and on the low side, rotor at speed.",
            lambda: release_figure(cases),
        ),
        Drawn(
            "play",
            "How far the play shows",
            "How far a blade lags behind when the servo reverses: the give of the linkage and, where the load is "
            "too small to hold the linkage to one side (bars below: it floats), its whole free play. A hover inside "
            "such a window may show as tail wag; a small load to one side keeps it quiet."
            f"{sure}",
            lambda: play_figure(cases, system),
        ),
    ]


def spread_pictures(spread: Spread, system: str) -> list[Drawn]:
    """Of a spread; none when nothing varies."""
    from featherbench.report.spread_figure import spread_figure
    from featherbench.report.spread_summary import drawn_findings

    if not drawn_findings(spread):
        return []
    return [
        Drawn(
            "shares",
            "Which tolerance matters",
            "Filled: what the tolerance makes by itself; outlined: with what it makes together with others. The "
            "longer the bar, the more there is to gain by a closer tolerance or a better weighing.",
            lambda: spread_figure(spread, system),
        )
    ]


def match_pictures(found: Match, system: str) -> list[Drawn]:
    """Of a match: one for each logged column."""
    from featherbench.report.match_figure import match_figure

    return [
        Drawn(
            f"log-{number}-{one.name.split(' ')[0].replace('_', '-')}",
            f"Measured and predicted: {one.name.replace('_', ' ')}",
            "What was measured, what the model predicts, and where the prediction lies for 95 % of what the "
            "scenario's tolerances allow; below, what is left between them.",
            lambda one=one: match_figure(one, system),  # type: ignore[misc]
        )
        for number, one in enumerate(found.series, start=1)
    ]


def wag_pictures(found: Wag, system: str) -> list[Drawn]:
    """Of a flight in hover."""
    from featherbench.report.hover_figure import wag_figure

    return [
        Drawn(
            "flight",
            "As flown",
            "Heading and blade pitch in hover, with play, gusts, buffet and gyro noise as stated.",
            lambda: wag_figure(found, system),
        )
    ]


def bias_pictures(found: Bias, system: str) -> list[Drawn]:
    """Of the sweep from no weights to too many."""
    from featherbench.report.hover_figure import bias_figure

    return [
        Drawn(
            "sweep",
            "From no weights to too many",
            "A line for each phase of the weights; the ring is the chosen build, dotted lines are the limits.",
            lambda: bias_figure(found, system),
        )
    ]


def calibration_pictures(done: Calibration, system: str) -> list[Drawn]:
    """Of a calibration; none when it was interrupted."""
    from featherbench.report.calibrate_figure import calibrate_figure

    if done.fitted.interrupted:
        return []
    return [
        Drawn(
            "fitted",
            "What the data says of each unknown",
            "The dot is the fitted value with its 95 % interval, the ring what the scenario said, the open box what "
            "was thought likely beforehand. An interval as wide as the box means that the data could not determine it.",
            lambda: calibrate_figure(done, system),
        )
    ]


def size_pictures(found: Sizing, cases: Sequence[Case], system: str) -> list[Drawn]:
    """The drawing for the lathe, then what the weights do on the bench."""
    from featherbench.checks import run_cautions
    from featherbench.report.sheet import draw_sheet
    from featherbench.report.sheet_page import sheet_figure

    return [
        Drawn(
            "drawing",
            "Drawing",
            "At the scale that it states when printed at full size; --drawing writes it alone, as PDF, SVG or DXF.",
            lambda: sheet_figure(draw_sheet(found, run_cautions(found.run))),
            "sheet",
        ),
        *_with_parts(cases, system),
    ]


def swing_pictures(method: str) -> list[Drawn]:
    """Of a way to hang a part for its swing."""
    from featherbench.report.swing_figure import swing_figure

    return [
        Drawn(
            "hung",
            "How it hangs, and what is measured",
            "Not to scale. Twist it a little about the axis drawn, or push it a little aside where it hangs from a "
            "pivot, and time full swings, there and back.",
            lambda: swing_figure(method),
        )
    ]


def with_parts_of(scenario: Scenario, drawn: Sequence[Drawn], system: str) -> list[Drawn]:
    """The pictures of a study of one scenario, and its parts to scale."""
    from featherbench.assembly import build_assembly

    return [*drawn, parts_picture([("", build_assembly(scenario), scenario)], system)]


def check_pictures(setups: Sequence[Setup], system: str) -> list[Drawn]:
    """Of builds as they were understood: their parts to scale."""
    names = [f"build {number}" if len(setups) > 1 else "" for number in range(1, len(setups) + 1)]
    parts = parts_picture(
        [(name, setup.assembly, setup.scenario) for name, setup in zip(names, setups, strict=True)], system
    )
    return [parts]


def parts_picture(builds: Sequence[tuple[str, Assembly, Scenario]], system: str) -> Drawn:
    """The blade roots to scale, from each scenario's own geometry."""
    from featherbench.report.root_figure import root_caption, root_figure

    caption = root_caption(builds, system)
    return Drawn("parts", "The parts, to scale", caption, lambda: root_figure(builds, system))
