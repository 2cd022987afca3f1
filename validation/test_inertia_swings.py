"""Inertia by swinging: published measurements worked through, and bodies whose inertia is known."""

import math

import numpy as np

from featherbench.assembly.pendulum import (
    pendulum_inertia,
    suspended_inertia,
    torsion_inertia,
    torsion_stiffness,
)
from featherbench.assembly.shapes import Piece, box, coaxial, scaled
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="inertia by swinging",
    uncertainty="Periods of the logged measurement scatter by 0.8 %",
)

FOOT, SLUG = 0.3048, 14.59390294
SLUG_FT2 = SLUG * FOOT**2


def test_bifilar_measurement():
    """A public student log: 0.958 kg, half separation 0.235 m, cords 0.51 m, four runs of twenty periods."""
    periods = np.array([0.6656, 0.65715, 0.6572, 0.65385])
    source = "Bifilar measurement, public student log"
    assert abs(periods.mean() - 0.65845) < 1e-5  # as printed
    sigma = float(
        periods.std(ddof=1) / periods.mean()
    )  # T counts twice, its mean of four has half the deviation
    got = suspended_inertia(0.958, float(periods.mean()), 0.51, 2 * 0.235, gravity=9.81)
    reason = "rounding of the inputs and of the answer"
    more = {"kind": "measured print", "quantity": "inertia by swinging", "sigma": sigma}
    check(source, "FOUND", "inertia, kg m^2", 0.0112, got, 5e-3, reason, **more)
    check(source, "DER", "inertia from the same inputs, kg m^2", 0.011176, got, 1e-4, "five figures")


def test_bifilar_in_its_other_form():
    """I = m g D^2 / (4 h omega^2): Jardin & Mueller, AIAA 2007-6822."""
    mass, cord, spacing, period = 0.958, 0.51, 0.47, 0.65845
    other = mass * 9.80665 * spacing**2 / (4.0 * cord * (2.0 * math.pi / period) ** 2)
    got = suspended_inertia(mass, period, cord, spacing)
    check(
        "Jardin & Mueller, AIAA 2007-6822",
        "FOUND",
        "bifilar inertia, kg m^2",
        other,
        got,
        1e-12,
        "the same formula",
    )


def test_torsion_pendulum():
    """Worked in slugs and feet: a known bar gives the stiffness, the empty cradle and then the object."""
    source = "Torsion pendulum, oocities.org/torsionpendulum"
    reason = "printed to 3-4 figures"
    length, diameter, mass = 3.016 * FOOT, FOOT / 12.0, 0.2537 * SLUG
    bar = scaled(coaxial((Piece(-length / 2, length, diameter=diameter),), "radius", 7850.0), mass)
    inertia = bar.second[0, 0] + bar.chordwise
    check(source, "FOUND", "bar, slug ft^2", 0.1924, inertia / SLUG_FT2, 5e-3, reason)
    stiffness = torsion_stiffness(inertia, 4.62, 1.21)
    check(source, "FOUND", "stiffness, lbf ft/rad", 0.382, stiffness / SLUG_FT2, 5e-3, reason)
    cradle = torsion_inertia(1.21, stiffness)
    both = torsion_inertia(4.08, stiffness)
    check(source, "D", "cradle, slug ft^2", 0.014171, cradle / SLUG_FT2, 5e-3, "printed 0.014")
    check(source, "FOUND", "object, slug ft^2", 0.147, (both - cradle) / SLUG_FT2, 5e-3, reason)


def test_bifilar_rod():
    rod = 0.1 * 0.3**2 / 12.0
    got = suspended_inertia(0.1, 1.737601, 1.0, 2 * 0.1)  # listed by half separation
    check("Bifilar rod, 0.1 kg, 0.3 m", "D", "inertia, kg m^2", rod, got, 1e-6, "period to seven figures")


def test_trifilar_disc():
    disc = coaxial((Piece(-0.001, 0.002, diameter=0.08),), "normal", 1.0)
    disc = scaled(disc, 0.05)
    inertia = disc.second[0, 0] + disc.chordwise
    check("Trifilar disc, 50 g, radius 40 mm", "D", "inertia, kg m^2", 4.0e-5, inertia, 1e-9, "exact")
    got = suspended_inertia(0.05, 1.146520, 0.5, 2 * 0.035)
    check(
        "Trifilar disc, 50 g, radius 40 mm",
        "D",
        "inertia by swinging, kg m^2",
        4.0e-5,
        got,
        2e-6,
        "seven figures",
    )


def test_compound_rod():
    """Textbook: a thin rod swung about its end has T = 2 pi sqrt(2 L / (3 g))."""
    length, mass = 0.3, 0.1
    period = 2.0 * math.pi * math.sqrt(2.0 * length / (3.0 * 9.80665))
    got = pendulum_inertia(mass, period, length / 2.0)
    source = "Rod pendulum about its end (textbook)"
    check(source, "DER", "inertia, kg m^2", mass * length**2 / 12.0, got, 1e-9, "exact for small swings")


def test_primitives():
    """Textbook values about the centroid, 10 g each."""
    source = "Primitives of 10 g (textbook)"
    block = scaled(box(0.02, 0.01, 0.005, 1.0), 0.01).second
    total = np.trace(block)
    for axis, expected in enumerate((1.041667e-7, 3.541667e-7, 4.166667e-7)):
        check(
            source,
            "D",
            f"box about axis {axis}, kg m^2",
            expected,
            total - block[axis, axis],
            1e-6,
            "seven figures",
        )
    for name, bore, axial, transverse in (
        ("cylinder", 0.0, 4.5e-8, 1.058333e-7),
        ("tube", 0.004, 6.5e-8, 1.158333e-7),
    ):
        body = scaled(coaxial((Piece(-0.005, 0.01, diameter=0.006, bore=bore),), "radius", 1.0), 0.01)
        check(source, "D", f"{name} axial, kg m^2", axial, body.feathering, 1e-6, "seven figures")
        across = body.second[0, 0] + body.chordwise
        check(source, "D", f"{name} transverse, kg m^2", transverse, across, 1e-6, "seven figures")


def test_catalogue_bodies():
    """Bodies sold for trifilar experiments: dimensions and mass as listed, inertia about the vertical derived."""
    source = "Trifilar experiment bodies, MV-002 (bedoeg.com)"
    beam = scaled(box(0.16, 0.04, 0.04, 7850.0), 2.0).second
    check(
        source,
        "D",
        "beam 40 x 40 x 160 mm, 2 kg, kg m^2",
        4.5333e-3,
        beam[0, 0] + beam[1, 1],
        1e-4,
        "five figures",
    )
    disc = scaled(coaxial((Piece(-0.0095, 0.019, diameter=0.16),), "radius", 7850.0), 3.0)
    check(source, "D", "cylinder d 160 mm, 3 kg, kg m^2", 9.6e-3, disc.feathering, 1e-9, "exact")
    ring = scaled(coaxial((Piece(-0.0205, 0.041, diameter=0.16, bore=0.1),), "radius", 7850.0), 4.0)
    check(source, "D", "ring 160/100 mm, 4 kg, kg m^2", 1.78e-2, ring.feathering, 1e-9, "exact")
