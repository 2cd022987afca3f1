"""Predicts the pushrod force and servo current of a model-helicopter tail rotor before any metal is cut.

    import featherbench as fb
    plain = fb.read(fb.example("survey-3kg/plain"))
    fb.moments(plain).rod_force            # array over pitch, N
    run = fb.predict(plain); run.findings["current_peak_high"]; run.to_frame()
    both = fb.compare(plain, fb.read(fb.example("survey-3kg/weighted"))); both.to_frame()
    fb.figures.force(both)                 # on axes of your own with ax=
    fb.as_html(both)                       # what a notebook shows by itself

Everything is SI and radians. Names are loaded when first used, so that importing the package costs nothing.
"""

from __future__ import annotations

import difflib
import importlib
from typing import TYPE_CHECKING, Any

from featherbench.front_door import hand_in
from featherbench.libraries import need
from featherbench.retired import RETIRED, warn_of
from featherbench.version import __version__

_HOMES = {
    "read": "featherbench.scenario",
    "scenario_of": "featherbench.scenario",
    "Scenario": "featherbench.scenario",
    "ScenarioError": "featherbench.scenario",
    "OutputRefused": "featherbench.render.files",
    "example": "featherbench.scenario.shipped",
    "moments": "featherbench.studies",
    "predict": "featherbench.studies",
    "compare": "featherbench.studies",
    "explore": "featherbench.window",
    "rank": "featherbench.judging.ranking",
    "Ranking": "featherbench.ranking.outcome",
    "size": "featherbench.judging.sizing",
    "Sizing": "featherbench.sizing",
    "Run": "featherbench.studies",
    "Spread": "featherbench.sampling.spread",
    "spread": "featherbench.sampling.spread",
    "sampled": "featherbench.sampling.sampled",
    "Sampled": "featherbench.sampling.sampled",
    "Comparison": "featherbench.studies",
    "sweep": "featherbench.sweeping.sweep",
    "Sweep": "featherbench.sweeping.sweep",
    "values": "featherbench.sweeping.values",
    "wag": "featherbench.hovering.wag",
    "Wag": "featherbench.hovering.wag",
    "bias": "featherbench.judging.biasing",
    "Bias": "featherbench.hovering.bias",
    "match": "featherbench.fitting.match",
    "Match": "featherbench.fitting.match",
    "calibrate": "featherbench.fitting.calibrate",
    "Calibration": "featherbench.fitting.calibrate",
    "read_bench_data": "featherbench.bench.readings",
    "bench_checks": "featherbench.checks",
    "CAUTIONS": "featherbench.checks",
    "judge": "featherbench.judging",
    "sample_checks": "featherbench.judging.sampled_checks",
    "as_html": "featherbench.notebook_cells",
    "page": "featherbench.from_python",
    "document": "featherbench.from_python",
    "csv": "featherbench.from_python",
    "write": "featherbench.from_python",
    "drawing": "featherbench.from_python",
    "variant": "featherbench.from_python",
    "starter": "featherbench.from_python",
    "schema": "featherbench.from_python",
    "label": "featherbench.from_python",
    "swing": "featherbench.from_python",
    "frame": "featherbench.exporting",
    "export": "featherbench.exporting",
    "LibraryMissing": "featherbench.libraries",
}

__all__ = [
    "CAUTIONS",
    "Bias",
    "Calibration",
    "Comparison",
    "LibraryMissing",
    "Match",
    "OutputRefused",
    "Ranking",
    "Run",
    "Sampled",
    "Scenario",
    "ScenarioError",
    "Sizing",
    "Spread",
    "Sweep",
    "Wag",
    "__version__",
    "as_html",
    "bench_checks",
    "bias",
    "calibrate",
    "compare",
    "csv",
    "document",
    "drawing",
    "example",
    "explore",
    "export",
    "figures",
    "frame",
    "judge",
    "label",
    "match",
    "moments",
    "page",
    "predict",
    "rank",
    "read",
    "read_bench_data",
    "sample_checks",
    "sampled",
    "scenario_of",
    "schema",
    "size",
    "spread",
    "starter",
    "sweep",
    "swing",
    "values",
    "variant",
    "wag",
    "write",
]

if TYPE_CHECKING:
    from featherbench.bench.readings import read_bench_data
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.exporting import export, frame
    from featherbench.fitting.calibrate import Calibration, calibrate
    from featherbench.fitting.match import Match, match
    from featherbench.from_python import (
        csv,
        document,
        drawing,
        label,
        page,
        schema,
        starter,
        swing,
        variant,
        write,
    )
    from featherbench.hovering.bias import Bias
    from featherbench.hovering.wag import Wag, wag
    from featherbench.judging import judge
    from featherbench.judging.biasing import bias
    from featherbench.judging.ranking import rank
    from featherbench.judging.sampled_checks import sample_checks
    from featherbench.judging.sizing import size
    from featherbench.libraries import LibraryMissing
    from featherbench.notebook_cells import as_html
    from featherbench.pictures import results as figures
    from featherbench.ranking.outcome import Ranking
    from featherbench.render.files import OutputRefused
    from featherbench.sampling.sampled import Sampled, sampled
    from featherbench.sampling.spread import Spread, spread
    from featherbench.scenario import Scenario, ScenarioError, read, scenario_of
    from featherbench.scenario.shipped import example
    from featherbench.sizing import Sizing
    from featherbench.studies import Comparison, Run, compare, moments, predict
    from featherbench.sweeping.sweep import Sweep, sweep
    from featherbench.sweeping.values import values
    from featherbench.window import explore


def __getattr__(name: str) -> object:
    """Load a public name from the room it lives in."""
    if name == "figures":
        need("matplotlib")
        return importlib.import_module("featherbench.pictures.results")
    if name in RETIRED:
        warn_of(name, RETIRED[name])
        name = RETIRED[name].instead
    if name not in _HOMES:
        near = difflib.get_close_matches(name, __all__, 2)
        hint = f"; did you mean {' or '.join(near)}?" if near else ""
        raise AttributeError(f"featherbench has no {name!r}{hint}")
    return _public(name)


def _public(name: str) -> Any:
    return getattr(importlib.import_module(_HOMES[name]), name)


hand_in("as_html", lambda: _public("as_html"))
hand_in("sample_checks", lambda: _public("sample_checks"))


def __dir__() -> list[str]:
    """The public names."""
    return list(__all__)
