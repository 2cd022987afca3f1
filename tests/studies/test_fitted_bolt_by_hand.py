"""The blade bolt that a build has, read off its parts by hand: faces, ends, what it can do, what it weighs moved."""

from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly.assembled import Solid
from featherbench.scenario.parts import CylinderPart, NutPart, ScrewPart, WasherPart
from featherbench.sizing.fitted_bolt import CLEAR, _about, _rests, fitted_bolt, moved_parts, raised
from featherbench.sizing.machined import Column, bar

MM = 1e-3
PLACE = (36.0, 2.0)


def solid(low, high, wide, place=PLACE, **more):
    """Round, from low to high, mm."""
    size = (wide * MM, wide * MM, (high - low) * MM)
    return Solid(
        more.pop("kind", "round"),
        "normal",
        (place[0] * MM, place[1] * MM, 0.5 * (low + high) * MM),
        size,
        **more,
    )


def part(name, *solids, mass=1.0, height=0.0, swings=False):
    """mass g at a height of mm on the bolt's axis, as a point."""
    chord, normal = PLACE[1] * MM, height * MM
    first = np.array([0.0, chord, normal]) * mass * MM
    second = np.outer([0.0, chord, normal], [0.0, chord, normal]) * mass * MM
    moments = SimpleNamespace(mass=mass * MM, first=first, second=second)
    return SimpleNamespace(name=name, solids=solids, moments=moments, swings=swings)


SCREW = part(
    "screw", solid(6, 9, 5.5), solid(-4, 6, 3), solid(-12, -4, 2.7, thread="M3"), mass=2.0, height=1.0
)
NUT = part("nut", solid(-9.4, -7, 5.5, tapped="M3"), mass=0.5, height=-8.0)
WASHERS = (part("high washer", solid(5.5, 6, 7, bore=3.2 * MM), mass=0.1, height=5.75),
           part("low washer", solid(-7, -6.5, 7, bore=3.2 * MM), mass=0.1, height=-6.75))  # fmt: skip
BLADE = part("blade", solid(-3, 3, 12), swings=True)
KINDS = {"screw": ScrewPart, "nut": NutPart, "high washer": WasherPart, "low washer": WasherPart, "pin": CylinderPart,
         "stud": ScrewPart, "jam": NutPart}  # fmt: skip


def found(*hardware, seats=(5.5, 6.5), others=(BLADE,)):
    scenario = SimpleNamespace(part={one.name: KINDS[one.name].model_construct() for one in hardware})
    bolt = SimpleNamespace(radius=PLACE[0] * MM, chord=PLACE[1] * MM)
    assembly = SimpleNamespace(parts=(*hardware, *others), bolt=bolt)
    return fitted_bolt(scenario, assembly, hardware, tuple(one * MM for one in seats))


def test_a_bolt_with_its_nut_and_washers_by_hand():
    bolt = found(SCREW, NUT, *WASHERS)
    figures = {name: getattr(bolt, name) / MM for name in (
        "face", "base", "top", "end", "thread_from", "nut_from", "nut_to", "nut_thread", "nut_base", "root", "long",
        "nuts_high")}  # fmt: skip
    assert figures == pytest.approx({
        "face": 6.0, "base": 6.0, "top": 9.0, "end": 12.0, "thread_from": 4.0, "nut_from": 7.0, "nut_to": 9.4,
        "nut_thread": 7.0, "nut_base": 7.0, "root": 3.0, "long": 21.0, "nuts_high": 2.4,
    })  # fmt: skip
    assert (bolt.upper, bolt.movable, bolt.screw, bolt.nuts) == (None, True, "screw", ("nut",))
    assert [one.mass / MM for one in (bolt.screw_sums, bolt.nut_sums, bolt.rest_sums)] == pytest.approx(
        [2.0, 0.5, 0.2]
    )
    # first and second moments along the normal; about the bolt's own axis a point on it has none across
    assert bolt.screw_sums == pytest.approx((2e-3, 2e-6, 2e-9, 0.0), abs=1e-15)
    assert bolt.rest_sums.first == pytest.approx(1e-4 * (5.75 - 6.75) * MM)


def test_a_thread_above_the_head_takes_a_collar_too():
    through = part("screw", *SCREW.solids, solid(9, 12, 2.7, thread="M3"))
    bolt = found(through, NUT)
    assert np.array(bolt.upper) / MM == pytest.approx([9.0, 12.0])
    assert (bolt.top / MM, bolt.thread_from / MM) == pytest.approx((12.0, 4.0))


def test_a_nut_in_two_is_counted_from_its_tapped_half():
    """One whose lower half alone is tapped, and a second nut under it."""
    two = part("nut", solid(-8, -7, 5.5), solid(-9.4, -8, 5.5, tapped="M3"))
    jam = part("jam", solid(-11, -9.4, 5.5, tapped="M3"))
    bolt = found(SCREW, two, jam)
    assert [one / MM for one in (bolt.nut_from, bolt.nut_to, bolt.nut_thread)] == pytest.approx(
        [7.0, 11.0, 8.0]
    )
    assert bolt.nuts == ("nut", "jam")


