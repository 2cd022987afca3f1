"""A ranking put together by hand: what a change is judged by, what it costs, who is praised, what is asked for."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from featherbench.bench.release import ReleaseVerdict
from featherbench.ranking import ranked as ranking
from featherbench.ranking.change import Change, Setting
from featherbench.ranking.document import ranking_document
from featherbench.ranking.measures import COSTS, MEASURES, measured
from featherbench.ranking.outcome import NOT_KNOWN, Ranking, Reach, Strength, Tried

FINDINGS = {
    "rod_force_push": 20.0, "rod_force_pull": 31.0, "hold_most_high": 0.4, "hold_most_low": 0.6,
    "current_hold_high": 0.3, "current_hold_low": 0.9, "current_hold_hover": 0.2, "seat_ratio_hover": 1.7,
    "thrust_low": -5.0, "thrust_high": 8.0, "hover_pitch": 0.1, "centrifugal_load": 700.0,
    "arrival_high": 0.11, "arrival_low": 0.14,
}  # fmt: skip


def run(**changes):
    """A bench run that found these; None takes a finding out."""
    found = {name: value for name, value in {**FINDINGS, **changes}.items() if value is not None}
    return SimpleNamespace(
        findings={name: SimpleNamespace(value=value) for name, value in found.items()},
        value=lambda name: float(found[name]),
        scenario=SimpleNamespace(rotor=SimpleNamespace(pitch_range=(-0.4, 0.5))),
        statics=SimpleNamespace(servo_angle=_Angles()),
        release_high=SimpleNamespace(verdict=ReleaseVerdict.RETURNS),
        release_low=SimpleNamespace(verdict=ReleaseVerdict.STAYS),
    )


class _Angles:
    def __array__(self, *_, **__):
        import numpy as np

        return np.array([-0.7, 0.0, 0.6])


def test_measures_are_read_off_a_run():
    """The greater of push and pull, the end that draws more, end to end, the further end, the slower end."""
    expected = {
        "force": 31.0, "hold": 0.6, "hover": 0.2, "play": 1.7, "range": 0.9, "swing": 0.7, "thrust": 8.0,
        "load": 700.0, "arrival": 0.14,
    }  # fmt: skip
    assert measured(run()) == pytest.approx(expected)
    assert measured(run(rod_force_push=40.0))["force"] == 40.0


def test_thrust_is_of_the_end_that_hover_lies_toward():
    """At zero it lies toward the high end, which a rotor's thrust is named after; with no hover the stronger counts."""
    assert measured(run(hover_pitch=-0.1))["thrust"] == 5.0
    assert measured(run(hover_pitch=0.0))["thrust"] == 8.0
    assert measured(run(hover_pitch=0.5))["thrust"] == 8.0
    assert measured(run(hover_pitch=None))["thrust"] == 8.0
    assert measured(run(hover_pitch=None, thrust_low=-9.0))["thrust"] == 9.0
    assert measured(run(hover_pitch="none"))["thrust"] == 8.0


def test_a_hold_counts_by_the_most_that_friction_lets_stand_and_else_by_what_was_drawn():
    assert measured(run(hold_most_low=None))["hold"] == 0.9
    assert measured(run(hold_most_low=None, current_hold_low=None))["hold"] == 0.4
    assert measured(run(hold_most_high=0.8))["hold"] == 0.8
    none = dict.fromkeys(("hold_most_low", "hold_most_high", "current_hold_low", "current_hold_high"))
    assert measured(run(**none))["hold"] is None


def test_what_a_run_could_not_give_is_none():
    assert measured(run(arrival_low="not reached"))["arrival"] is None
    assert measured(run(arrival_high="not reached"))["arrival"] is None
    assert measured(run(current_hold_hover=None))["hover"] is None
    assert measured(run(current_hold_hover="not held"))["hover"] is None


