"""A match or a calibration as one document for other programs, SI."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from featherbench.render.document import heading, plain_data
from featherbench.views.bench_data import seeded
from featherbench.views.first_lines import FirstLines
from featherbench.views.numerals import unit_of

if TYPE_CHECKING:
    from featherbench.scenario import Scenario
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.match import Match
    from featherbench.studies.next_measurement import Advice


def match_document(found: Match, first: FirstLines) -> dict[str, Any]:
    """Per quantity simulated, measured, u_simulated, u_measured (standard), e_n, low and high; per series bias, scatter
    and curves.
    """
    return {
        **heading(first),
        **seeded(found.seed),
        "scenario": _scenario(found.scenario),
        "data": dict(found.data.digests),
        "verdict": found.verdict,
        "match": {
            one.name: {
                "simulated": plain_data(one.simulated),
                "measured": one.measured,
                "u_simulated": one.u_simulated,
                "u_measured": one.u_measured,
                "u_validation": one.u_validation,
                "e_n": plain_data(one.e_n),
                "low": one.low,
                "high": one.high,
                "unit": unit_of(one.kind),
                "verdict": one.verdict,
            }
            for one in found.quantities
        },
        "series": {
            one.name: {"bias": one.bias, "scatter": one.scatter, "lag": one.lag, "inside": one.inside,
                       "unit": unit_of(one.kind)}
            for one in found.series
        },
        "curves": {
            one.name: {
                "columns": {
                    "time": _list(one.time), "measured": _list(one.measured), "simulated": _list(one.simulated),
                    "low": _list(one.low), "high": _list(one.high),
                },
                "units": {"time": "s", **dict.fromkeys(("measured", "simulated", "low", "high"), unit_of(one.kind))},
            }
            for one in found.series
        },
        "runs": found.runs,
        "complete": not found.interrupted,
        "notes": list(found.notes),
    }  # fmt: skip


def calibration_document(done: Calibration, advice: Advice | None, first: FirstLines) -> dict[str, Any]:
    """Per unknown value, low, high (95 %), identified; correlation; what was kept aside; what to measure next."""
    from featherbench.studies.improved import improved, not_improved

    fitted = done.fitted
    keys = [one.key for one in fitted.unknowns]
    document: dict[str, Any] = {
        **heading(first),
        "scenario": _scenario(done.scenario),
        "data": dict(done.data.digests),
        "calibrate": {
            one.key: {"value": float(value), "low": float(low), "high": float(high), "identified": good,
                      "start": one.start, "prior": one.deviation, "unit": unit_of(one.kind)}
            for one, value, low, high, good in zip(fitted.unknowns, fitted.values, fitted.low, fitted.high,
                                                   fitted.identified, strict=True)
        },
        "correlation": {
            key: {other: float(value) for other, value in zip(keys, row, strict=True)}
            for key, row in zip(keys, fitted.correlation, strict=True)
        },
        "improved": {
            one.key: {"value": one.value, "before": one.before, "after": one.after,
                      "unit": "factor" if one.factor else unit_of(one.kind)}
            for one in improved(done)
        },
        "not_improved": list(not_improved(done)),
        "cannot_tell_apart": [list(group) for group in fitted.alike],
        "mean_squared_residual": {"before": done.before, "after": done.after},
        "kept_aside": {
            one.name: {"simulated": one.simulated, "measured": one.measured, "u_simulated": one.u_simulated,
                       "u_measured": one.u_measured, "e_n": plain_data(one.e_n), "unit": unit_of(one.kind)}
            for one in done.aside
        },
        "complete": not fitted.interrupted,
        "notes": list(done.notes),
    }  # fmt: skip
    if advice is not None:
        document["next"] = {
            "finding": advice.finding,
            "value": advice.value,
            "u_before": advice.before,
            "unit": unit_of(advice.kind),
            "candidates": [
                {"name": one.name, "what": one.words, "u_after": one.after, "share": one.share}
                for one in advice.ranked
            ],
        }
    return document


def _scenario(scenario: Scenario) -> dict[str, Any]:
    source = scenario.source
    return {"title": scenario.title, "files": [str(name) for name in source.files], "digest": source.digest}


def _list(values: NDArray[np.float64]) -> list[float | str | None]:
    return [plain_data(float(f"{value:.7g}")) for value in values.tolist()]
