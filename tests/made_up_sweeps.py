"""Made-up builds of a sweep, and the choice among them."""

from featherbench.hovering.bias import Bias, Point
from featherbench.hovering.bias_choice import choose


def point(compensation, rod_force, shown, seat_ratio=1.5, phase=0.0, release="returns", hover=None):
    """shown: in how many of twelve draws play shows."""
    return Point(
        compensation=compensation,
        phase=phase,
        rod_force=rod_force,
        rod_force_low=-rod_force,
        rod_force_high=rod_force,
        rod_force_hover=0.5 * rod_force if hover is None else hover,
        current_peak=0.5,
        current_hold=0.2,
        current_hover=0.1,
        release=release,
        seat_ratio=seat_ratio,
        seat_ratio_trim=2.0 * seat_ratio,
        float_low=float("nan"),
        float_high=float("nan"),
        wag_heading=2e-3,
        charge_flown=3.6 * rod_force,
        winding_flown=300.0,
        shows=(True,) * shown + (False,) * (12 - shown),
    )


LIGHT = point(0.0, 20.0, 0, 3.0)
SLIGHT = point(0.4, 12.0, 1, 1.5)
BARE = point(0.6, 6.0, 2, 1.1)
LOOSE = point(0.8, 4.0, 11, 0.5, hover=0.1)
SWEEP = (LIGHT, SLIGHT, BARE, LOOSE)


def chosen(points, margin=0.0, interrupted=False, asked=None):
    """The scenario is only handed on."""
    return choose(Bias(tuple(points), asked or len(points), margin, 4e-3, interrupted, None))
