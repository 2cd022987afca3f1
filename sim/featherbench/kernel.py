"""The one way to compile a law."""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable
from typing import Any

from numba import njit
from numba.core import config
from numba.core.caching import FunctionCache
from numba.core.runtime import rtsys

from featherbench.kernel_cache import folder

_ONE_AT_A_TIME = threading.Lock()


class KeptLaws(FunctionCache):
    """What was compiled before, loaded without the half second of numba (and of scipy) that only compiling needs."""

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """The compiled function of that signature, or None; as its base does, which refreshes the context before.

        What runs needs no more than numba's memory management; whoever compiles refreshes for himself.
        """
        rtsys.initialize(target_context)
        with self._guard_against_spurious_io_errors():
            return self._load_overload(sig, target_context)
        return None


def kernel(law: Callable[..., Any] | None = None, **options: Any) -> Any:
    """Compile a law with `numba.njit`, the interpreter let go; keep it in the folder chosen for these sources.

    A division by zero gives inf or nan, as in numpy: a march that meets one is refused by its figures. Could a division
    raise, numba would count references to the tables in every step, a fifth of the stepper's time. A law that is called
    in every step with a nested tuple takes `forceinline=True`: handing a hundred floats over is as much work again.

    `options` are those of `njit`. Other compiled functions of the process are kept where they always were: numba asks
    for its folder as it decorates, and is told another only meanwhile.
    """
    if law is None:
        return functools.partial(kernel, **options)
    kept = folder()
    asked: Any = {"nogil": True, "error_model": "numpy"} | options
    if kept is None:
        return njit(**asked)(law)
    with _ONE_AT_A_TIME:
        before = {name: getattr(config, name, "") for name in ("CACHE_DIR", "CACHE_LOCATOR_CLASSES")}
        try:
            for name, value in zip(before, (str(kept), ""), strict=True):
                setattr(config, name, value)
            made = njit(cache=True, **asked)(law)
            if type(getattr(made, "_cache", None)) is FunctionCache:
                made._cache.__class__ = KeptLaws
            return made
        except RuntimeError:  # the folder has gone since
            return njit(**asked)(law)
        finally:
            for name, value in before.items():
                setattr(config, name, value)
