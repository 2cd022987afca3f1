"""The pictures of results for Python, as `featherbench.figures`: one function a picture, each takes a result.

Without axes of your own, the figure is laid out as in the reports. With `ax` (one panel) or `axes` (as many as the
picture has panels) it is drawn there and the rest of your figure is left alone; each panel keeps inside the place of
its axes, labels included. units: "metric" or "trade"; sampled: of the same runs (`featherbench.sampled`), for bands of
what their tolerances do. Every function gives back the figure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from featherbench.pictures import style
from featherbench.pictures.room_in_axes import fit_words, make_room
from featherbench.views.cases import Case, cases_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.fitting.calibrate import Calibration
    from featherbench.fitting.match import Match
    from featherbench.hovering.bias import Bias
    from featherbench.hovering.wag import Wag
    from featherbench.pictures.root import Build
    from featherbench.sampling.sampled import Sampled
    from featherbench.sampling.spread import Spread
    from featherbench.scenario import Scenario
    from featherbench.sizing import Sizing
    from featherbench.studies.run import Comparison, Run
    from featherbench.sweeping.sweep import Sweep

__all__ = [
    "course",
    "fitted",
    "force",
    "grid",
    "hover",
    "match",
    "moments",
    "play",
    "release",
    "root",
    "spread",
    "sweep",
]

NAMES = 1.85
"""Inches for the names of tolerances and unknowns left of their panel."""


def force(
    *results: Run | Comparison | Sizing | Spread,
    ax: Axes | None = None,
    units: str = "metric",
    sampled: Sampled | None = None,
) -> Figure:
    """Force on the rod over pitch: gauge loop, friction band, what the servo has.

    >>> import featherbench as fb
    >>> run = fb.predict(fb.read(fb.example("survey-3kg/plain")))
    >>> figure = fb.figures.force(run)
    >>> figure.axes[0].get_xlabel()
    'pitch at the blade, deg'
    """
    from featherbench.pictures.bench import force_figure

    cases = _cases(results, sampled)
    return _drawn(lambda given: force_figure(cases, _known(units), _one(given)), ax)


def moments(
    *results: Run | Comparison | Sizing | Spread,
    axes: Sequence[Axes] | None = None,
    units: str = "metric",
    sampled: Sampled | None = None,
) -> Figure:
    """Force on the rod over pitch by cause, without the linkage's friction; one panel for each run."""
    from featherbench.pictures.bench import moments_figure

    cases = _cases(results, sampled)
    return _drawn(lambda given: moments_figure(cases, _known(units), given), _so_many(axes, len(cases)))


def course(
    *results: Run | Comparison | Sizing | Spread, axes: Sequence[Axes] | None = None, units: str = "metric"
) -> Figure:
    """The bench run over time: a panel for pitch, one for the rod's force, one for the currents of each run; on a
    figure of its own the first moments of a move beside them.
    """
    from featherbench.pictures.course import course_figure

    cases = _cases(results)
    return _drawn(lambda given: course_figure(cases, _known(units), given), _so_many(axes, 2 + len(cases)))


def release(*results: Run | Comparison | Sizing | Spread, ax: Axes | None = None) -> Figure:
    """Pitch over time after the rod is released on either side."""
    from featherbench.pictures.bench import release_figure

    cases = _cases(results)
    return _drawn(lambda given: release_figure(cases, _one(given)), ax)


def play(
    *results: Run | Comparison | Sizing | Spread,
    ax: Axes | None = None,
    units: str = "metric",
    sampled: Sampled | None = None,
) -> Figure:
    """Pitch lost to play and give over pitch, and where the blades float."""
    from featherbench.pictures.play import play_figure

    cases = _cases(results, sampled)
    return _drawn(lambda given: play_figure(cases, _known(units), _one(given)), ax)


def root(
    *builds: Scenario | Run | Comparison | Sizing, axes: Sequence[Axes] | None = None, units: str = "metric"
) -> Figure:
    """The blade root to scale; nothing is run for a scenario.

    One build: side, end and top view (one to three axes). Several: side and end view each (one to three axes each).
    Raises ScenarioError when a build cannot be.

    >>> import featherbench as fb
    >>> figure = fb.figures.root(fb.read(fb.example("survey-3kg/weighted")), units="trade")
    >>> len(figure.axes)
    3
    """
    from featherbench.pictures.root import Build, build_of, root_figure
    from featherbench.scenario import Scenario

    found: list[Build] = []
    for one in builds:
        if isinstance(one, Scenario):
            found.append(build_of(one))
        else:
            found += [Build(case.name, case.run.setup.assembly, case.run.scenario) for case in _cases([one])]
    drawn = [build._replace(name=name) for build, name in zip(found, _names(found), strict=True)]
    if axes is None:
        return _own(root_figure(drawn, _known(units)))
    return root_figure(drawn, _known(units), axes)


def hover(wag: Wag, axes: Sequence[Axes] | None = None, units: str = "metric") -> Figure:
    """Heading and blade pitch as flown in hover; two panels."""
    from featherbench.pictures.hover import wag_figure

    return _drawn(lambda given: wag_figure(wag, _known(units), given), _so_many(axes, 2), right=0.1)


def sweep(bias: Bias, axes: Sequence[Axes] | None = None, units: str = "metric") -> Figure:
    """Rod force, charge in hover, draws in which play shows, and what speaks against each amount; four panels."""
    from featherbench.pictures.sweep import bias_figure

    return _drawn(lambda given: bias_figure(bias, _known(units), given), _so_many(axes, 4), right=1.2)


