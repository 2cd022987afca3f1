"""Where the moving picture puts each joint, which frames it shows and what fills its scales, by hand."""

from math import atan, cos, hypot, sin
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.linkage.geometry import linkage_geometry, pitch_rod_travel, servo_rod_travel
from featherbench.plant.flight import (
    F_HEADING,
    F_PITCH,
    F_ROD_FORCE,
    F_SERVO,
    F_SUPPLY,
    F_TIME,
    FLIGHT_COLUMNS,
)
from featherbench.studies import motion
from featherbench.studies.motion import FRAMES, Flown, Scene, Track
from featherbench.studies.motion_rig import LINK, ROD, Rig, rig_of

PIVOT, SERVO = (0.03, -0.02), (0.08, -0.05)
PITCH = np.array([0.0, 0.25, -0.3])
NONE = np.zeros(3)


def linkage(lever=(14e-3, 18e-3), **more):
    return linkage_geometry(servo_arm=12e-3, rod_length=0.5, horn_arm=13e-3, lever=lever, **more)


def track(geometry, servo_angle=None, force=NONE, play=0.2e-3, stiffness=40e3):
    setup = SimpleNamespace(
        plant=SimpleNamespace(linkage=geometry), linkage=SimpleNamespace(play=play, stiffness=stiffness)
    )
    rig = Rig(
        np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), 0.0, PIVOT, SERVO, geometry.has_lever > 0.0, play
    )
    return motion._track(setup, rig, PITCH, servo_angle, force, 2.0 + PITCH, 3.0 + PITCH)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_bell_crank_turns_as_the_slider_moves(side):
    """Horn 13 mm, 4 deg off square, pushes a slider-side arm of 14 mm; the arm of 18 mm hangs at a right angle to it,
    down, or up in a reversed linkage.
    """
    horn, lever = 0.07, -0.05
    seen = track(linkage(neutral=(0.0, lever, horn), reverse=side < 0.0))
    for row, pitch in enumerate(PITCH):
        place = np.array([13e-3 * cos(pitch + horn), 13e-3 * sin(pitch + horn)])
        assert seen.horn[row] == pytest.approx(place)
        sine = sin(lever) + 13e-3 * (sin(pitch + horn) - sin(horn)) / 14e-3
        cosine = (1.0 - sine**2) ** 0.5
        assert seen.slider[row] == pytest.approx(np.array(PIVOT) + 14e-3 * np.array([-cosine, sine]))
        assert seen.pin[row] == pytest.approx(np.array(PIVOT) - side * 18e-3 * np.array([sine, cosine]))


def test_a_link_that_tilts_is_counted_in():
    """A pitch link of 20 mm takes the slider further as the horn turns: by what the linkage's own law says."""
    geometry = linkage(lever=None, pitch_link=20e-3)
    seen = track(geometry)
    slides = [pitch_rod_travel(one, geometry)[2] for one in PITCH.tolist()]
    assert seen.slider[:, 1] - PIVOT[1] == pytest.approx(slides)
    assert abs(slides[1] - 13e-3 * sin(0.25)) > 1e-6
    turned = linkage(lever=None, reverse=True)  # slides the same, while its rod goes the other way
    angle = -PITCH * 13.0 / 12.0
    assert track(turned).slider[:, 1] - PIVOT[1] == pytest.approx(13e-3 * np.sin(PITCH))
    pushed = np.array([servo_rod_travel(one, turned)[0] for one in angle.tolist()])
    ahead = np.clip((pushed + 13e-3 * np.sin(PITCH)) / 0.1e-3, -1.0, 1.0)
    assert track(turned, angle).seat == pytest.approx(ahead)


def test_without_a_bell_crank_the_rod_drives_the_slider():
    seen = track(linkage(lever=None))
    up = PIVOT[1] + 13e-3 * np.sin(PITCH)
    assert seen.slider == pytest.approx(np.column_stack([np.full(3, PIVOT[0]), up]))
    assert np.array_equal(seen.pin, seen.slider)


def test_a_lever_past_its_reach_stays_at_its_dead_centre():
    """A horn of 13 mm at 0.3 rad asks 3.8 mm of an arm of 3 mm."""
    seen = track(linkage(lever=(3e-3, 18e-3)))
    assert seen.slider[2] == pytest.approx((PIVOT[0], PIVOT[1] - 3e-3))
    assert seen.pin[2] == pytest.approx((PIVOT[0] + 18e-3, PIVOT[1]))