def test_what_is_no_screw_with_a_nut_takes_no_collars():
    stud = part("stud", solid(-12, 12, 2.7, thread="M3"))
    no_screw = "the file's blade bolt is no screw with a nut"
    for hardware in ((SCREW,), (NUT,), (SCREW, stud, NUT)):
        assert found(*hardware).startswith(no_screw)
    turned = part("screw", solid(-9, -6, 5.5), solid(-6, 4, 3), solid(4, 12, 2.7, thread="M3"))
    high_nut = part("nut", solid(7, 9.4, 5.5, tapped="M3"))
    for hardware in ((turned, NUT), (SCREW, high_nut), (stud, NUT)):
        assert found(*hardware).startswith("they are laid out for a bolt with its head above")


def test_a_turned_pin_beside_the_bolt_stays_where_it_is():
    pin = part("pin", solid(5, 6, 4))
    assert not found(SCREW, NUT, pin).movable
    assert found(SCREW, NUT).root == pytest.approx(3.0 * MM)
    assert found(SCREW, NUT, others=()).root == 0.0
    apart = part("blade", solid(-9, 9, 12, place=(50.0, 2.0)), swings=True)
    assert found(SCREW, NUT, others=(apart,)).root == 0.0
    still = part("grip", solid(-9, 9, 12))
    assert found(SCREW, NUT, others=(still,)).root == 0.0


def test_the_bolt_passes_through_what_stands_about_it():
    assembly = SimpleNamespace(bolt=SimpleNamespace(radius=36 * MM, chord=2 * MM))
    within = ((36, 2), (41.9, 2), (30.1, 2), (36, 7.9), (36, -3.9))
    beside = ((42.1, 2), (29.9, 2), (36, 8.1), (36, -4.1))
    for place, through in (*((one, True) for one in within), *((one, False) for one in beside)):
        assert _about(solid(0, 1, 12, place=place), assembly) is through
    for kind, through in (("box", True), ("hex", True), ("blade", False), ("surface", False)):
        assert _about(solid(0, 1, 12, kind=kind), assembly) is through


@pytest.mark.parametrize(
    ("face", "side", "rests"),
    [(6.0, 1.0, 6.0), (6.4, 1.0, 6.4), (6.6, 1.0, 6.0), (5.4, 1.0, 6.0), (5.6, -1.0, 6.2), (6.3, -1.0, 6.3)],
)
def test_a_head_rests_on_the_grip_and_the_washers_on_its_side(face, side, rests):
    """Seat at 5.5 mm, a washer of 0.5 above, of 0.2 and 0.5 below; half a millimetre that it may stand off."""
    washers = [solid(5.5, 6, 7), solid(-7, -6.8, 7), solid(-8, -7.5, 7)]
    assert _rests(face * MM, 5.5 * MM, washers, side) / MM == pytest.approx(rests)
    assert CLEAR == 0.5 * MM


def test_metal_that_is_moved_weighs_as_much_and_turns_about_where_it_is():
    """A bar of 4 mm from 2 to 5 mm, moved by 3 mm up, is one from 5 to 8; of several places at once, too."""
    own = bar(4 * MM, 2 * MM, 5 * MM, 7850.0)
    for by in (3.0, -1.5, 0.0):
        there = bar(4 * MM, (2 + by) * MM, (5 + by) * MM, 7850.0)
        assert np.array(raised(own, by * MM)) == pytest.approx(np.array(there))
    many = raised(own, np.array([0.0, 3.0]) * MM)
    assert [value.shape for value in many] == [(2,)] * 4
    assert many.across == pytest.approx([own.across] * 2)
    assert raised(Column(1.0, 2.0, 5.0, 0.7), 3.0) == (1.0, 5.0, 26.0, 0.7)


def test_moved_parts_stand_where_they_were_moved_to(monkeypatch):
    from featherbench.sizing import fitted_bolt as own

    monkeypatch.setattr(
        own, "kind_of", lambda part, name, count: SimpleNamespace(table={"kind": (part.what, name, count)})
    )
    at = SimpleNamespace(radius=36 * MM, chord=2 * MM, normal=1 * MM)
    parts = {name: SimpleNamespace(at=at, what=name.upper(), shank_diameter=None) for name in ("s", "n", "w")}
    bolt = SimpleNamespace(parts=parts, nuts=("n",), screw="s", face=6 * MM)
    place = {"radius": "36 mm", "chord": "2 mm"}
    assert moved_parts(bolt, 1.5 * MM, 2 * MM, False) == {
        "s": {"group": "bolt", "kind": ("S", "s", 1), "at": place, "under_head": "7.5 mm"},
        "n": {"group": "bolt", "kind": ("N", "n", 1), "at": place | {"normal": "-1 mm"}},
        "w": {"group": "bolt", "kind": ("W", "w", 1), "at": place | {"normal": "1 mm"}},
    }
    parts["s"].shank_diameter = 2.9 * MM
    without = moved_parts(bolt, 0.0, 0.0, True)
    assert list(without) == ["s", "w"]
    assert without["s"]["shank_diameter"] == "2.9 mm"
