"""What is said of moves that did not go as told, and of a prediction's air, by hand."""

from math import inf, radians
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.landings import Landings
from featherbench.bench.legs import Ending, Leg
from featherbench.servo.chopping import SLOW, Chopper
from featherbench.servo.supply import Supply
from featherbench.studies import prediction, servo_notes
from featherbench.studies.findings import Curves, finding
from featherbench.studies.run import Run

BOTH = (object(), object())
WEAK = SimpleNamespace(servo_torque=np.array([0.01, 0.10, 0.02]), pitch=np.radians([-10.0, 0.0, 10.0]))


def leg(ending, target=20.0, final=20.0, **more):
    """Pitch in degrees."""
    values = dict.fromkeys(("peak", "hold", "motor_hold", "hold_place", "rod_hold", "arrival", "drawn"), 0.1)
    places = {"target": radians(target), "final_pitch": radians(final)}
    return Leg(go=1.0, start=0.0, end=1.0, ending=ending, **(values | places | more))


def setup_of(available=0.2, **more):
    """available: N m that the servo gives, whatever feeds it, or a function of the supply."""
    given = available if callable(available) else lambda _: available
    drive = SimpleNamespace(
        available_torque=given,
        stall_torque=lambda volts: 0.02 * volts,
        motor=None,
        output_friction=0.0,
        chopper=Chopper(0.0, SLOW, inf),
        holds_unpowered=False,
        efficiency=0.45,
    )
    vars(drive).update(more)
    plant = SimpleNamespace(
        supply=Supply(5.0, 0.08, 2.0, 0.06), loop=SimpleNamespace(proportional_band=radians(2.5))
    )
    return SimpleNamespace(
        drive=drive,
        plant=plant,
        assembly="a",
        lead_lag=0.0,
        scenario=SimpleNamespace(servo=SimpleNamespace(voltage=6.0)),
    )


@pytest.fixture(autouse=True)
def compensation(monkeypatch):
    """What the weights compensate, as a test sets it."""
    share = SimpleNamespace(value=0.8)
    monkeypatch.setattr(
        servo_notes, "compensation", lambda own, lag: share.value if (own, lag) == ("a", 0.0) else 0.0
    )
    return share


def said(setup, *legs, landed=(), statics=WEAK, ends=BOTH):
    return servo_notes.servo_notes(setup, statics, SimpleNamespace(legs=legs), ends, landed)


def test_a_move_that_held_where_it_was_told_is_not_worth_a_word():
    assert said(setup_of(), leg(Ending.HELD)) == ()


@pytest.mark.parametrize(
    ("target", "final", "short"),
    [
        (20, 18.9, "1.1"),
        (20, 19.1, None),
        (-20, -18.5, "1.5"),
        (-20, -19.1, None),
        (20, 25, None),
        (-20, -25, None),
    ],
)
def test_a_hold_more_than_a_degree_short_is_said(target, final, short):
    """Short is nearer to neutral, on either side; past its target it did not fall short."""
    notes = said(setup_of(), leg(Ending.HELD, target, final))
    if short is None:
        assert notes == ()
    else:
        assert notes == (
            f"at {target:.1f} deg the blade ends {short} deg short: the linkage flexes, and the servo needs some error "
            "to hold the load.",
        )


def test_a_move_still_under_way_or_drifting_asks_for_a_longer_hold():
    way, drift = said(setup_of(), leg(Ending.UNDER_WAY, final=14.26), leg(Ending.DRIFTS))
    assert way == (
        "the move to 20.0 deg had come to 14.3 deg and was still under way when its hold ended: lengthen the hold."
    )
    assert drift == "the move to 20.0 deg did not settle within its hold: lengthen the hold."


def test_a_move_that_lacks_torque_stops_or_creeps():
    """0.1 N m needed, 0.06 there: a stall says so, and so does one under way; a stall of a strong servo, too."""
    weak, remedy = (
        setup_of(0.06),
        "shorten the servo arm, take load off with weights, or use a stronger servo.",
    )
    stalled, creeping, beyond = said(weak, leg(Ending.STALLED, final=8.04), leg(Ending.UNDER_WAY, final=9))
    start = "the move to 20.0 deg did not arrive: the servo"
    voltage = "the supply's voltage is what stops it, 5 V over 0.08 ohm"
    assert stalled.startswith(f"{start} stopped at 8.0 deg. It lacks torque there: {voltage}")
    assert creeping.startswith(f"{start} had crept to 9.0 deg. It lacks torque there: {voltage}")
    assert beyond.startswith("starting from rest beyond 0.0 deg of pitch")
    # just as much as is needed is not lacking
    assert "still under way" in said(setup_of(0.1), leg(Ending.UNDER_WAY, final=9))[0]
    (strong,) = said(setup_of(0.2), leg(Ending.STALLED, final=8.04))
    assert strong == f"{start} stopped at 8.0 deg. It lacks torque there: {remedy}"