def grid(swept: Sweep, ax: Axes | None = None, units: str = "metric") -> Figure:
    """The map of a sweep of two keys: one value, and where blades run to full pitch, float at hover, or do not hold.

    Raises ValueError, in words, for another sweep.

    >>> import featherbench as fb
    >>> weighted = fb.read(fb.example("survey-3kg/weighted"))
    >>> over = {"rotor.speed": "9000..14000 rpm:3", "part.head-collar.length": "2..4 mm:3"}
    >>> figure = fb.figures.grid(fb.sweep(weighted, over, jobs=1))
    """
    from featherbench.pictures.sweep_map import map_figure

    return _drawn(lambda given: map_figure(swept, _known(units), given[0] if given else None), ax, right=1.3)


def spread(result: Spread, axes: Sequence[Axes] | None = None, units: str = "metric") -> Figure:
    """Which tolerance makes how much of a finding's variance; a panel a finding, as many as there are axes."""
    from featherbench.pictures.spread import spread_figure

    return _drawn(lambda given: spread_figure(result, _known(units), given), axes, left=NAMES, right=0.45)


def match(matched: Match, log: int = 0, axes: Sequence[Axes] | None = None, units: str = "metric") -> Figure:
    """A logged column against its prediction, and what is left; two panels. log: which of `found.series`.

    Raises ValueError when nothing was logged.
    """
    from featherbench.pictures.match import match_figure

    if not -len(matched.series) <= log < len(matched.series):
        raise ValueError(
            f"there are {len(matched.series)} logged columns to draw: number {log} is none of them"
        )
    series = matched.series[log]
    return _drawn(lambda given: match_figure(series, _known(units), given), _so_many(axes, 2))


def fitted(calibration: Calibration, ax: Axes | None = None, units: str = "metric") -> Figure:
    """What bench data says of each unknown: as written, as fitted, how sure."""
    from featherbench.pictures.calibrate import calibrate_figure

    return _drawn(lambda given: calibrate_figure(calibration, _known(units), _one(given)), ax, left=NAMES)


def _cases(results: Sequence[Any], sampled: Sampled | None = None) -> tuple[Case, ...]:
    """Runs with short names, from whatever holds runs. Raises TypeError for what does not."""
    from featherbench.studies.run import Comparison, Run

    runs: list[Run] = []
    for result in results:
        if isinstance(result, Comparison):
            runs += result.runs
        else:
            run = (
                result
                if isinstance(result, Run)
                else getattr(result, "run", None) or getattr(result, "nominal", None)
            )
            if not isinstance(run, Run):
                raise TypeError(
                    f"{type(result).__name__} holds no run to draw: give what predict or compare gave"
                )
            runs.append(run)
    if not runs:
        raise TypeError("nothing to draw: give what predict or compare gave")
    if sampled is not None and len(sampled.builds) != len(runs):
        raise ValueError(f"sampled is of {len(sampled.builds)} builds, the results are of {len(runs)}")
    return cases_of(runs, sampled)


def _names(builds: Sequence[Build]) -> list[str]:
    """A short name for each of several: the one it has, or its file's, or its number."""
    if len(builds) < 2:
        return [""] * len(builds)
    names = [
        build.name or (Path(build.scenario.source.files[0]).stem if build.scenario.source.files else "")
        for build in builds
    ]
    if len(set(names)) == len(names) and all(names):
        return names
    return [f"build {number}" for number in range(1, len(names) + 1)]


def _known(units: str) -> str:
    if units not in ("metric", "trade"):
        raise ValueError(f'units are "metric" or "trade", not {units!r}')
    return units


def _one(axes: Sequence[Axes] | None) -> Axes | None:
    return None if axes is None else axes[0]


def _so_many(axes: Sequence[Axes] | None, count: int) -> list[Axes] | None:
    """The axes in a list, as many as panels. Raises ValueError for another number."""
    if axes is None:
        return None
    given = list(getattr(axes, "flat", axes if isinstance(axes, Sequence) else [axes]))
    if len(given) != count:
        raise ValueError(f"this picture has {count} panels: it needs {count} axes, not {len(given)}")
    return given


def _drawn(
    figure_on: Callable[[list[Axes] | None], Figure], axes: Any, left: float = 0.0, right: float | None = None
) -> Figure:
    """Draw on the axes given, in room made for the labels, or on a figure of its own."""
    if axes is None:
        return _own(figure_on(None))
    given = list(getattr(axes, "flat", axes if isinstance(axes, Sequence) else [axes]))
    make_room(given, left, **({} if right is None else {"right": right}))
    figure = figure_on(given)
    for ax in given[:-1]:  # in a figure of ours they share it
        ax.set_xlim(given[-1].get_xlim())
    fit_words(given)
    return figure


def _own(figure: Figure) -> Figure:
    """On paper, so that it can be read in a dark notebook, and shown there as it is."""
    figure.set_facecolor(style.colour("paper"))
    figure._repr_svg_ = lambda: _svg(figure)  # type: ignore[attr-defined]
    return figure


def _svg(figure: Figure) -> str:
    import io

    stream = io.StringIO()
    with style.applied():
        figure.savefig(stream, format="svg", metadata={"Date": None}, facecolor=figure.get_facecolor())
    return stream.getvalue()
