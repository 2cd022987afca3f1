"""Rooms for weights on an M3 blade bolt, put together by hand: what a search asks of one, in m, given in mm."""

from types import SimpleNamespace

MM = 1e-3


def _of(sizes, more, **rest):
    return SimpleNamespace(
        **{name: value * MM for name, value in (sizes | more).items()},
        thread="M3",
        chord=0.0,
        radius=36 * MM,
        **rest,
    )


def room(**more):
    """For stacks and turned bolts: the seats of head and nut, and the limits."""
    sizes = {
        "above": 16.0,
        "below": 15.0,
        "over_all": 31.0,
        "widest": 9.0,
        "seat_above": 5.0,
        "seat_below": 6.0,
        "step": 0.1,
    }
    return _of(sizes, more, replaced=("bolt", "nut"), bars=(9 * MM,))


def bored(bars=(6.0, 7.0, 9.0), **more):
    """For collars: shank and core of the bolt that they go on, and the bars in the shop."""
    sizes = {
        "above": 12.0,
        "below": 12.0,
        "over_all": 30.0,
        "widest": 9.0,
        "step": 0.1,
        "shank": 3.0,
        "core": 2.5,
    }
    return _of(sizes, more, replaced=("old",), bars=tuple(one * MM for one in bars))
