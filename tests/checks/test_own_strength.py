"""Whose strength counts: the part's own, never one inherited; what is not known is a reason not to run."""

import pytest

from featherbench.checks.bolt import PIN, SHEAR
from featherbench.checks.fasteners import CLASSES, property_class
from featherbench.checks.strength import resolved
from featherbench.scenario.built_tables import Retention

GRIP_PULL = "what holds the grip on its axis"


@pytest.mark.parametrize(
    ("name", "ultimate", "proof"),
    [("4.8", 420, 310), ("5.8", 520, 380), ("8.8", 800, 580), ("9.8", 900, 650), ("10.9", 1040, 830),
     ("12.9", 1220, 970), ("A2-70", 700, 450), ("A4-80", 800, 600)],
)  # fmt: skip
def test_values_of_every_class(name, ultimate, proof):
    assert (CLASSES[name].ultimate, CLASSES[name].proof) == (ultimate * 1e6, proof * 1e6)
    assert set(CLASSES) == {"4.8", "5.8", "8.8", "9.8", "10.9", "12.9", "A2-70", "A4-80"}
    assert property_class(f"class {name.lower()}") is CLASSES[name]


@pytest.mark.parametrize(
    "material", ["nylon", "brass", "aluminium 7075", "titanium", "stainless", "carbon", "lead", "acetal"]
)
def test_a_bolt_of_another_metal_does_not_inherit_the_class(path_of, material):
    bolt = {"material": material, "property_class": None}
    check = path_of(part={"bolt": bolt})[PIN]
    steel = path_of()[PIN]
    assert check.verdict in ("unknown", "fails") or material == "titanium"  # 830 MPa of its own
    assert check.allowable is None or check.allowable <= steel.allowable
    assert "10.9" not in check.source or check.verdict == "unknown"


@pytest.mark.parametrize("material", ["nylon", "brass", "titanium", "stainless", "steel 4140"])
def test_a_class_on_a_bolt_of_another_metal_is_not_believed(path_of, material):
    check = path_of(part={"bolt": {"material": material, "property_class": "12.9"}})[SHEAR]
    assert (check.verdict == "unknown") == (material != "steel 4140")


def test_the_class_of_limits_is_for_bought_steel_that_states_none(path_of):
    own = path_of(part={"bolt": {"property_class": "8.8"}})[PIN].allowable
    default = path_of(part={"bolt": {"property_class": None}})[PIN].allowable
    assert default / own == pytest.approx(830.0 / 580.0)
    none = path_of(part={"bolt": {"property_class": None}}, limits={"bolt_class": None})[PIN]
    assert none.verdict == "unknown"
    assert "part.bolt.property_class" in none.source
    odd = path_of(part={"bolt": {"property_class": "11.5"}})[PIN]
    assert odd.verdict == "unknown"
    assert "10.9" in odd.source
    stainless = {"material": "stainless", "property_class": None}
    assert path_of(part={"bolt": stainless})[PIN].verdict == "unknown"
    assert path_of(part={"bolt": stainless}, limits={"bolt_class": "A2-70"})[PIN].allowable == pytest.approx(
        default * 450.0 / 830.0
    )


def turned(**more):
    pieces = [{"from": "-11 mm", "length": "6.9 mm", "thread": "M3"},
              {"from": "-4.1 mm", "length": "8.6 mm", "diameter": "3 mm"},
              {"from": "4.5 mm", "length": "3 mm", "diameter": "5.5 mm"}]  # fmt: skip
    taken = {"standard": None, "size": None, "under_head": None, "shank_length": None, "property_class": None}
    return {**taken, "shape": "stack", "axis": "normal", "pieces": pieces, **more}


def test_a_turned_bolt_is_of_ordinary_bar_unless_it_says_better(path_of):
    bought, mild = path_of()[PIN], path_of(part={"bolt": turned(material="steel")})[PIN]
    assert mild.allowable / bought.allowable == pytest.approx(235.0 / 830.0)
    assert mild.verdict == "fails"
    assert "S235" in mild.source
    better = path_of(
        part={"bolt": turned(material="steel", yield_strength="640 MPa", ultimate_strength="800 MPa")}
    )
    assert better[PIN].allowable / bought.allowable == pytest.approx(640.0 / 830.0)
    assert better[SHEAR].allowable / path_of()[SHEAR].allowable == pytest.approx(800.0 / 1040.0)
    assert path_of(part={"bolt": turned(material="steel", property_class="12.9")})[PIN].verdict == "unknown"
    assert path_of(part={"bolt": turned(density="7850 kg/m^3")})[PIN].verdict == "unknown"


