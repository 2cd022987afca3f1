"""The section law against computed polars at the Reynolds numbers of model tail rotors, where no table is published.

Status RAN: neuralfoil 0.3.3, see `computed_polars.py`. Up to 10 degrees only, as far as the tool is sure of itself; and
why the program keeps its own law: with the computed polars a published rotor comes out worse.
"""

import math

import numpy as np
import pytest

from computed_polars import by_law, by_table, compared, polars, published_rotors
from featherbench.rotor.section_polar import section_at, section_coefficients
from source import About
from table import check

ABOUT = About(
    kind="program",
    title="computed section polars",
    mapping="As printed by the tool; about 0.40 of the chord by adding 0.15 of the normal force",
    uncertainty="None stated; its own figure of confidence is above 0.8 in every row used",
    left_out="Past 10 degrees, and Reynolds number 25 000, where it is not sure of itself",
)
SOURCE = "neuralfoil 0.3.3, xxxlarge"
THICKNESS = {"NACA 0012": 0.12, "NACA 0015": 0.15}
USED = [(name, reynolds) for name in THICKNESS for reynolds in (5e4, 1e5, 1.6e5, 3e5)]


@pytest.mark.parametrize(("name", "reynolds"), USED, ids=[f"{name} {number:g}" for name, number in USED])
def test_lift_and_moment_before_the_stall(name, reynolds):
    section = section_at(reynolds, 0.0, THICKNESS[name])
    for alpha, lift, drag, moment, sure in polars()[name, reynolds]:
        if alpha not in (4.0, 6.0, 8.0, 10.0):
            continue
        assert sure > 0.8
        angle = math.radians(alpha)
        ours = section_coefficients(angle, section)
        case = f"{name}, {alpha:.0f} deg, Re {reynolds:g}"
        reason = "bar 0.02; laminar bubbles move the computed moment, published tests scatter by 0.03"
        more = {"relative": False, "absolute": True, "quantity": "section moment, computed, c_m", "bar": 0.02}
        check(SOURCE, "RAN", f"c_m, {case}", moment, ours[2], 0.04, reason, **more)
        about = [c_m + 0.15 * (c_l * math.cos(angle) + c_d * math.sin(angle)) for c_l, c_d, c_m in (
            (lift, drag, moment), ours)]  # fmt: skip
        reason = "bar 12 %; at 10 deg ours stalls, the computed section does not yet"
        more = {"quantity": "moment about 0.40 chord, computed", "bar": 0.12}
        check(SOURCE, "RAN", f"about 0.40 c, {case}", about[0], about[1], 0.30, reason, **more)


def test_a_published_rotor_is_worse_with_the_computed_polars():
    """Four blades of TN 626 at 8 degrees, and all of it by command: 22 % against 5 % rms in C_T."""
    (case,) = [
        one for one in published_rotors() if one[0] == "TN 626" and one[2] == 8 and one[1].blades == 4.0
    ]
    own, computed = (compared([case], law)["TN 626"][0] for law in (by_law, by_table))
    assert abs(own) < 0.08
    assert computed > 0.15
    assert np.isfinite(computed)