BEFORE = {
    "force": 20.0, "hold": 0.5, "hover": 0.2, "play": 2.0, "strength": 1.5, "range": 0.9, "swing": 0.8,
    "thrust": 10.0, "load": 500.0, "arrival": 0.1,
}  # fmt: skip


def tried(words="a change", bad=(), runs_out=False, failing=0, ranges=None, **after):
    """A change by what it makes of some of the measures."""
    return Tried(
        Change(words, None), run(), {**BEFORE, **after}, BEFORE, ranges or {}, dict(bad), runs_out, failing, 4
    )


def ranked_by_hand(*found, by="force", left_out=()):
    return Ranking(run(), by, found, tuple(left_out), Strength(1.5, {}), 4, 3, 7, True)


def test_one_holds_against_which_nothing_speaks():
    assert tried().holds
    assert not tried(bad={"bolt": "0.8"}).holds
    assert not tried(runs_out=True).holds
    for name in ("arrival", "hold", "hover"):
        assert not tried(**{name: None}).holds
        assert not tried(**{name: None}).keeps_up
    assert tried(play=None).keeps_up


def test_a_servo_that_never_got_there_need_not_with_the_change():
    one = replace(tried(arrival=None), before={**BEFORE, "arrival": None})
    assert one.keeps_up
    assert replace(tried(), before={**BEFORE, "arrival": None}).keeps_up


def test_what_is_not_known_is_told_from_what_fails():
    assert tried(bad={"arm": NOT_KNOWN, "bolt": NOT_KNOWN}).unknown
    assert not tried(bad={"arm": NOT_KNOWN, "bolt": "0.8"}).unknown
    assert not tried().unknown
    assert not tried(bad={"arm": NOT_KNOWN}, runs_out=True).unknown
    assert not tried(bad={"arm": NOT_KNOWN}, hold=None).unknown


def test_changes_as_shares_of_what_was():
    one = tried(force=15.0, play=2.5)
    assert one.moved("force") == -5.0
    assert one.share("force") == -0.25
    assert (one.gain(), one.gain("play"), one.gain("hold")) == (0.25, 0.25, 0.0)
    assert tried(force=None).moved("force") is None
    assert tried(force=None).share("force") == 0.0
    lost = replace(one, before={**BEFORE, "force": None, "hold": 0.0, "play": -2.0})
    assert lost.moved("force") is None
    assert (lost.share("force"), lost.share("hold")) == (0.0, 0.0)
    assert lost.share("play") == 2.25  # of its size, whatever its sign


def test_costs_add_up_and_savings_do_not():
    """10 % less range and thrust, 25 % more swing and 20 % more time cost 0.65; 40 % less load is no credit."""
    dear = tried(range=0.81, thrust=9.0, swing=1.0, arrival=0.12, load=300.0)
    assert dear.cost == pytest.approx(0.1 + 0.1 + 0.25 + 0.2)
    assert tried(range=1.2, thrust=12.0, swing=0.4, arrival=0.05, load=400.0).cost == 0.0
    assert tried(load=550.0).cost == pytest.approx(0.1)
    assert tried(force=99.0, play=0.0).cost == 0.0


def test_one_is_sure_that_is_better_in_every_sample():
    better = {"force": 19.9}
    assert tried(**better).sure()
    assert not tried().sure()
    assert not tried(force=20.1).sure()
    assert tried(**better, ranges={"force": Reach(-0.5, -0.05)}).sure()
    for reach in (Reach(-0.5, 0.0), Reach(-0.5, 0.1)):
        assert not tried(**better, ranges={"force": reach}).sure()
    assert not tried(ranges={"force": Reach(-0.5, -0.1)}).sure()
    assert not tried(force=20.1, ranges={"force": Reach(-0.5, -0.1)}).sure()
    more = {"play": 2.1}
    assert tried(**more, ranges={"play": Reach(0.05, 0.9)}).sure("play")
    for reach in (Reach(0.0, 0.9), Reach(-0.1, 0.9)):
        assert not tried(**more, ranges={"play": reach}).sure("play")
    assert tried(**more, ranges={"force": Reach(-0.1, 0.1)}).sure("play")