@pytest.mark.parametrize(
    ("lever", "away"), [((14e-3, 18e-3), (ROD, 0.0)), (None, (0.0, -ROD))], ids=["crank", "straight"]
)
def test_a_rod_that_is_let_go_follows_the_blade(lever, away):
    """The servo's arm stays where it is at zero pitch; nothing flows, nothing is seated."""
    seen = track(linkage(lever=lever, neutral=(0.1, 0.0, 0.0)))
    assert seen.rod == pytest.approx(seen.pin + np.array(away))
    off = np.array([-sin(0.1), cos(0.1)]) if lever else np.array([-cos(0.1), sin(0.1)])
    assert seen.arm == pytest.approx(np.tile(np.array(SERVO) + 12e-3 * off, (3, 1)))
    assert not seen.seat.any()
    assert not seen.heading.any()
    assert np.array_equal(seen.pitch, PITCH)
    assert np.array_equal(seen.current, 2.0 + PITCH)
    assert np.array_equal(seen.meter, 3.0 + PITCH)


@pytest.mark.parametrize("lever", [(14e-3, 18e-3), None], ids=["crank", "straight"])
def test_a_servo_carries_its_arm_and_the_rods_end(lever):
    """12 mm of arm, 0.1 rad off square; a push moves its ball away from the crank's pivot, or up to the slider."""
    geometry, angle = linkage(lever=lever, neutral=(0.1, 0.0, 0.0)), np.array([0.2, 0.3, -0.1])
    seen = track(geometry, angle)
    turned = angle + 0.1
    off = (-np.sin(turned), np.cos(turned)) if lever else (-np.cos(turned), np.sin(turned))
    assert seen.arm == pytest.approx(np.array(SERVO) + 12e-3 * np.column_stack(off))
    assert np.array_equal(seen.rod, seen.arm)
    assert not seen.heading.any()


def test_where_in_its_play_the_joint_stands():
    """0.2 mm from face to face; 8 N give by 0.2 mm at 40 N/mm. The servo's travel is ahead of the blades' by play and
    give.
    """
    geometry = linkage(lever=None)
    angle, force = np.array([0.004, 0.26, -0.28]), np.array([0.0, 4.0, -8.0])
    ahead = np.array([servo_rod_travel(one, geometry)[0] for one in angle.tolist()]) - 13e-3 * np.sin(PITCH)
    expected = np.clip((ahead - force / 40e3) / 0.1e-3, -1.0, 1.0)
    assert 0.4 < expected[0] < 0.5
    seen = track(geometry, angle, force)
    assert seen.seat == pytest.approx(expected)
    assert np.array_equal(seen.force, force)
    setup = SimpleNamespace(linkage=SimpleNamespace(play=0.2e-3, stiffness=40e3))
    half = motion._seat(setup, np.array([0.05e-3, 0.15e-3, -0.4e-3, 0.5e-3]), np.array([0.0, 4.0, -8.0, 0.0]))
    assert half == pytest.approx([0.5, 0.5, -1.0, 1.0])
    setup.linkage.play = 0.0
    assert motion._seat(setup, np.ones(3), np.array([-2.0, 0.0, 5.0])).tolist() == [-1.0, 0.0, 1.0]


# -- what does not move ----------------------------------------------------------------------------------


def test_a_rig_with_a_bell_crank_by_hand(setup_of):
    """Horn 13 mm ahead of the axis, the link hangs from it, the crank's pivot 14 mm further out; rod from its arm."""
    setup = setup_of()
    rig = rig_of(setup)
    assert rig.has_lever
    assert rig.pivot == pytest.approx((27e-3, -LINK))
    assert rig.servo == pytest.approx((27e-3 + ROD, -LINK - 18e-3 - 12e-3))
    assert rig.play == setup.linkage.play > 0.0
    assert rig.horn == 0.0
    assert rig.weights.shape == (0, 2)
    assert rig.weight_mass.shape == (0,)
    turned = rig_of(setup_of(linkage={"reversed": True}))
    assert turned.servo == pytest.approx((27e-3 + ROD, -LINK + 18e-3 - 12e-3))


def test_a_rig_that_stands_off_square(setup_of):
    plant = setup_of().plant
    off = plant.linkage._replace(
        horn_neutral=0.2, horn_sine=sin(0.2), horn_cosine=cos(0.2), arm_neutral=0.3, arm_sine=sin(0.3),
        arm_cosine=cos(0.3),
    )  # fmt: skip
    setup = setup_of()
    object.__setattr__(setup, "plant", plant._replace(linkage=off))
    rig = rig_of(setup)
    assert rig.pivot == pytest.approx((13e-3 * cos(0.2) + 14e-3, 13e-3 * sin(0.2) - LINK))
    assert rig.servo == pytest.approx(
        (rig.pivot[0] + ROD + 12e-3 * sin(0.3), rig.pivot[1] - 18e-3 - 12e-3 * cos(0.3))
    )
    assert rig.horn == 0.2


