"""Computed section polars at the Reynolds numbers of model tail rotors, where no published table exists.

`computed_polars.csv` holds them: NACA 0012 and NACA 0015, Reynolds number 2.5e4 to 3e5, 0 to 30 degrees, lift, drag and
moment about the quarter chord, and how sure the tool says it is (0 to 1: past the stall below a half). Status RAN:
neuralfoil 0.3.3, model size xxxlarge, default transition (n = 9), a regression on a panel code with boundary layers.
Where it can be compared: its lift near zero bends by laminar bubbles (c_l 0.54 at 4 degrees, Re 5e4, where tests on
rotors give a straight line), it stalls at 8 to 16 degrees, 1 to 4 later than SAND80-2114, and past the stall it is no
more than a guess.

    python validation/computed_polars.py --write      computes the file anew; needs neuralfoil, which nothing else does
    python validation/computed_polars.py --rotors     what the published rotors make of it, beside the section law
"""

from __future__ import annotations

import argparse
import csv
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from featherbench.rotor.blade_stations import RotorAir
from featherbench.rotor.inflow import LOADS, THRUST, TORQUE, blade_sums, geometry
from featherbench.rotor.polar_table import full_circle
from featherbench.rotor.rotor_loads import rotor_loads
from featherbench.rotor.section_polar import Section, lift_slope
from featherbench.rotor.stall_delay import stall_delay_factor

Array = NDArray[np.float64]

FILE = Path(__file__).with_name("computed_polars.csv")
SECTIONS = {"NACA 0012": 0.12, "NACA 0015": 0.15}
REYNOLDS = (2.5e4, 5e4, 1e5, 1.6e5, 3e5)
ANGLES = np.arange(0.0, 31.0)
MODEL = "xxxlarge"
DIGITS = 4


def write() -> None:
    """Compute the file anew. Raises ImportError without neuralfoil."""
    import aerosandbox
    import neuralfoil

    with FILE.open("w", encoding="utf-8", newline="") as out:
        out.write(
            "# Computed with neuralfoil 0.3.3, model xxxlarge, n = 9, free transition; see computed_polars.py\n"
        )
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(["section", "reynolds", "alpha", "c_l", "c_d", "c_m", "confidence"])
        for name in SECTIONS:
            aerofoil = aerosandbox.Airfoil(name.replace(" ", "").lower())
            for reynolds in REYNOLDS:
                found = neuralfoil.get_aero_from_airfoil(aerofoil, ANGLES, reynolds, model_size=MODEL)
                columns = [found[key] for key in ("CL", "CD", "CM", "analysis_confidence")]
                for values in zip(ANGLES, *columns, strict=True):
                    rows.writerow(
                        [name, f"{reynolds:g}", *(round(float(value), DIGITS) + 0.0 for value in values)]
                    )


def polars() -> dict[tuple[str, float], Array]:
    """(31, 5) of alpha in degrees, c_l, c_d, c_m and confidence, by section and Reynolds number, from the file."""
    lines = FILE.read_text(encoding="utf-8").splitlines()[1:]
    found: dict[tuple[str, float], list[list[float]]] = {}
    for row in csv.DictReader(lines):
        values = [float(row[key]) for key in ("alpha", "c_l", "c_d", "c_m", "confidence")]
        found.setdefault((row["section"], float(row["reynolds"])), []).append(values)
    return {key: np.array(rows) for key, rows in found.items()}


def polar_at(table: dict[tuple[str, float], Array], thickness: float, reynolds: float) -> Array:
    """(61, 4) of alpha rad, c_l, c_d, c_m from -30 to 30 degrees, linear in thickness and in log Reynolds number; held
    at the ends of what was computed.
    """
    places = np.log(np.array(REYNOLDS))
    at = float(np.clip(math.log(reynolds), places[0], places[-1]))
    lower = int(np.clip(np.searchsorted(places, at, side="right") - 1, 0, len(places) - 2))
    part = (at - places[lower]) / (places[lower + 1] - places[lower])
    share = float(np.clip((thickness - 0.12) / 0.03, 0.0, 1.0))
    half = sum(
        of_name * of_number * table[name, REYNOLDS[number]][:, :4]
        for name, of_name in (("NACA 0012", 1.0 - share), ("NACA 0015", share))
        for number, of_number in ((lower, 1.0 - part), (lower + 1, part))
    )
    half = np.asarray(half)
    half[:, 0] = np.radians(half[:, 0])
    return np.vstack([half[:0:-1] * [-1.0, -1.0, 1.0, -1.0], half])


def delayed(polar: Array, delay: float, slope: float) -> Array:
    """The polar with its stall later by an angle (rad), its lift going on along the slope (1/rad) meanwhile.

    Below the stall the shift fades in with incidence, so that the attached part stays where it is.
    """
    alpha = polar[:, 0]
    lift = np.where(alpha >= 0.0, polar[:, 1], 0.0)
    stall = float(alpha[first_peak(lift)])
    shift = np.sign(alpha) * delay * np.clip(np.abs(alpha) / stall, 0.0, 1.0)
    columns = [np.interp(alpha - shift, alpha, polar[:, column]) for column in (1, 2, 3)]
    columns[0] = columns[0] + slope * shift * np.cos(alpha) ** 2
    return np.column_stack([alpha, *columns])


