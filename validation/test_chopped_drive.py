"""The mean currents of a chopped drive against a fine-step simulation of the circuit, and against the buck converter.

Text-book example: a step-down (buck) converter whose output is held at E is a chopped winding without resistance. In
discontinuous conduction its ratio is M = E/V = 2/(1 + sqrt(1 + 4 K/D^2)) with K = 2 L/(R_load T), and it conducts
continuously, with M = D, from K = 1 - D on. R. W. Erickson and D. Maksimovic, Fundamentals of Power Electronics,
chapter 5 (not seen; read as repeated, with its derivation, in an on-line tutorial on the conversion ratio of the buck
converter in discontinuous conduction: F2). Here the load takes the winding's mean current at the output voltage.
"""

from math import sqrt

import pytest

from chopped_circuit import stepped
from featherbench.servo.chopping import DECAYS, Chopper, chopped, mean_currents, ripple_conductance
from featherbench.servo.motor import Motor
from source import About
from table import check

ABOUT = About(
    kind="program",
    title="chopped winding, circuit stepped finely",
    quantity="current of a chopped drive",
    left_out="Voltage across diodes and switches, and the supply's own inductance.",
)
BUCK = "buck converter, conduction ratio"
OHMS, HENRIES, VOLTS = 5.0, 3e-4, 6.0
CONSTANT = 0.3
WHY = "fine steps of the circuit"


def motor(ohms=OHMS, henries=HENRIES):
    return Motor(ohms, henries, CONSTANT, 1e-4, 0.0, 0.0, 0.0, 1.0)


@pytest.mark.parametrize("decay", DECAYS)
@pytest.mark.parametrize("rate", [333.0, 2e3, 1e4])
def test_means_of_the_circuit(decay, rate):
    """A hold (no EMF), running with the drive, and running against it; 20 us to 3 ms of a 60 us winding."""
    kind = DECAYS[decay]
    for duty, emf in ((0.1, 0.0), (0.4, 0.0), (0.3, 1.0), (0.6, 1.5), (0.9, 4.0), (0.25, -0.8)):
        expected = stepped(duty, emf, VOLTS, OHMS, HENRIES, 1.0 / rate, int(kind), 20_000, 30)
        found = mean_currents(duty, emf / CONSTANT, VOLTS, motor(), Chopper(1.0 / rate, kind))
        mirrored = mean_currents(-duty, -emf / CONSTANT, VOLTS, motor(), Chopper(1.0 / rate, kind))
        assert mirrored == pytest.approx((-found[0], found[1]), rel=1e-12, abs=1e-15)
        for what, one, two in zip(("winding", "supply"), expected, found, strict=True):
            case = f"{what}, {decay} decay, {rate:g} Hz, duty {duty:g}, EMF {emf:g} V, A"
            check(ABOUT.title, "RAN", case, one, two, 2e-3, WHY, relative=abs(one) > 0.05)


def test_heat_by_the_ripple_alone():
    """G from the difference of the supply's power and that of the mean current, both of the stepped circuit."""
    for rate, duty in ((333.0, 0.1), (3e3, 0.35), (2e4, 0.5)):
        wound, fed = stepped(duty, 0.0, VOLTS, OHMS, HENRIES, 1.0 / rate, 0, 20_000, 60)
        found = ripple_conductance(duty, motor(), Chopper(1.0 / rate, 0.0)) * VOLTS
        case = f"supply current by ripple alone, {rate:g} Hz, duty {duty:g}, A"
        check(ABOUT.title, "RAN", case, fed - duty * wound, found, 5e-3, WHY)


def test_buck_converter_in_discontinuous_conduction():
    """At D = 0.4 and K = 0.1 and 0.3 (below 1 - D): the load that takes the mean current gives K back as M has it."""
    duty, period, henries = 0.4, 1e-4, 1e-3
    for k in (0.1, 0.3):
        ratio = 2.0 / (1.0 + sqrt(1.0 + 4.0 * k / duty**2))
        load = 2.0 * henries / (k * period)
        nearly = motor(1e-4, henries)
        wound, _ = mean_currents(duty, ratio * VOLTS / CONSTANT, VOLTS, nearly, Chopper(period, 1.0))
        case = f"output over input voltage at D 0.4, K {k:g}"
        check(BUCK, "F2", case, ratio, wound * load / VOLTS, 1e-4, "no resistance in print", kind="standard")


def test_buck_converter_conducts_continuously_from_the_critical_load_on():
    """With a trace of resistance the winding carries any current; the least at which the voltage ratio is still D."""
    duty, period, henries = 0.4, 1e-4, 1e-3
    nearly, chopper = motor(1e-3, henries), Chopper(period, 1.0)
    low, high = 0.3 * VOLTS, duty * VOLTS  # continuous, and no mean current left at all
    for _ in range(60):
        emf = 0.5 * (low + high)
        held = chopped(duty, emf, VOLTS, nearly, chopper)[0]
        low, high = (emf, high) if held <= duty * (1.0 + 1e-12) else (low, emf)
    wound = (duty * VOLTS - low) / nearly.resistance
    found = 2.0 * henries * wound / (duty * VOLTS * period)
    check(
        BUCK, "F2", "critical K at D 0.4", 1.0 - duty, found, 1e-3, "no resistance in print", kind="standard"
    )
