"""The one way to compile a law."""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from numba import njit
from numba.core import config
from numba.core.caching import FunctionCache, NullCache
from numba.core.runtime import rtsys

from featherbench.kernel_cache import folder

_ONE_AT_A_TIME = threading.Lock()


class KeptLaws(FunctionCache):
    """What was compiled before, loaded without the half second of numba (and of scipy) that only compiling needs.

    A run asks for a quarter of all laws: where one is kept is looked up as it is asked for, not as it is decorated.
    """

    def __init__(self, law: Callable[..., Any], kept: Path) -> None:
        """law: what is compiled; kept: the folder."""
        self._law, self._kept = law, kept
        self.enable()

    def __getattr__(self, name: str) -> Any:
        """What numba's own beginning sets, put off until then. Raises RuntimeError where the folder has gone."""
        if name.startswith("__") or "_cache_file" in vars(self):
            raise AttributeError(name)
        with _keeping_in(self._kept):
            super().__init__(self._law)
        return getattr(self, name)

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """The compiled function of that signature, or None; as its base does, which refreshes the context before.

        What runs needs no more than numba's memory management; whoever compiles refreshes for himself.
        """
        rtsys.initialize(target_context)
        try:
            with self._guard_against_spurious_io_errors():
                return self._load_overload(sig, target_context)
        except RuntimeError:
            if "_cache_file" in vars(self):
                raise
            self.disable()  # the folder has gone since: it is compiled, and not kept
        return None


@contextmanager
def _keeping_in(kept: Path) -> Iterator[None]:
    """Have numba keep what it compiles in that folder, which it reads in its settings, and only meanwhile."""
    with _ONE_AT_A_TIME:
        before = {name: getattr(config, name, "") for name in ("CACHE_DIR", "CACHE_LOCATOR_CLASSES")}
        try:
            for name, value in zip(before, (str(kept), ""), strict=True):
                setattr(config, name, value)
            yield
        finally:
            for name, value in before.items():
                setattr(config, name, value)


def kernel(law: Callable[..., Any] | None = None, **options: Any) -> Any:
    """Compile a law with `numba.njit`, the interpreter let go; keep it in the folder chosen for these sources.

    A division by zero gives inf or nan, as in numpy: a march that meets one is refused by its figures. Could a division
    raise, numba would count references to the tables in every step, a fifth of the stepper's time. A law that is called
    in every step with a nested tuple takes `forceinline=True`: handing a hundred floats over is as much work again.

    `options` are those of `njit`. Other compiled functions of the process are kept where they always were.
    """
    if law is None:
        return functools.partial(kernel, **options)
    asked: Any = {"nogil": True, "error_model": "numpy"} | options
    made = njit(**asked)(law)
    kept = folder()
    if kept is not None and type(getattr(made, "_cache", None)) is NullCache:
        made._cache = KeptLaws(law, kept)
    return made
