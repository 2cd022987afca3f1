"""Whether a window can be opened here, said in words when it cannot."""

from __future__ import annotations

import os
import sys

NO_DISPLAY = "no display to open a window on: run it at a desktop, or use featherbench predict and compare"
NO_TOOLKIT = (
    "Python has no window toolkit here: install Tk for it (Debian and Ubuntu: apt install python3-tk; Fedora: dnf "
    "install python3-tkinter; Homebrew: brew install python-tk), or pip install PySide6"
)


class NoWindow(Exception):
    """No window can be opened; the message is for the person who asked."""


def check_screen() -> None:
    """Let matplotlib choose a backend that opens windows; raises NoWindow when there is none."""
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


def show() -> None:
    """Open all windows and wait until they are closed."""
    from matplotlib import pyplot

    pyplot.show(block=True)