@pytest.mark.parametrize(
    ("torque", "where"), [((0.3, 0.0, 0.25), "7.5"), ((0.0, 0.0, 0.25), "12.0"), ((0.2, 0.2, 0.2), None)]
)
def test_force_that_is_not_there_is_said_from_the_least_pitch_on(torque, where):
    """0.2 N m there: what needs just that is not beyond it."""
    statics = SimpleNamespace(servo_torque=np.array(torque), pitch=np.radians([-7.5, 0.0, 12.0]))
    notes = said(setup_of(), statics=statics)
    assert len(notes) == (1 if where else 0)
    assert all(note.startswith(f"starting from rest beyond {where} deg of pitch, the rod") for note in notes)


def test_hunting_is_told_by_its_swing_and_its_rate():
    hunts = leg(Ending.HUNTS, hunting=radians(1.26), hunting_rate=11.6)
    (strong,), weak = said(setup_of(), hunts), said(setup_of(0.05), hunts)[0]
    assert strong.startswith(
        "at 20.0 deg the servo hunts: the blades swing by 1.3 deg, 12 times a second, and never come to rest, so that "
        "there is no holding current. Torque is not what is missing. Its proportional band of 2.5 deg is too narrow"
    )
    assert "Torque is not" not in weak
    assert "no holding current. Its proportional band" in weak


def test_more_moves_to_a_place_are_told_where_the_programme_did_not_hunt():
    hunts = leg(Ending.HUNTS, hunting=0.02, hunting_rate=9.0)
    there = Landings(hunts.target, 16, 3, hunts)
    (note,) = said(setup_of(), leg(Ending.HELD), landed=(there, Landings(0.0, 15, 0, None)))
    assert note.startswith("at 20.0 deg the servo hunts")
    assert note.endswith(" So it went in 3 of 16 more moves there, not in those of the programme.")
    (own,) = said(setup_of(), hunts, landed=(there,))
    assert "more moves" not in own


def test_a_train_that_holds_by_itself_is_said_with_its_efficiency():
    (note,) = said(setup_of(holds_unpowered=True))
    assert "(efficiency 0.45, 0.5 or less)" in note


def by_limit(limited, free):
    """Torque at a limited supply, and at one without."""
    return lambda supply: free if supply.limit == inf else limited


@pytest.fixture
def needed(monkeypatch):
    """1.2 A to start against what is needed, and what of it the lead carries where the drive chops it: 0.7 A."""
    monkeypatch.setattr(servo_notes, "current_needed", lambda torque, *_: 12.0 * torque)
    monkeypatch.setattr(
        servo_notes, "standing_supply", lambda amperes, *_: 0.7 if amperes == pytest.approx(1.2) else 9.0
    )


def remedy(setup):
    return servo_notes._remedy(setup, WEAK)


@pytest.mark.usefixtures("needed")
def test_a_supply_whose_limit_stops_it_is_told_what_would_do():
    """0.1 N m takes 1.2 A, and the servo's 0.06 A at rest beside it."""
    enough = remedy(setup_of(by_limit(0.06, 0.15)))
    assert enough == ("the supply's limit of 2 A is what stops it (supply.limit), full pitch needs 1.3 A")
    exactly = remedy(setup_of(by_limit(0.06, 0.1)))
    assert exactly == enough
    still = remedy(setup_of(by_limit(0.06, 0.09)))
    assert still == (
        f"{enough}; without that limit it still has too little: shorten the servo arm, take load off with weights, or "
        "use a stronger servo"
    )


@pytest.mark.usefixtures("needed")
@pytest.mark.parametrize(("limit", "amperes"), [(1.0, "1.3"), (1.25, "0.76"), (3.0, "0.76"), (inf, "1.3")])
def test_a_drive_that_chops_asks_the_supply_for_less_than_the_winding_takes(limit, amperes):
    """1.2 A within the drive's own limit come down to 0.7 A in the lead, and 0.06 A idle; past it they do not."""
    found = remedy(setup_of(by_limit(0.06, 0.15), chopper=Chopper(0.0, SLOW, limit)))
    assert found.endswith(f"full pitch needs {amperes} A")