def test_most_for_least_comes_first_and_what_is_spoiled_is_not_praised():
    """A fifth off for a cost of 9 % is worth 2, a tenth off for 1 % 5, half off for 99 % 0.5: each with one more."""
    fifth = tried("fifth", force=16.0, load=545.0)
    tenth = tried("tenth", force=18.0, load=505.0)
    half = tried("half", force=10.0, load=995.0)
    free = tried("free", force=19.4)  # 3 % for nothing but the effort: worth 3
    bad = tried("bad", force=1.0, bad={"bolt": "0.8"})
    slips = tried("slips", force=1.0, failing=1)
    unsure = tried("unsure", force=1.0, ranges={"force": Reach(-20.0, 1.0)})
    found = ranked_by_hand(fifth, bad, half, slips, free, unsure, tenth)
    assert [one.change.words for one in found.praised()] == ["tenth", "free", "fifth", "half"]
    assert [one.change.words for one in found.spoiled] == ["bad", "slips"]
    seats = ranked_by_hand(tried("seat", play=3.0, force=25.0), fifth, by="play")
    assert [one.change.words for one in seats.praised()] == ["seat"]
    assert [one.change.words for one in seats.praised("force")] == ["fifth"]


def test_a_document_says_first_what_must_not_be_made():
    good = tried("good", force=18.0, ranges={"force": Reach(-2.5, -1.5)})
    setting = Setting("linkage.stiffness", "stiffness", 1.0, 1.5)
    good = replace(good, change=Change("good", None, remark="as it is", settings=(setting,)))
    bad = tried("bad", bad={"bolt": "0.8"})
    found = ranked_by_hand(good, bad, left_out=[Change("none", None, refused="no bolt")])
    said = ranking_document(found, {"bad": "bolt: fails"})
    assert (said["seed"], said["by"], said["most_for_least"]) == (7, "force", "good")
    assert said["samples"] == {"asked": 4, "done": 3, "complete": True}
    assert said["left_out"] == [{"words": "none", "why": "no bolt"}]
    assert [one["words"] for one in said["tried"]] == ["bad", "good"]
    assert [(one["holds"], one["against"]) for one in said["tried"]] == [(False, "bolt: fails"), (True, "")]
    last = said["tried"][1]
    assert last["figures"]["force"] == {
        "before": 20.0, "after": 18.0, "change": -2.0, "low": -2.5, "high": -1.5, "unit": "N",
    }  # fmt: skip
    assert (last["figures"]["play"]["low"], last["figures"]["play"]["high"]) == (None, None)
    units = {"force": "N", "hold": "A", "play": "1", "range": "rad", "arrival": "s"}
    assert {name: last["figures"][name]["unit"] for name in units} == units
    assert list(last["figures"]) == [*MEASURES, *COSTS]
    assert last["settings"] == [{"key": "linkage.stiffness", "before": 1.0, "after": 1.5, "unit": "N/m"}]
    assert last["remark"] == "as it is"
    assert ranking_document(ranked_by_hand(bad), {})["most_for_least"] is None


def test_a_frame_has_a_row_for_each_change_and_measure():
    pytest.importorskip("pandas")
    frame = ranked_by_hand(tried("one", force=18.0, ranges={"force": Reach(-2.5, -1.5)})).to_frame()
    assert len(frame) == len(MEASURES) + len(COSTS)
    row = frame.loc["one", "force"]
    assert [row.before, row.after, row.change, row.low, row.high, row.unit] == [
        20.0,
        18.0,
        -2.0,
        -2.5,
        -1.5,
        "N",
    ]
    assert frame.loc["one", "play"].isna()[["low", "high"]].all()


def sample(force, bad=(), runs_out=False, **values):
    return ranking._Sample({**BEFORE, "force": force, **values}, tuple(bad), runs_out)


