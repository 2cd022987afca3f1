"""Whether the compiled kernels are already on disk, so that a first use can say why it takes a while."""

from __future__ import annotations

from pathlib import Path

from featherbench.plant.integrate import integrate_rows


def is_compiled() -> bool:
    """True when an earlier use left the compiled stepper in the cache."""
    folder = integrate_rows.stats.cache_path
    return folder is not None and any(Path(folder).glob("integrate.integrate_rows-*.nbi"))
