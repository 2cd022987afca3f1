"""Friction-dominated play: a follower that rests where it is until its leader has crossed the gap.

A reference model, not used by the program: the limit of `plant.contact` and `plant.friction` for a stiff joint and a
light follower with friction enough to hold it in the gap. What drives anything through such a joint sees lost motion
and lag, never a force.
"""

from __future__ import annotations

from numba import njit


@njit
def follow(lead: float, follower: float, half_play: float) -> float:
    """Where the follower is once the leader is at `lead`, having been at `follower`: at most half_play apart.

    Any unit, the same for all three; half_play is half the peak-to-peak play. Repeating a call changes nothing.
    """
    return min(max(follower, lead - half_play), lead + half_play)