def test_a_rig_without_a_bell_crank_by_hand(setup_of):
    rig = rig_of(setup_of(linkage={"lever_out": None, "lever_in": None}))
    assert not rig.has_lever
    assert rig.pivot == pytest.approx((13e-3, -LINK), abs=1e-12)
    assert rig.servo == pytest.approx((13e-3 + 12e-3, -LINK - ROD))


def test_the_section_is_drawn_from_nose_to_tail_and_back(setup_of):
    """Chord 26 mm about an axis at 39 %, 13 % thick, which it is at three tenths of the chord."""
    outline = rig_of(setup_of()).outline
    assert outline.shape == (40, 2)
    upper, lower = outline[:20], outline[20:]
    assert upper[[0, -1], 0] == pytest.approx([0.39 * 26e-3, -0.61 * 26e-3])
    assert lower == pytest.approx(upper[::-1] * np.array([1.0, -1.0]))
    thickest = int(np.argmax(upper[:, 1]))
    assert upper[thickest, 1] == pytest.approx(0.065 * 26e-3, rel=0.01)
    assert (0.39 * 26e-3 - upper[thickest, 0]) / 26e-3 == pytest.approx(0.3, abs=0.08)
    tapered = rig_of(setup_of(blade={"chord": [["40 mm", "30 mm"], ["120 mm", "20 mm"]]})).outline
    assert np.ptp(tapered[:, 0]) == pytest.approx(25e-3)


def test_two_masses_stand_for_all_weights(setup_of, weight):
    """A pair of 2 g at +-10 mm and one of 1 g at +-16: 6 g, their spread the root of (4 100 + 2 256) / 6 mm^2."""
    one, two = weight(2.0, 10.0), {"more": weight(1.0, 16.0, chord=3.0)["weight"]}
    raised = {"high": {**weight(2.0, 14.0)["weight"]}, "low": {**weight(2.0, 6.0)["weight"]}}
    for own in raised.values():
        del own["mirror"]
    apart = rig_of(setup_of(part=raised))  # of 14 and 6 mm above the chord: 4 either side of 10
    assert 1e3 * apart.weights == pytest.approx(np.array([[0.0, 14.0], [0.0, 6.0]]), abs=1e-9)
    rig = rig_of(setup_of(part=one | two))
    assert rig.weight_mass == pytest.approx([3e-3, 3e-3])
    away = ((4.0 * 100.0 + 2.0 * 256.0) / 6.0) ** 0.5
    assert 1e3 * rig.weights == pytest.approx(np.array([[1.0, away], [1.0, -away]]), abs=1e-9)
    single = {"weight": {**weight(2.0, 10.0)["weight"], "mirror": None}}
    del single["weight"]["mirror"]
    assert 1e3 * rig_of(setup_of(part=single)).weights == pytest.approx(np.array([[0.0, 10.0]] * 2), abs=1e-6)


# -- frames and scenes -----------------------------------------------------------------------------------


def test_frames_are_even_where_nothing_moves_and_half_of_them_go_to_what_does():
    still = (np.array([0.0, 4.0]), np.array([1.0, 1.0]))
    even = motion._frames(0.0, 4.0, [still])
    assert even == pytest.approx(np.linspace(0.0, 4.0, FRAMES))
    # all of the change within 0.4 s: half the frames and a tenth of the other half
    step = (np.array([0.0, 1.0, 1.4, 4.0]), np.array([0.0, 0.0, -7.0, -7.0]))
    time = motion._frames(0.0, 4.0, [step])
    assert (time[0], time[-1]) == (0.0, 4.0)
    assert np.count_nonzero((time >= 1.0) & (time <= 1.4)) == pytest.approx(FRAMES * 0.55, abs=2)
    # however little it is, and however many times as long as the others
    small = motion._frames(0.0, 4.0, [(step[0], 1e-3 * step[1])])
    assert small == pytest.approx(time)
    # a curve that rests takes no part: two curves, of which one moves, share what the moving one would have
    half = motion._frames(0.0, 4.0, [step, still])
    assert np.count_nonzero((half >= 1.0) & (half <= 1.4)) == pytest.approx(FRAMES * (0.5 + 0.1) / 1.5, abs=2)