def test_a_range_is_what_samples_add_to_the_change_as_written():
    """The full run says -2; in the short runs the change is -3 as written and -4 and -2.5 at two places."""
    one = tried(force=18.0)
    base = {-1: sample(20.0), 0: sample(22.0), 1: sample(19.0)}
    own = {-1: sample(17.0), 0: sample(18.0), 1: sample(16.5)}
    assert ranking._ranges(one, base, own, [0, 1])["force"] == pytest.approx((-3.0, -1.5))
    assert ranking._ranges(one, base, own, [0])["force"] == pytest.approx((-3.0, -2.0))
    assert ranking._ranges(one, base, own, [1])["force"] == pytest.approx((-2.0, -1.5))
    assert ranking._ranges(one, base, own, [0, 1])["hold"] == (0.0, 0.0)
    assert list(ranking._ranges(one, base, own, [0, 1])) == [*MEASURES, *COSTS]


def test_a_measure_that_some_sample_lacks_has_no_range():
    one, base = tried(force=18.0, hover=None), {-1: sample(20.0), 0: sample(22.0)}
    own = {-1: sample(17.0), 0: sample(18.0, hold=None)}
    found = ranking._ranges(one, base, own, [0])
    assert "hold" not in found  # in the sample
    assert "hover" not in found  # in the run
    assert "force" in found
    assert "play" not in ranking._ranges(one, {-1: sample(20.0), 0: sample(22.0, play=None)}, own, [0])
    assert ranking._ranges(one, {0: sample(22.0)}, own, [0]) == {}  # not known as written
    assert ranking._ranges(one, base, {0: sample(18.0)}, [0]) == {}


def against(build, changed, own_bad=None, base_bad=None, **samples):
    pair = (Change("it", None), changed)
    return ranking._tried(
        build,
        Strength(1.5, base_bad or {}),
        pair,
        Strength(1.2, own_bad or {}),
        (samples["base"], samples["own"]),
    )


def out(side="release_high"):
    one = run()
    getattr(one, side).verdict = ReleaseVerdict.RUNS_OUT
    return one


def test_only_what_is_new_counts_against_a_change():
    known = {"base": {-1: sample(20.0), 0: sample(20.0)}, "own": {-1: sample(18.0), 0: sample(18.0)}}
    one = against(run(), run(rod_force_pull=30.0), {"bolt": "0.8", "arm": "0.9"}, {"arm": "0.7"}, **known)
    assert one.bad == {"bolt": "0.8"}
    assert (one.before["strength"], one.values["strength"]) == (1.5, 1.2)
    assert (one.before["force"], one.values["force"]) == (31.0, 30.0)
    assert (one.samples, one.failing) == (1, 0)
    assert one.ranges["force"] == pytest.approx((-1.0, -1.0))
    assert not one.runs_out
    for side in ("release_high", "release_low"):
        assert against(run(), out(side), **known).runs_out
        assert not against(out(), out(side), **known).runs_out
    assert not against(out(), run(), **known).runs_out


def test_samples_that_fail_by_the_change_are_counted():
    """Of five places: one fails a check by it, one did before, one runs out by it, one did before, one holds."""
    base = {
        -1: sample(1.0),
        0: sample(1.0),
        1: sample(1.0, ["arm"]),
        2: sample(1.0),
        3: sample(1.0, (), True),
        4: sample(1.0),
    }
    own = {
        -1: sample(1.0, ["bolt"]),
        0: sample(1.0, ["arm"]),
        1: sample(1.0, ["arm"]),
        2: sample(1.0, (), True),
        3: sample(1.0, (), True),
        4: sample(1.0),
        5: sample(1.0, ["arm"]),
    }
    one = against(run(), run(), base=base, own=own)
    assert (one.failing, one.samples) == (2, 5)
    swapped = against(run(), run(), base=own, own=base)
    assert (swapped.failing, swapped.samples) == (0, 5)
    bare = against(run(), run(), base={}, own={})
    assert (bare.failing, bare.samples, bare.ranges) == (0, 0, {})