@pytest.mark.parametrize(
    ("available", "volts", "words"),
    [
        (
            0.06,
            6.0,
            "the supply's voltage is what stops it, 5 V over 0.08 ohm (supply.voltage, supply.resistance)",
        ),
        (0.06, 5.0, "the supply's voltage is what stops it"),  # 0.1 N m at its sheet: just enough
        (0.06, 4.9, "shorten the servo arm"),  # 0.098 N m: too little at its sheet, too
        (0.1, 6.0, "shorten the servo arm"),  # not torque is what is missing
    ],
)
def test_a_voltage_below_the_sheets_is_what_stops_it_where_the_sheets_would_do(available, volts, words):
    setup = setup_of(available)
    setup.scenario.servo.voltage = volts
    assert remedy(setup).startswith(words)


@pytest.mark.parametrize(("share", "heavy"), [(0.99, False), (1.0, False), (1.01, True)])
def test_weights_that_drive_the_blades_away_are_to_be_lighter(compensation, share, heavy):
    compensation.value = share
    words = remedy(setup_of(0.2))
    assert words.startswith("the weights are too heavy" if heavy else "shorten the servo arm")


# -- a prediction's own ----------------------------------------------------------------------------------


def test_stall_and_a_hover_out_of_reach_are_said():
    def notes(low, high, hover=None):
        found = {
            f"stall_{side}": finding(f"stall_{side}", value) for side, value in (("low", low), ("high", high))
        }
        return prediction._air_notes(found, hover)

    assert notes(None, None) == []
    assert notes(radians(-14.4), None)[0].startswith("past -14 deg the blade is stalled")
    assert notes(radians(-14.4), radians(15.6))[0].startswith("past -14 deg and 16 deg the blade is stalled")
    assert notes(None, None, SimpleNamespace(found=True, advice="none")) == []
    assert notes(None, None, SimpleNamespace(found=False, advice="more pitch")) == [
        "no hover trim: more pitch."
    ]


def test_bolts_that_compensation_does_not_count_from_are_named():
    def notes(bolts, reference):
        source = SimpleNamespace(reference=reference)
        return prediction._reference_notes(SimpleNamespace(other_bolts=bolts, source=source))

    assert notes((), "a/plain.toml") == []
    (note,) = notes(("long", "a bolt"), "a/plain.toml")
    assert note.startswith("compensation counts from the bolts of plain.toml: what a bolt, long weighs")
    assert notes(("long",), "")[0].startswith("compensation counts from the bolts of the plain build:")


@pytest.mark.parametrize(
    ("before", "after", "difference", "share"),
    [
        (2.0, 3.0, 1.0, 0.5),
        (-2.0, -3.0, -1.0, -0.5),  # of its size: further down
        (0.0, 3.0, 3.0, None),
        (None, 3.0, None, None),
        (2.0, None, None, None),
    ],
)
def test_a_change_is_after_less_before_and_a_share_of_its_size(before, after, difference, share):
    one, two = (None if value is None else finding("mass", value) for value in (before, after))
    found = prediction._change("mass", one, two)
    assert (found.before, found.after, found.difference, found.share) == (before, after, difference, share)


def test_a_share_is_told_of_small_figures_too():
    """0.5 A to 0.6: a fifth more."""
    found = prediction._change(
        "current_hold_high", *(finding("current_hold_high", value) for value in (0.5, 0.6))
    )
    assert found.share == pytest.approx(0.2)


def test_a_step_is_halved_to_see_what_it_changes(monkeypatch):
    """As written: the whole step, once; checked, a second run at half of what it was asked for."""
    asked = []

    def bench_run(setup, share):
        asked.append((setup, share))
        return SimpleNamespace(findings={}, share=share)

    monkeypatch.setattr(prediction, "build_setup", lambda scenario: f"setup of {scenario}")
    monkeypatch.setattr(prediction, "bench_run", bench_run)
    monkeypatch.setattr(prediction, "step_error", lambda coarse, fine: coarse.share - fine.share)
    assert prediction.predict("it").findings == {}
    assert asked == [("setup of it", 1.0)]
    found = prediction.predict("it", step_share=0.4, check_step=True)
    assert asked[1:] == [("setup of it", 0.4), ("setup of it", 0.2)]
    assert found.findings["step_error"].value == pytest.approx(0.2)