def run_of(end, idle=0.01, first=-0.2):
    """A bench run of one straight course from `first` to `end`; it goes low, high and back."""
    time = np.array([first, end])
    columns = {name: np.array([0.0, scale]) for name, scale in
               (("pitch", 1.0), ("servo_angle", 2.0), ("rod_force", 3.0), ("supply_current", 4.0))}  # fmt: skip
    columns |= {"time": time, "meter": np.array([0.3, 0.7])}
    legs = [SimpleNamespace(go=go, end=end * share) for go, share in ((-1.0, 0.3), (0.5, 0.6), (1.0, 0.9))]
    return SimpleNamespace(
        setup=SimpleNamespace(plant=SimpleNamespace(supply=SimpleNamespace(idle=idle))),
        curves={"run": SimpleNamespace(columns=columns)},
        servo=SimpleNamespace(time=time, legs=legs),
        scenario=SimpleNamespace(meter=SimpleNamespace(window=0.3)),
    )


def as_given(_setup, _rig, pitch, servo, force, current, meter):
    """A track that keeps what it was made of: arm holds the servo's angle."""
    none = np.zeros(len(pitch))
    return Track(pitch, none, none, none, none, servo, force, current, meter, none, none)


def test_the_bench_is_shown_from_a_tenth_before_to_where_the_first_build_ends(monkeypatch):
    monkeypatch.setattr(motion, "_track", as_given)
    runs = [run_of(4.0), run_of(3.0, idle=0.5)]
    scene = motion._bench(runs, (None, None))
    assert (scene.name, len(scene.time)) == ("bench", FRAMES)
    assert scene.time[[0, -1]] == pytest.approx([-0.1, 3.0])
    for run, seen, share in zip(runs, scene.tracks, (3.2 / 4.2, 1.0), strict=True):
        end = [seen.pitch[-1], seen.arm[-1], seen.force[-1], seen.current[-1]]
        idle = run.setup.plant.supply.idle
        assert end == pytest.approx([share, 2.0 * share, 3.0 * share, 4.0 * share - idle])
    # a display keeps what it shows until the next refresh
    assert set(scene.tracks[0].meter) == {0.3}
    assert (scene.tracks[1].meter[-2], scene.tracks[1].meter[-1]) == (0.3, 0.7)
    # the still is the end of the first hold on the high side
    assert scene.time[scene.still] >= 0.6 * 4.0 - 0.05 > scene.time[scene.still - 1]
    first = run_of(3.0)
    first.servo.legs.insert(0, SimpleNamespace(go=0.0, end=0.5))  # of no side
    assert motion._bench([first], (None,)).time[motion._bench([first], (None,)).still] >= 0.6 * 3.0 - 0.05
    late = run_of(3.0)
    late.servo.legs = [SimpleNamespace(go=-1.0, end=9.0)]
    assert motion._bench([late], (None,)).still == FRAMES - 1
    assert motion._bench([run_of(3.0, first=0.2)], (None,)).time[0] == 0.2


def test_a_release_begins_where_it_was_held(monkeypatch):
    monkeypatch.setattr(motion, "_track", as_given)
    monkeypatch.setattr(motion, "release_points", lambda start: (start, -9.0))
    runs = [
        SimpleNamespace(setup=0.4, release_high=SimpleNamespace(time=np.array([0.0, 1.0]), pitch=np.array([0.3, 0.1]))),
        SimpleNamespace(setup=0.5, release_high=SimpleNamespace(time=np.array([0.0, 2.0]), pitch=np.array([0.5, 0.0]))),
    ]  # fmt: skip
    scene = motion._release(runs, (None, None))
    assert scene.time[[0, -1]] == pytest.approx([-0.3, 1.0])
    assert scene.still == FRAMES - 1
    one, two = scene.tracks
    assert (one.pitch[0], two.pitch[0]) == (0.4, 0.5)
    assert (one.pitch[-1], two.pitch[-1]) == pytest.approx((0.1, 0.25))
    for seen in scene.tracks:
        assert seen.arm is None
        assert not np.any([seen.force, seen.current, seen.meter])


def flight(begin, end, heading):
    record = np.zeros((50, FLIGHT_COLUMNS))
    record[:, F_TIME] = np.linspace(begin, end, 50)
    for column, value in ((F_PITCH, 0.1), (F_SERVO, 0.2), (F_ROD_FORCE, 3.0), (F_SUPPLY, 0.5)):
        record[:, column] = value
    record[:, F_HEADING] = heading * np.linspace(-1.0, 2.0, 50)
    return record


