"""Slips in what is stated of strength, thread and joint: ten times too much is remarked on, what may be is not."""

import pytest

from featherbench.slips import remarks

BRASS = {"property_class": None, "material": "brass"}
OWN = {"property_class": None, "proof_strength": "600 MPa"}
STEEL = {"property_class": None, "material": "steel"}


def said(setup_of, sound, **changes):
    return [
        line
        for line in remarks(setup_of(**sound(**changes)))
        if "strength" in line or "engage" in line or "joint" in line
    ]


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"part": {"grip": {"yield_strength": "2760 MPa"}}}, "part.grip.yield_strength"),
        ({"part": {"grip": {"yield_strength": "27.6 MPa"}}}, "part.grip.yield_strength"),
        ({"part": {"root": {"material": "nylon", "yield_strength": "1100 MPa"}}}, "part.root.yield_strength"),
        ({"part": {"bolt": {"property_class": None, "proof_strength": "4000 MPa"}}}, "part.bolt.proof_strength"),
        ({"part": {"bolt": {**BRASS, "proof_strength": "900 MPa"}}}, "part.bolt.proof_strength"),
        ({"retention": {**STEEL, "yield_strength": "60 MPa"}}, "retention.yield_strength"),
        ({"retention": {"engagement": "60 mm"}}, "retention.engagement"),
        ({"retention": {"engagement": "0.6 mm"}}, "retention.engagement"),
        ({"part": {"bolt": {**OWN, "ultimate_strength": "1650 MPa"}}}, "part.bolt.ultimate_strength"),
        ({"retention": {**STEEL, "yield_strength": "400 MPa", "ultimate_strength": "1100 MPa"}},
         "retention.ultimate_strength"),
        ({"joint": {"root_thickness": "3 mm"}}, "joint.root_thickness"),
        ({"joint": {"cheek_thickness": "4 mm"}}, "joint.cheek_thickness"),
        ({"joint": {"clearance": "1.6 mm", "cheek_thickness": "2 mm"}}, "joint.clearance"),
    ],
)  # fmt: skip
def test_a_slip_is_named(setup_of, sound, changes, key):
    assert [line for line in said(setup_of, sound, **changes) if f": {key} = " in line]


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"part": {"grip": {"yield_strength": "240 MPa"}}},
        {"part": {"root": {"material": "nylon", "yield_strength": "110 MPa"}}},
        {"part": {"bolt": {"property_class": None, "proof_strength": "830 MPa", "material": "steel"}}},
        {"part": {"bolt": {**OWN, "ultimate_strength": "1600 MPa"}}},
        {"retention": {"engagement": "10 mm"}},
        {"joint": {"root_thickness": "5.2 mm", "cheek_thickness": "1.8 mm"}},
    ],
)
def test_what_can_be_meant_goes_without_a_word(setup_of, sound, changes):
    assert said(setup_of, sound, **changes) == []
