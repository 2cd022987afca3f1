"""What commands compute, once in a test process.

A test of what is said, drawn or written of a result need not wait for it to be computed again. That the same build
gives the same result is tested where results are made, and across processes.
"""

from __future__ import annotations

import functools
import importlib
import inspect
import io
import pickle
from collections import OrderedDict
from collections.abc import Callable
from typing import Any

from featherbench.bench.setup import Setup
from featherbench.studies import Run

HOMES = {
    "featherbench.studies": ("predict", "compare"),
    "featherbench.sampling.sampled": ("sampled",),
    "featherbench.sampling.spread": ("spread",),
    "featherbench.sampling.assumptions": ("assumptions_that_matter",),
    "featherbench.ranking.force_by_part": ("influences",),
    "featherbench.judging.sizing": ("size",),
    "featherbench.hovering.wag": ("hover_draws", "wag"),
    "featherbench.hovering.bias": ("hover_draws",),
    "featherbench.fitting.match": ("match",),
    "featherbench.fitting.calibrate": ("calibrate",),
}
"""Where commands look for what they compute with."""
SAID = ("progress", "executor")
"""Arguments that no result depends on."""
KEPT = 60
"""Results, the latest asked for: a run with its courses is some megabytes."""


def once(compute: Callable[..., Any]) -> Callable[..., Any]:
    """The same function, which remembers what it came to."""
    known: OrderedDict[bytes, Any] = OrderedDict()
    taken = inspect.signature(compute)

    @functools.wraps(compute)
    def remembered(*arguments: Any, **options: Any) -> Any:
        try:
            asked = taken.bind(*arguments, **options)
            asked.apply_defaults()
            key = _key({name: _told(value) for name, value in asked.arguments.items() if name not in SAID})
        except (pickle.PicklingError, AttributeError, TypeError):  # it asks to be told of its samples, say
            return compute(*arguments, **options)
        if key not in known:
            found = compute(*arguments, **options)
            if not _whole(found):
                return found
            known[key] = found
        known.move_to_end(key)
        while len(known) > KEPT:
            known.popitem(last=False)
        return known[key]

    remembered.known = known  # type: ignore[attr-defined]  # to be emptied where computing anew is the matter
    return remembered


def _whole(found: Any) -> bool:
    """Whether nothing stopped it on its way: what was cut short is nobody else's answer."""
    parts = (found, getattr(found, "fitted", None))
    return not any(getattr(one, "interrupted", False) or not getattr(one, "complete", True) for one in parts)


def _key(asked: Any) -> bytes:
    """Equal for what is equal: without the memo by which a pickle tells one object met twice from two that are alike,
    as a scenario read once more is made of.
    """
    kept = io.BytesIO()
    pickler = pickle.Pickler(kept)
    pickler.fast = True
    pickler.dump(asked)
    return kept.getvalue()


def _told(argument: Any) -> Any:
    """What an argument is known by: a run and what is ready to run by their scenario."""
    if isinstance(argument, Run | Setup):
        return type(argument).__name__, argument.scenario
    if isinstance(argument, list | tuple):
        return [_told(one) for one in argument]
    return argument


@functools.cache
def remembering() -> tuple[tuple[Any, str, Callable[..., Any]], ...]:
    """Modules, names in them, and what stands there when nothing is to be computed twice."""
    modules = {home: importlib.import_module(home) for home in HOMES}
    return tuple(
        (modules[home], name, once(getattr(modules[home], name))) for home in HOMES for name in HOMES[home]
    )
