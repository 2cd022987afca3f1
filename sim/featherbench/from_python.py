"""What the commands write, for programs: page, document, table, drawing, variant; and what they tell without a run."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from featherbench.notebook import ByName
from featherbench.notebook_cells import page_view, view_of

if TYPE_CHECKING:
    from featherbench.assembly.pendulum_recipe import SwungInertia
    from featherbench.sizing import Sizing

READINGS = {
    "mass": "mass",
    "period": "time",
    "cord_length": "length",
    "spacing": "length",
    "pivot_distance": "length",
}
"""What is read when a part is swung, and of what kind it is."""


def page(result: Any, units: str = "metric", *, runs: int | None = None, seed: int = 0) -> str:
    """A result as one page of HTML that needs nothing else, as `--report` writes it; units: "metric" or "trade".

    runs: bench runs with tolerances and doubts varied, for the range beside each figure of a run, a comparison or a
    sizing: as many as the commands make if left out, 0 for none. Raises TypeError for what has no page, ValueError for
    1 to 15 runs, LibraryMissing without jinja2 or matplotlib.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> fb.page(fb.moments(plain))[:15]
    '<!doctype html>'
    """
    from featherbench.libraries import need
    from featherbench.render.page import page as whole

    need("jinja2", "matplotlib")
    return whole(page_view(result, units, runs, seed), "from Python")


def document(result: Any) -> dict[str, Any]:
    """Everything in a result as plain dictionaries, lists and numbers in SI, as `--json` writes it.

    >>> import featherbench as fb
    >>> found = fb.document(fb.predict(fb.read(fb.example("survey-3kg/plain"))))
    >>> found["format"], found["findings"]["mass"]["unit"]
    (1, 'kg')
    """
    from featherbench.render.document import document as whole

    return whole(view_of(result))


def csv(result: Any) -> str:
    """What has rows as comma-separated text in SI, as `--csv` writes it; "" where a result has none.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> fb.csv(fb.predict(plain)).splitlines()[0][:8]
    'time [s]'
    """
    from featherbench.render.document import series_text

    return series_text(view_of(result))


def write(path: str | os.PathLike[str], content: str | bytes, force: bool = False) -> Path:
    """Write content to a file whole or not at all; force: over one that exists. Raises OutputRefused.

    >>> import featherbench as fb
    >>> import tempfile
    >>> fb.write(f"{tempfile.mkdtemp()}/mine.toml", fb.starter("mine")).name
    'mine.toml'
    """
    from featherbench.render.files import write_whole

    write_whole(Path(path), content, force)
    return Path(path)


def drawing(sizing: Sizing, kind: str = "svg") -> list[bytes]:
    """The drawing of the weights that `fb.size` found, kind "svg", "pdf" or "dxf": parts, then assembly.

    A PDF has both. Raises ValueError for another kind, LibraryMissing without matplotlib, or ezdxf for DXF.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> [sheet[:5] for sheet in fb.drawing(fb.size(plain))]
    [b'<?xml', b'<?xml']
    """
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.libraries import need
    from featherbench.render.sheets import drawn_sheets
    from featherbench.views.first_lines import of_sizing

    if kind not in ("svg", "pdf", "dxf"):
        raise ValueError(f'a drawing is of kind "svg", "pdf" or "dxf", not {kind!r}')
    need("ezdxf" if kind == "dxf" else "matplotlib")
    first = of_sizing(sizing, bench_checks(sizing.run))
    return drawn_sheets(sizing, run_cautions(sizing.run), first, kind)


def variant(found: Any, path: str | os.PathLike[str]) -> str:
    """The scenario file that `fb.size` or `fb.calibrate` comes to, as it is to be written to `path` beside its base.

    It names the file that was read as its base. Raises TypeError for another result, ScenarioError for a scenario
    that came from no file.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> found = fb.size(plain)
    >>> "base = " in fb.variant(found, fb.example("survey-3kg/plain"))
    True
    """
    from featherbench.fitting.calibrate import Calibration
    from featherbench.fitting.calibrate import variant_text as fitted_text
    from featherbench.sizing import Sizing
    from featherbench.sizing.variant import variant_text as sized_text
    from featherbench.views.first_lines import of_sizing

    if isinstance(found, Sizing):
        return sized_text(found, Path(path).parent, of_sizing(found).comment())
    if isinstance(found, Calibration):
        return fitted_text(found, Path(path), view_of(found).first.comment())
    raise TypeError(f"{type(found).__name__} makes no variant; fb.size and fb.calibrate do")


def starter(title: str = "my build") -> str:
    """A commented scenario to fill in, as `start` writes it; its figures are invented.

    >>> import featherbench as fb
    >>> fb.starter("mine").splitlines()[0]
    '#:schema ./featherbench-schema.json'
    """
    from featherbench.guide.starter import starter_text

    return starter_text(title)


def schema(of: str = "scenario") -> dict[str, Any]:
    """A JSON Schema, with which editors complete and check a file; of: "scenario" or "readings".

    >>> import featherbench as fb
    >>> fb.schema()["$schema"]
    'https://json-schema.org/draft/2020-12/schema'
    """
    from featherbench.bench.readings import READABLE
    from featherbench.guide.json_schema import json_schema
    from featherbench.guide.readings_schema import readings_schema

    makers: dict[str, Any] = ByName({"scenario": json_schema, "readings": lambda: readings_schema(READABLE)})
    made: dict[str, Any] = makers[of]()
    return made


def label(finding: str) -> str:
    """What a finding is, in words. Raises KeyError with near names for one that is none.

    >>> import featherbench as fb
    >>> fb.label("rod_force_push")
    'largest push on the rod'
    """
    from featherbench.guide.findings import FINDINGS_TABLE

    words: str = ByName(FINDINGS_TABLE)[finding].label
    return words


def swing(method: str, **readings: str) -> SwungInertia:
    """Inertia (kg m^2) of a body that was hung up and swung, with its uncertainty; readings are texts with units.

    method: "bifilar" or "trifilar" (mass, period, cord_length, spacing), or "compound" (mass, period, pivot_distance).
    Raises ValueError, in words, for readings that are missing, stray, no quantities, or contradict each other.

    >>> import featherbench as fb
    >>> found = fb.swing("bifilar", mass="6.4 g", period="0.71 s", cord_length="400 mm", spacing="40 mm")
    >>> f"{found.inertia * 1e9:.0f} g mm^2"
    '801 g mm^2'
    """
    from featherbench.assembly.pendulum_recipe import NEEDED, swung_inertia
    from featherbench.quantities import parse

    if method not in NEEDED:
        raise ValueError(f"{method!r} is no way to swing: {', '.join(NEEDED)}")
    if set(readings) != set(NEEDED[method]):
        raise ValueError(
            f"a {method} swing takes {', '.join(NEEDED[method])}, not {', '.join(readings) or 'nothing'}"
        )
    measured = {name: parse(text, READINGS[name]) for name, text in readings.items()}
    for name, one in measured.items():
        if one.value <= one.tolerance:
            raise ValueError(
                f"{name} {readings[name]}: a {READINGS[name]} above 0, and a tolerance smaller than it"
            )
    return swung_inertia(method, measured)
