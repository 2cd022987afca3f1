"""What rooms call by name of rooms above them: the package itself, which stands above all, hands it in.

Importing the package registers a loader for each such name, so no room imports upward, and nothing is loaded before it
is called. Standard library only.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Loader = Callable[[], Callable[..., Any]]
_loaders: dict[str, Loader] = {}


def hand_in(name: str, loader: Loader) -> None:
    """Register what gives the function of that name when it is first wanted."""
    _loaders[name] = loader


def handed_in(name: str) -> Callable[..., Any]:
    """The function of that name. Raises KeyError for one that nobody handed in."""
    return _loaders[name]()