@pytest.mark.parametrize(
    ("ends", "length"), [(((0.0, 5.0), (0.0, 5.0)), 2.0), (((0.0, 5.0), (0.0, 4.0)), 2.0),
                         (((3.8, 5.0), (0.0, 5.0)), 1.2), (((3.0, 5.5), (3.5, 5.0)), 1.5)]
)  # fmt: skip
def test_the_last_two_seconds_of_a_flight_that_all_have_are_shown(monkeypatch, ends, length):
    monkeypatch.setattr(motion, "_track", as_given)
    runs = [run_of(1.0, idle=idle) for idle in (0.1, 0.2)]
    records = [flight(*own, heading) for own, heading in zip(ends, (0.3, 0.6), strict=True)]
    scene = motion._hover(runs, (None, None), records)
    assert scene.time == pytest.approx(np.linspace(0.0, length, FRAMES))
    for seen, current in zip(scene.tracks, (0.4, 0.3), strict=True):
        assert (seen.pitch[9], seen.arm[9], seen.force[9]) == pytest.approx((0.1, 0.2, 3.0))
        assert seen.current == pytest.approx(current)
        assert seen.meter == pytest.approx(current)
        assert seen.heading.mean() == pytest.approx(0.0, abs=1e-12)
    one = scene.tracks[0].heading
    assert one[-1] - one[0] == pytest.approx(0.9 * length / (ends[0][1] - ends[0][0]))
    assert scene.still == int(np.argmax(np.abs(one)))
    back = [flight(*own, heading) for own, heading in zip(ends, (-0.3, 0.6), strict=True)]
    assert motion._hover(runs, (None, None), back).still == int(np.argmax(np.abs(one)))


def test_two_builds_share_scales_and_scenes_stand_in_order(monkeypatch):
    """The largest force of either; the most that the meter shows, or the current but for a hundredth of its peaks."""
    nothing = np.zeros(101)

    def scene(name, *values):
        tracks = [
            Track(nothing, *[nothing] * 4, nothing, force * np.linspace(-1.0, 0.5, 101), np.append(np.zeros(100), 90.0)
                  + current, np.append(np.zeros(100), meter), nothing, nothing)
            for force, current, meter in values
        ]  # fmt: skip
        return Scene(name, name, nothing, tuple(tracks), 0)

    monkeypatch.setattr(motion, "rig_of", lambda setup: f"rig of {setup}")
    monkeypatch.setattr(motion, "_bench", lambda *_: scene("bench", (4.0, 0.2, 0.1), (9.0, 0.3, 0.7)))
    monkeypatch.setattr(motion, "_release", lambda *_: scene("release", (0.0, -90.0, 0.0), (0.0, -90.0, 0.0)))
    monkeypatch.setattr(
        motion,
        "_hover",
        lambda *given: scene("hover", (1.0, 0.9, 0.0)) if len(given[-1]) == 2 else None,
    )
    verdict = SimpleNamespace(told="returns")
    runs = [SimpleNamespace(setup=n, release_high=SimpleNamespace(verdict=verdict)) for n in (1, 2, 3)]
    flown = [Flown(np.zeros((1, 1)), (0.0, 0.1 * n)) for n in (1, 2, 3)]
    found = motion.motion_of(runs, "abc", flown, "said")
    assert [one.name for one in found.scenes] == ["hover", "bench", "release"]
    assert (found.names, found.rigs) == (("a", "b"), ("rig of 1", "rig of 2"))
    assert found.force == 9.0
    assert found.current == pytest.approx(0.9)
    assert found.verdicts == ("returns", "returns")
    assert (found.said, found.swings) == ("said", ((0.0, 0.1), (0.0, 0.2)))
    last = motion.motion_of(runs, "abc", flown, last=True)
    assert [one.name for one in last.scenes] == ["bench", "release", "hover"]
    alone = motion.motion_of(runs, "abc")
    assert [one.name for one in alone.scenes] == ["bench", "release"]
    assert (alone.said, alone.swings, alone.current) == ("", (), pytest.approx(0.7))
    monkeypatch.setattr(motion, "_bench", lambda *_: scene("bench", (0.0, -90.0, 0.0)))
    assert (motion.motion_of(runs, "abc").force, motion.motion_of(runs, "abc").current) == (1.0, 1.0)


def test_lengths_stay_what_they_are(setup_of):
    """A link is drawn as long as it was set up, whatever the pitch: the crank's arm and the horn turn about alike."""
    setup = setup_of()
    rig = rig_of(setup)
    seen = motion._track(setup, rig, np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1))
    assert hypot(*(seen.horn - seen.slider)[0]) == pytest.approx(LINK)
    assert hypot(*(seen.rod - seen.pin)[0]) == pytest.approx(ROD)
    assert atan((seen.rod - seen.pin)[0, 1] / ROD) == pytest.approx(0.0, abs=1e-12)
