"""What results have in common when somebody looks at them in a notebook: frames of columns, and HTML.

How a result is shown is the business of `notebook_cells`, which the rooms that make results must not know. They ask the
front door of the package, which stands above all rooms, by the public name `as_html`.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from featherbench import quantities

if TYPE_CHECKING:
    import pandas as pd


class HtmlDisplay:
    """Base of what shows itself in a notebook."""

    def _repr_html_(self) -> str:
        """HTML that needs nothing else, for the cell of a notebook."""
        html: str = sys.modules[__name__.partition(".")[0]].as_html(self)
        return html


def unit(kind: str) -> str:
    """The SI unit of a kind of quantity; "" for ratios and texts."""
    return quantities.si_unit(kind)


def frame(columns: Mapping[str, Any], kinds: Mapping[str, str]) -> pd.DataFrame:
    """A pandas frame of columns (n,), SI, the unit in each name that has one (e.g. "rod_force [N]")."""
    import pandas as pd

    named = {name: unit(kinds.get(name, "text")) for name in columns}
    return pd.DataFrame(
        {f"{name} [{named[name]}]" if named[name] else name: values for name, values in columns.items()}
    )


def findings_frame(findings: Mapping[str, Any]) -> pd.DataFrame:
    """Findings by name: value (SI, text, or None) and its unit. Each has `value` and `kind`."""
    import pandas as pd

    rows = [(finding.value, unit(finding.kind)) for finding in findings.values()]
    index = pd.Index(list(findings), name="finding")
    return pd.DataFrame(rows, columns=["value", "unit"], index=index, dtype=object)