def given(**tables):
    """A scenario by its tables, each known by a number."""
    whole = {"rotor": 1.0, "air": 1.0, "blade": 1.0, "linkage": 1.0} | tables
    return SimpleNamespace(
        **{name: SimpleNamespace(number=number, pitch_range=(-0.4, 0.5)) for name, number in whole.items()}
    )


KEYS = {"plain": ("a", "b"), "changed": ("b", "c")}


@pytest.fixture
def counted(monkeypatch):
    """Everything but the running of it: what is asked for is written down, a build's force is its number."""
    told = []

    def inputs(scenario):
        return [SimpleNamespace(key=key) for key in KEYS.get(getattr(scenario, "name", ""), ())]

    def shortened(one, stated, air=None):
        told.append((one.scenario.name, [own.key for own in stated], air))
        return SimpleNamespace(of=one, air=f"air of {one.scenario.name}")

    def many(task, jobs, progress=None, **_):
        results = {index: task(job) for index, job in enumerate(jobs)}
        for index in results:
            if progress:
                progress(index + 1, len(results))
        return SimpleNamespace(results=results, interrupted=False, complete=True)

    monkeypatch.setattr(ranking, "varied_inputs", inputs)
    monkeypatch.setattr(ranking, "shortened_task", shortened)
    monkeypatch.setattr(ranking, "run_many", many)
    monkeypatch.setattr(ranking, "sample_run", lambda _, place: run_at(place))
    monkeypatch.setattr(ranking, "sample_places", lambda keys, count, seed: _points(keys, count, seed, told))
    return told


def _points(keys, count, seed, told):
    import numpy as np

    told.append(("places", keys, count, seed))
    return np.arange(keys * count, dtype=float).reshape(count, keys)


def run_at(place):
    """A run whose push is the sum of its place."""
    if place is not None and 99.0 in place:
        raise ranking.ScenarioError([])
    new = run(rod_force_pull=0.0, rod_force_push=-1.0 if place is None else float(sum(place)))
    new.place = place
    return new


def build(name, **tables):
    one = run()
    one.scenario = given(**tables)
    one.scenario.name = name
    return one


def judge(_run, _tolerances):
    return Strength(2.0, {})


def test_all_builds_are_sampled_at_the_same_places(counted):
    """Three keys in all; the first build has the first two of them, the second the last two."""
    found = ranking._sampled([build("plain"), build("changed", linkage=2.0)], judge, 2, 5, None, None)
    assert ("places", 3, 2, 5) in counted
    forces = {
        number: {place: one.values["force"] for place, one in places.items()}
        for number, places in found.by_build.items()
    }
    assert forces == {0: {-1: 0.0, 0: 0.0 + 1.0, 1: 3.0 + 4.0}, 1: {-1: 0.0, 0: 1.0 + 2.0, 1: 4.0 + 5.0}}
    assert (found.done, found.complete) == (2, True)
    assert found.of(1) == (found.by_build[0], found.by_build[1])
    assert found.of(2) == (found.by_build[0], {})
    assert found.by_build[0][0].values["strength"] == 2.0


def test_no_samples_are_made_where_none_are_asked_for_or_nothing_varies(counted):
    one = build("plain")
    assert ranking._sampled([one], judge, 0, 0, None, None) == ranking._Samples({}, 0, True)
    assert ranking._sampled([build("fixed")], judge, 3, 0, None, None) == ranking._Samples({}, 0, True)
    assert not any(said[0] == "places" for said in counted)
    assert ranking._sampled([one], judge, 1, 0, None, None).done == 1


@pytest.mark.usefixtures("counted")
def test_a_sample_that_cannot_be_is_no_sample(monkeypatch):
    def points(keys, count, _seed):
        import numpy as np

        return np.array([[99.0] * keys, *([1.0] * keys for _ in range(count - 1))])

    monkeypatch.setattr(ranking, "sample_places", points)
    found = ranking._sampled([build("plain")], judge, 3, 0, None, None)
    assert sorted(found.by_build[0]) == [-1, 1, 2]
    assert found.done == 2


