"""Where stall is judged, and the drag's moment about the blade bolt."""

from dataclasses import replace
from math import pi, radians

import numpy as np
import pytest

from featherbench.rotor.air_table import tabulate
from featherbench.rotor.atmosphere import air_state
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.polar_table import full_circle
from featherbench.rotor.section_polar import Section
from featherbench.rotor.stall import stall_pitch

SPIN = 9000.0 * pi / 30.0
STALL = Section._fields.index("stall")


def rotor(polar=None):
    """Two blades of 26 mm from 40 to 120 mm."""
    stations = blade_stations(0.040, 0.120, [(0.0, 0.026)], annuli=80)
    return rotor_air(2, stations, air_state(1.2, None, None), SPIN, polar=polar)


def weak_at(share):
    """Stalls late everywhere but in a belt of 4 mm about a share of the tip radius."""
    whole = rotor()
    sections = whole.sections.copy()
    sections[:, STALL] = radians(30.0)
    sections[np.abs(whole.stations.radius - share * 0.120) < 2e-3, STALL] = radians(8.0)
    return replace(whole, sections=sections)


def test_stall_is_judged_at_three_quarters_of_the_tip_radius():
    low, high = radians(-26.0), radians(28.0)
    ends = {share: stall_pitch(weak_at(share), low, high) for share in (0.4, 0.5, 0.65, 0.75, 0.85, 0.95)}
    for share in (0.4, 0.5, 0.65, 0.85, 0.95):
        assert ends[share] == (low, high), share
    negative, positive = ends[0.75]
    # 8 deg of attack, and the air that comes down through the disc takes a few more
    assert radians(9.0) < positive < radians(16.0)
    assert negative == pytest.approx(-positive, abs=radians(1.0))


def test_drag_pulls_about_the_bolt_not_the_shaft():
    """A section of constant drag at zero pitch: dD = 1/2 rho (Omega r)^2 c c_d dr, by hand over the span.

    About the bolt at 36 mm: 1/2 rho c c_d [(R^4 - r^4)/4 - r_b (R^3 - r^3)/3] Omega^2, about the shaft without the
    second term, and that for two blades is the rotor's torque.
    """
    alpha = np.radians(np.arange(-20.0, 20.5, 0.5))
    flat = full_circle(np.column_stack([alpha, 5.7 * alpha, 0.02 + 0.0 * alpha, 0.0 * alpha]), 2e5, 0.12)
    table = tabulate(rotor(flat), radians(-6.0), radians(6.0), pitches=13, axials=3)
    fourth, third = (0.120**4 - 0.040**4) / 4.0, (0.120**3 - 0.040**3) / 3.0
    size = 0.5 * 1.2 * 0.026 * 0.02
    middle = 6
    assert table.pitch[middle] == pytest.approx(0.0, abs=1e-12)
    assert table.drag_moment(0.0)[middle] == pytest.approx(size * fourth, rel=0.01)
    assert table.drag_moment(0.036)[middle] == pytest.approx(size * (fourth - 0.036 * third), rel=0.01)
    assert table.torque[middle, 1] == pytest.approx(2.0 * size * fourth, rel=0.01)


def test_a_free_blade_lags_by_the_drag_about_its_bolt(setup_of):
    """At zero pitch: drag about the bolt against the centrifugal field's pull toward the radius, r_b sum m rho."""
    setup = setup_of(blade={"swing": "free"})
    blade = setup.assembly.swinging
    outboard = blade.first[0] - 0.036 * blade.mass
    lean = setup.air.table.drag_moment(0.036)[60] / (0.036 * outboard)
    ahead = blade.first[1] / outboard  # the centre of mass comes to lie on the line from shaft to bolt
    assert abs(setup.air.table.pitch[60]) < radians(2.0)
    assert setup.lead_lag == pytest.approx(-ahead - lean, abs=0.03 * abs(lean) + 2e-4)