def test_the_softer_of_bolt_and_part_bears_the_pressure(path_of):
    """0.5 of 276 MPa of the root; of 205 MPa where the bolt is softer still."""
    name = "bolt pressure in the blade root"
    assert path_of()[name].allowable == pytest.approx(0.5 * 276e6)
    soft = path_of(part={"bolt": {"property_class": None, "yield_strength": "205 MPa", "material": "steel"}})
    assert soft[name].allowable == pytest.approx(0.5 * 205e6)
    assert soft[name].section == "part.bolt"
    pull = path_of()[SHEAR].demand
    assert path_of()[name].demand == pytest.approx(pull / (3e-3 * 5e-3))
    assert path_of()["bolt pressure in the grip"].demand == pytest.approx(
        pull / (3e-3 * 2.0 * 1.9e-3), rel=0.2
    )


@pytest.mark.parametrize("part", ["root", "grip"])
@pytest.mark.parametrize("material", ["nylon", "ABS", "acetal", "carbon", None])
def test_plastics_and_unknown_stuff_about_the_bolt_are_unknown(path_of, part, material):
    name = {"root": "bolt pressure in the blade root", "grip": "bolt pressure in the grip"}[part]
    check = path_of(part={part: {"material": material}})[name]
    assert check.verdict == "unknown"
    assert f"part.{part}" in check.source
    stated = path_of(part={part: {"material": material, "yield_strength": "120 MPa"}})[name]
    assert stated.allowable == pytest.approx(0.5 * 120e6)


def test_the_bearing_without_a_rating_is_unknown(path_of):
    check = path_of(bearing={"static_rating": None})["thrust bearing"]
    assert check.verdict == "unknown"
    assert check.load_path


def test_what_holds_the_grip_by_hand(path_of, setup_of, sound):
    """The whole pull on the core of M4, 3.141 mm: 0.5 x 830 MPa; never known where nothing is stated."""
    check = path_of()[GRIP_PULL]
    core = 4e-3 - 1.226869 * 0.7e-3
    assert check.allowable == pytest.approx(0.5 * 830e6 * 3.14159265 / 4.0 * core**2)
    setup = setup_of(**sound())
    spin = setup.scenario.rotor.speed * 1.2
    assert check.demand == pytest.approx(setup.moments.radial * spin**2)
    bare = path_of(retention=None)[GRIP_PULL]
    assert bare.verdict == "unknown"
    assert "[retention]" in bare.source
    neck = path_of(retention={"diameter": "2 mm"})
    assert neck[GRIP_PULL].allowable == pytest.approx(0.5 * 830e6 * 3.14159265 / 4.0 * 4e-6)
    assert "plain neck" in neck[GRIP_PULL].section
    two = path_of(retention={"number": 2})[GRIP_PULL]
    assert two.demand == pytest.approx(0.75 * check.demand)
    thick = path_of(retention={"diameter": "6 mm"})[GRIP_PULL]
    assert thick.allowable == check.allowable


def test_the_thread_of_what_holds_the_grip(path_of):
    name = "thread of what holds the grip"
    steel, soft = path_of()[name], path_of(retention={"into": "aluminium 6061"})[name]
    assert steel.allowable / soft.allowable == pytest.approx(235.0 / 276.0)
    for stated in ({}, {"into_yield": "80 MPa"}):  # creeps, whatever it yields at
        plastic = path_of(retention={"into": "nylon", **stated})[name]
        assert plastic.verdict == "unknown"
        assert "creeps" in plastic.source
    assert path_of(retention={"engagement": None})[name].verdict == "unknown"
    longer = path_of(retention={"engagement": "11.3 mm"})[name]
    assert longer.allowable / steel.allowable == pytest.approx((11.3 - 0.7) / (6.0 - 0.7))
    turned_own = {"property_class": None, "material": "steel"}
    assert path_of(retention=turned_own)[GRIP_PULL].allowable == pytest.approx(
        path_of()[GRIP_PULL].allowable * 235.0 / 830.0
    )


def test_a_class_needs_steel_even_where_only_a_class_is_stated():
    stated = Retention(property_class="10.9", material="brass")
    assert isinstance(resolved(stated, "retention", bought=True), str)


def test_a_metal_breaks_at_2_7_times_its_yield_at_most(path_of):
    """600 MPa of proof: whatever is stated, shear goes by 1,620 MPa at most."""

    def sheared(ultimate):
        own = {"property_class": None, "proof_strength": "600 MPa", "ultimate_strength": f"{ultimate} MPa"}
        return path_of(part={"bolt": own})["blade bolt, shear in two planes"].allowable

    assert sheared(1600) == pytest.approx(2.0 * sheared(800))
    assert sheared(2000) == pytest.approx(1620.0 / 1600.0 * sheared(1600))
