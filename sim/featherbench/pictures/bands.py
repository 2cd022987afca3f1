"""Bands of what tolerances do, laid around the curves they belong to.

They are denser than the friction band and edged by hairlines, so that the two stay apart in grey, too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.pictures import style
from featherbench.pictures.drawing import Label, shown

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from featherbench.views.cases import Case

OPACITY, HAIRLINE, THIN = 0.34, 0.45, 0.9
"""Opacity of the fill; widths of the edges and of a curve within its band, points."""


def has_band(case: Case, curve: str) -> bool:
    """Whether the tolerances' band of a curve named in `sampling.sampled.BuildSpread` is known."""
    return case.spread is not None and curve in case.spread.bands


def draw_band(
    ax: Axes,
    case: Case,
    curve: str,
    kind: str,
    system: str,
    role: str,
    *,
    named: bool = False,
    by: float | NDArray[np.float64] = 1.0,
) -> list[Label]:
    """The band of a curve in the role's colour; its label at the right edge where it is to be named.

    by: what its values (SI) are multiplied by first, one number or one for each pitch of the band.
    """
    if case.spread is None or curve not in case.spread.bands:
        return []
    band = case.spread.bands[curve]
    low, high = shown(band.low * by, kind, system), shown(band.high * by, kind, system)
    known = np.isfinite(low)  # not everywhere, where a tolerance moves the ends of the pitch range
    if not known.any():
        return []
    tint = style.colour(role)
    ax.fill_between(
        np.rad2deg(case.spread.pitch)[known],
        low[known],
        high[known],
        facecolor=(tint, OPACITY),
        edgecolor=tint,
        linewidth=HAIRLINE,
        zorder=1.5,
    )
    return [Label(float(high[known][-1]), "95 % range", role)] if named else []


def beside_band(stroke: style.Stroke, case: Case, curve: str) -> style.Stroke:
    """The stroke of a curve, thin enough for its band to be seen."""
    return stroke._replace(width=min(stroke.width, THIN)) if has_band(case, curve) else stroke
