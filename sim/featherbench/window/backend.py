"""Whether a window can be opened here, said in words when it cannot."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Any

from featherbench.libraries import need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

NO_DISPLAY = "no display to open a window on: run it at a desktop, or use featherbench predict and compare"
NO_TOOLKIT = (
    "Python has no window toolkit here: install Tk for it (Debian and Ubuntu: apt install python3-tk; Fedora: dnf "
    "install python3-tkinter; Homebrew: brew install python-tk), or pip install PySide6"
)


SHARES = (0.98, 0.9)
"""Of a screen's width and height: the rest is for a window's frame and the desktop's bars."""


class NoWindow(Exception):
    """No window can be opened; the message is for the person who asked."""


def check_screen() -> None:
    """Let matplotlib choose a backend that opens windows; raises NoWindow when there is none, LibraryMissing without
    matplotlib.
    """
    need("matplotlib")
    asked = os.environ.get("MPLBACKEND", "")
    try:
        import matplotlib
        from matplotlib import pyplot

        if asked:
            pyplot.switch_backend(asked)
        name = str(matplotlib.get_backend())
    except (ImportError, ValueError, AttributeError, RuntimeError):
        raise NoWindow(_why(asked)) from None
    if not _opens_windows(name):
        raise NoWindow(_why(asked))


def _opens_windows(name: str) -> bool:
    from matplotlib.backends import BackendFilter, backend_registry

    known = [own.lower() for own in backend_registry.list_builtin(BackendFilter.INTERACTIVE)]
    return name.lower() in known or name.lower().startswith("module://")


def _why(asked: str) -> str:
    """What is in the way, the likeliest first."""
    if not _has_display():
        return NO_DISPLAY
    if not _has_toolkit():
        return NO_TOOLKIT
    if asked:
        return (
            f"MPLBACKEND={asked} opens no window here: unset it, or name another backend, for example TkAgg"
        )
    return (
        f"the display {os.environ.get('DISPLAY') or os.environ.get('WAYLAND_DISPLAY', '')} cannot be reached"
    )


def _has_display() -> bool:
    if sys.platform.startswith(("win", "darwin")):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _has_toolkit() -> bool:
    from importlib.util import find_spec

    def there(name: str) -> bool:
        try:
            return find_spec(name) is not None
        except (ImportError, ValueError):
            return False

    return there("_tkinter") or any(there(name) for name in ("PySide6", "PyQt6", "PyQt5", "gi", "wx"))


def fit_screen(figure: Figure) -> None:
    """Make a new window smaller where its screen is, as far as its toolkit is known to tell."""
    window: Any = getattr(figure.canvas.manager, "window", None)
    if not hasattr(window, "winfo_screenwidth"):
        return
    # pixels of the screen for each of the figure's, which the canvas itself learns when it is first shown
    dense = max(1.0, round(float(window.tk.call("tk", "scaling")) * 72.0 / 96.0, 2))
    width, height = (dense * side for side in figure.canvas.get_width_height())
    room = (SHARES[0] * window.winfo_screenwidth(), SHARES[1] * window.winfo_screenheight())
    if width > room[0] or height > room[1]:
        wide, tall = figure.get_size_inches()
        shares = min(1.0, room[0] / width), min(1.0, room[1] / height)
        figure.set_size_inches(wide * shares[0], tall * shares[1], forward=True)


def show() -> None:
    """Open all windows and wait until they are closed."""
    from matplotlib import pyplot

    pyplot.show(block=True)