def test_changes_count_from_the_first_of_all_runs():
    runs = [SimpleNamespace(findings={"mass": finding("mass", value)}) for value in (1.0, 2.0, 4.0)]
    runs[2].findings["release"] = finding("release", "stays")
    found = prediction.compared(runs)
    assert [[(one.name, one.before, one.after) for one in changes] for changes in found.changes] == [
        [("mass", 1.0, 2.0)], [("mass", 1.0, 4.0), ("release", None, "stays")],
    ]  # fmt: skip
    frame = found.to_frame()
    assert list(frame.index) == [(1, "mass"), (2, "mass"), (2, "release")]
    assert frame.loc[(1, "mass"), "unit"] == "kg"
    assert frame.loc[(1, "mass"), ["before", "after", "difference", "share"]].tolist() == [1.0, 2.0, 1.0, 1.0]


@pytest.mark.parametrize("groups", [True, False])
def test_a_bench_run_is_put_together_from_its_tests(monkeypatch, groups):
    """With what no finding needs, or without: part groups, all ways to a hold, more landings."""
    made = {}

    class Tests:
        statics, gauge, servo, at_ends = "statics", "gauge", "servo", "ends"
        release_high, release_low, hover = "high", "low", "hover"

        def __init__(self, setup, step, gauge, **how):
            made.update(how, of=(setup, step, gauge))

        def findings(self):
            return {"mass": 1.0}

    setup = SimpleNamespace(scenario="scenario")
    monkeypatch.setattr(prediction, "BenchTests", Tests)
    monkeypatch.setattr(prediction, "landings", lambda own, step_share: (own is setup, step_share))
    monkeypatch.setattr(prediction, "run_curves", lambda _: {"run": "curves"})
    monkeypatch.setattr(prediction, "_gauge_notes", lambda gauge: (f"of {gauge}",))
    monkeypatch.setattr(prediction, "servo_notes", lambda *given: (f"of {given[1:4]} after {given[4]}",))
    monkeypatch.setattr(prediction, "_air_notes", lambda found, hover: [f"of {found} and {hover}"])
    monkeypatch.setattr(prediction, "_reference_notes", lambda scenario: [f"of {scenario}"])
    how = {} if groups else {"groups": False, "gauge_share": 0.25}
    run = prediction.bench_run(setup, *([] if groups else [0.5]), **how)
    share = 1.0 if groups else 0.5
    assert made == {"of": (setup, share, 1.0 if groups else 0.25), "groups": groups, "every_way": groups}
    landed = (True, share) if groups else ()
    assert (run.statics, run.gauge, run.servo, run.release_high, run.release_low, run.hover) == (
        "statics", "gauge", "servo", "high", "low", "hover",
    )  # fmt: skip
    assert (run.findings, run.curves, run.landings, run.left_out) == (
        {"mass": 1.0},
        {"run": "curves"},
        landed,
        prediction.LEFT_OUT,
    )
    assert run.notes == (
        "of gauge", f"of ('statics', 'servo', 'ends') after {landed}", "of {'mass': 1.0} and hover", "of scenario",
    )  # fmt: skip


def test_what_was_assumed_is_that_of_bench_and_hover():
    setup = SimpleNamespace(assumed=("a", "b"))
    for hover, expected in ((None, ("a", "b")), (SimpleNamespace(assumed=("c",)), ("a", "b", "c"))):
        assert Run.assumed.fget(SimpleNamespace(setup=setup, hover=hover)) == expected


def test_a_frame_is_one_curve_set_or_the_findings():
    curves = {
        "run": Curves({"time": np.arange(2.0), "pitch": np.ones(2)}, {"time": "time", "pitch": "angle"})
    }
    run = SimpleNamespace(curves=curves, findings={"mass": finding("mass", 2.0)})
    assert list(Run.to_frame(run)) == ["time [s]", "pitch [rad]"]
    assert Run.to_frame(run, "findings").loc["mass", "value"] == 2.0
    with pytest.raises(KeyError):
        Run.to_frame(run, "moments")


def test_what_is_not_finite_is_no_finding():
    assert finding("mass", float("nan")).value is None
    assert finding("mass", inf).value is None
    assert finding("mass", None).value is None
    assert finding("mass", np.float64(2.0)).value == 2.0
    assert type(finding("mass", 2).value) is float
    assert (finding("release", "stays").value, finding("mass", 1.0).kind) == ("stays", "mass")