def test_the_air_of_the_build_serves_all_whose_rotor_and_blade_are_its_own(counted):
    runs = [build("plain"), build("changed", linkage=2.0)]
    runs += [build("changed", **{table: 2.0}) for table in ("rotor", "air", "blade")]
    tasks = ranking._tasks(runs)
    assert [task.of for task in tasks] == runs
    assert [said[2] for said in counted] == [None, "air of plain", None, None, None]
    assert counted[1][1] == ["b", "c"]


def change(words, scenario):
    return Change(words, scenario)


@pytest.fixture
def whole(counted, monkeypatch):  # noqa: ARG001
    """A ranking of two changes that can be, one that cannot be run and one that the build cannot take."""
    builds = {
        "plain": build("plain"),
        "less": build("changed"),
        "more": build("changed"),
        "odd": None,
    }
    forces = {"plain": 20.0, "less": 18.0, "more": 15.0}

    def predicted(scenario):
        if scenario == "odd":
            raise ranking.ScenarioError(
                [SimpleNamespace(key="servo.arm", given="2 mm", expected="3 mm"),
                 SimpleNamespace(key="", given="nothing reached", expected="")]
            )  # fmt: skip
        one = builds[scenario]
        pulled = run(rod_force_push=1.0, rod_force_pull=forces[scenario])
        one.value, one.findings = pulled.value, pulled.findings
        one.setup = "setup"
        return one

    monkeypatch.setattr(ranking, "predict", predicted)
    monkeypatch.setattr(ranking, "ordinary_changes", lambda setup: [change(f"ordinary of {setup}", "more")])
    own = [change("less", "less"), change("odd", "odd"), replace(change("never", None), refused="no bolt")]

    def tell(**options):
        return ranking.ranked("plain", judge, own=own, **options)

    return tell


def test_a_ranking_tries_own_changes_and_ordinary_ones_and_says_what_it_could_not(whole):
    said = []
    found = whole(count=2, seed=3, progress=lambda *pair: said.append(pair))
    assert [one.change.words for one in found.tried] == ["ordinary of setup", "less"]  # most force first
    assert [one.moved("force") for one in found.tried] == [-5.0, -2.0]
    assert {one.words: one.refused for one in found.left_out} == {
        "never": "no bolt",
        "odd": "servo.arm: 2 mm, expected 3 mm; nothing reached",
    }
    assert (found.by, found.asked, found.done, found.seed, found.complete) == ("force", 2, 2, 3, True)
    assert [one.samples for one in found.tried] == [2, 2]
    # three runs, one of which cannot be, then of three builds one short run as written and two samples each; without
    # that one, of four
    assert said == [(done, 3 + 4 * 3) for done in range(1, 3 + 3 * 3 + 1)]


def test_a_ranking_of_own_changes_alone(whole):
    found = whole(ordinary=False, count=0)
    assert [one.change.words for one in found.tried] == ["less"]
    assert (found.done, found.complete, found.tried[0].samples) == (0, True, 0)
    assert [one.samples for one in whole().tried] == [8, 8]
    assert whole().seed == 0


def test_by_which_measure_is_asked_first(whole):
    with pytest.raises(KeyError):
        whole(by="beauty")
    assert whole(by="play", count=0).by == "play"


@pytest.mark.parametrize("first", [True, False])
def test_an_interrupt_on_the_way_is_told(whole, monkeypatch, first):
    """In the runs as written, or in the samples."""
    usual = ranking.run_many

    def many(task, jobs, **options):
        found = usual(task, jobs, **options)
        written = task is ranking._written
        return SimpleNamespace(
            results=found.results, interrupted=written and first, complete=written or first
        )

    monkeypatch.setattr(ranking, "run_many", many)
    assert not whole(count=1).complete