def first_peak(lift: Array) -> int:
    """Index of the first value past 5 degrees from which the lift falls; the largest where it never does."""
    start = len(lift) // 2 + 5
    falls = [at for at in range(start, len(lift) - 1) if lift[at] > lift[at + 1]]
    return falls[0] if falls else int(np.argmax(lift))


def computed_sections(rotor: RotorAir, table: dict[tuple[str, float], Array]) -> list[Section]:
    """A section for each annulus from the computed polars: stall delayed by rotation, camber by a shift of angle."""
    stations, found = rotor.stations, []
    for index, radius in enumerate(stations.radius):
        speed, chord = rotor.spin * radius, stations.chord[index]
        reynolds, mach = speed * chord / rotor.air.viscosity, speed / rotor.air.sound_speed
        polar = polar_at(table, stations.thickness[index], reynolds)
        polar[:, 1] /= math.sqrt(1.0 - min(mach, 0.7) ** 2)
        stall = float(polar[first_peak(np.where(polar[:, 0] >= 0.0, polar[:, 1], 0.0)), 0])
        delay = stall * (float(stall_delay_factor(chord / radius)) - 1.0)
        polar = delayed(polar, delay, lift_slope(reynolds, mach))
        polar[:, 0] += rotor.sections[index, 1]
        polar[:, 3] += rotor.sections[index, 2]
        found.append(full_circle(polar, reynolds, stations.thickness[index]))
    return found


def loads_with(rotor: RotorAir, sections: list[Section], pitch: float) -> tuple[float, float]:
    """(thrust N, torque N m) with a section of its own at each annulus; pitch in rad."""
    whole, total = geometry(rotor), np.zeros(LOADS)
    for index, section in enumerate(sections):
        cut = slice(index, index + 1)
        one = whole._replace(
            radius=whole.radius[cut],
            width=whole.width[cut],
            chord=whole.chord[cut],
            twist=whole.twist[cut],
            sections=whole.sections[cut],
            tabulated=1.0,
            table=section.table,
        )
        sums = np.empty(LOADS)
        blade_sums(pitch, 0.0, one, rotor.stations.quarter_chord[cut], sums)
        total += sums
    return float(total[THRUST]) * rotor.spin**2, float(total[TORQUE]) * rotor.spin**2


Case = tuple[str, RotorAir, float, float]
"""Set, rotor, pitch in degrees, measured C_T over rho A (Omega R)^2."""


def published_rotors() -> list[Case]:
    """Every thrust that the rotors were held to: 18 small propellers, TN 626 and TN 2474 from 6 degrees, TM-81232."""
    import test_caradonna_tung as broad
    import test_castles_gray_tn2474 as three
    import test_knight_hefner_tn626 as many
    import test_uiuc_small_rotors as small

    cases: list[Case] = []
    for key, static in small.STATIC.items():
        for rpm, thrust, _ in static:
            cases.append(("small propellers", small.rotor(*key, rpm), 0.0, thrust * 4.0 / math.pi**3))
    for blades in many.BLADES:
        for degrees in many.THRUST_BAR:
            thrust = many.MEASURED[degrees][2 * (blades - 2)]
            cases.append(("TN 626", many._rotor(blades, "default"), degrees, thrust))
    for (name, _, rpm), points in three.RUNS.items():
        cases += [("TN 2474", three._rotor(name, rpm), d, thrust) for d, thrust, _ in points if d >= 6.0]
    for degrees, speeds in broad.MEASURED.items():
        cases += [("TM-81232", broad._rotor(float(rpm)), degrees, thrust) for rpm, thrust in speeds.items()]
    return cases


def compared(cases: list[Case], thrust: Callable[[RotorAir, float], float]) -> dict[str, Array]:
    """Predicted over measured C_T, less one, by set."""
    found: dict[str, list[float]] = {}
    for name, rotor, degrees, measured in cases:
        scale = rotor.air.density * math.pi * rotor.tip**2 * (rotor.spin * rotor.tip) ** 2
        found.setdefault(name, []).append(thrust(rotor, math.radians(degrees)) / scale / measured - 1.0)
    return {name: np.array(values) for name, values in found.items()}


def by_law(rotor: RotorAir, pitch: float) -> float:
    """Thrust with the program's own section law, N."""
    return rotor_loads(rotor, pitch).thrust


def by_table(rotor: RotorAir, pitch: float) -> float:
    """Thrust with the computed polars, N."""
    return loads_with(rotor, computed_sections(rotor, polars()), pitch)[0]


def main() -> None:
    """Write the file, or print what the rotors make of it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--write", action="store_true", help="compute the file anew")
    parser.add_argument("--rotors", action="store_true", help="hold the published rotors to it")
    asked = parser.parse_args()
    if asked.write:
        write()
    if asked.rotors:
        cases = published_rotors()
        for title, law in (("section law", by_law), ("computed polars", by_table)):
            for name, off in compared(cases, law).items():
                rms = math.sqrt(float(np.mean(off**2)))
                print(f"{title:16s} {name:18s} {len(off):3d} C_T bias {np.mean(off):+.1%} rms {rms:.1%}")


if __name__ == "__main__":
    main()
