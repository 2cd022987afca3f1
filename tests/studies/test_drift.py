"""What changes from day to day: friction and load over the dates of several tables, by hand and end to end."""

from datetime import date

import numpy as np
import pytest

from featherbench.bench.gauge import run_gauge
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import read_bench_data
from featherbench.bench.setup import build_setup
from featherbench.fitting.drift import FRICTION, LOAD, _trend, trends
from featherbench.fitting.match import match
from featherbench.fitting.misfit import Point
from featherbench.fitting.simulated import with_values
from featherbench.views.fitted.drift import trend_sheet, trends_in_words

MAY, JUNE, JULY = date(2026, 5, 1), date(2026, 5, 31), date(2026, 6, 30)
DAYS = {"may": MAY, "june": JUNE, "july": JULY}
PITCHES = np.deg2rad([-19, -12, -5, 5, 12, 19])


def table(name, wider=0.0, more=0.0, doubt=0.05, scatter=None):
    """Both directions at each pitch; wider: of half the loop, N; more: share of the load."""
    return [
        Point(
            p,
            way,
            40 * p,
            more * 40 * p + wider * way + (scatter.normal(0, doubt) if scatter else 0.0),
            doubt,
            1.0,
            name,
        )
        for p in PITCHES
        for way in (1.0, -1.0)
    ]


def test_two_days_by_hand():
    """(1.3 - 1.0) N in 30 days; its doubt the root sum of two, 1.96 times."""
    got = _trend("x", "force", (MAY, JUNE), [(1.0, 0.03), (1.3, 0.04)])
    assert got.change == pytest.approx(0.3)
    assert got.doubt == pytest.approx(1.95996 * 0.05, rel=1e-4)
    assert got.seen
    half = _trend("x", "force", (MAY, date(2026, 5, 16)), [(1.0, 0.03), (1.3, 0.04)])
    assert half.change == pytest.approx(0.6)  # in half the time


def test_days_that_scatter_are_not_believed_to_their_own_doubts():
    """Three days, the middle one 0.3 N off a level line; chi^2 about their mean of 1.1 by hand."""
    got = _trend("x", "force", (MAY, JUNE, JULY), [(1.0, 0.01), (1.3, 0.01), (1.0, 0.01)])
    chi_squared = (0.1**2 + 0.2**2 + 0.1**2) / 0.01**2  # one degree of freedom
    assert got.change == pytest.approx(0.0, abs=1e-12)
    assert got.doubt == pytest.approx(1.95996 * np.sqrt(chi_squared) * 0.01 / np.sqrt(2.0), rel=1e-4)
    assert not got.seen


def test_growing_friction_is_seen_and_the_load_is_not():
    points = [*table("may"), *table("june", 0.2), *table("july", 0.4)]
    friction, load = trends(points, DAYS, 1.0, 0.8)
    assert (friction.what, load.what) == (FRICTION, LOAD)
    assert friction.values == pytest.approx((0.8, 1.0, 1.2))
    assert friction.change == pytest.approx(0.2)
    assert friction.seen
    assert load.values == pytest.approx((1.0, 1.0, 1.0))
    assert not load.seen
    (said,) = trends_in_words((friction, load), "metric")
    assert "grows" in said
    assert "2026-05-01" in said
    assert "in 30 days" in said


def test_a_load_that_falls_and_a_linkage_that_runs_backward():
    points = [*table("may", -0.3), *table("june", -0.5, -0.03, 0.01)]
    friction, load = trends(points, DAYS, -1.0, 0.8)
    assert friction.values == pytest.approx((1.1, 1.3))  # a rising pitch goes with the lower force
    assert load.change == pytest.approx(-0.03)
    assert any("tachometer" in said for said in trends_in_words((friction, load), "metric"))


def test_chance_alone_is_seldom_called_a_trend():
    """Of 400 pairs of days without any change, one in twenty is beyond its 95 %, and no more than chance gives."""
    seen = 0
    for seed in range(400):
        scatter = np.random.default_rng(seed)
        points = [*table("may", scatter=scatter), *table("june", scatter=scatter)]
        seen += trends(points, DAYS, 1.0, 0.8)[0].seen
    assert 4 <= seen <= 36


def test_what_is_too_small_to_matter_is_no_trend():
    """A load 1 % higher, known to a tenth of that: a rotor speed half a per cent higher does it."""
    friction, load = trends([*table("may", doubt=0.002), *table("june", 0.02, 0.01, 0.002)], DAYS, 1.0, 0.8)
    assert load.change > load.doubt
    assert friction.change > friction.doubt
    assert not load.seen
    assert not friction.seen


def test_what_tells_no_trend():
    one_way = [one for one in table("june") if one.way > 0]
    assert trends([*table("may"), *one_way], DAYS, 1.0, 0.8) == ()
    assert trends(table("may"), DAYS, 1.0, 0.8) == ()
    assert trends([*table("may"), *table("undated")], DAYS, 1.0, 0.8) == ()
    assert trend_sheet((), "metric").rows == ()
    friction, load = trends([*table("may"), *table("june")], DAYS, 1.0, 0.8)
    (said,) = trends_in_words((friction, load), "metric")
    assert said.startswith("Over 30 days no trend")


@pytest.fixture(scope="module")
def plain(scenario_of):
    return scenario_of(gauge={"sweep": "4 s", "uncertainty": "0.06 N", "rate": "50 Hz"})


def read_on(scenario, file, day, friction):
    """What a person reads of the build with so much slider friction (N), with the day above it."""
    run = run_gauge(build_setup(with_values(scenario, ("linkage.slider_friction",), (friction,))))
    rows = ["pitch [deg];force rising [N];force falling [N]"]
    for pitch in (-19, -12, -5, 5, 12, 19):
        up, down = (np.interp(np.deg2rad(pitch), run.pitch, way) for way in (run.up, run.down))
        rows.append(f"{pitch};{up:.2f};{down:.2f}")
    file.write_text("\n".join([f"# Date: {day}", *rows]), encoding="utf-8")
    return file


def test_tables_of_two_days_show_a_slider_that_wears(plain, tmp_path):
    """Friction at the slider 0.4 N more after 15 days: half of the loop at the rod by that, times the lever's ratio."""
    was = float(plain.linkage.slider_friction)
    files = [
        read_on(plain, tmp_path / "one.csv", "2026-11-02", was),
        read_on(plain, tmp_path / "two.csv", "2026-11-17", was + 0.4),
    ]
    data = read_bench_data(files, plain)
    assert data.days == {"one.csv": date(2026, 11, 2), "two.csv": date(2026, 11, 17)}
    friction, load = match(plain, data, runs=4).trends
    loops = [
        run_gauge(build_setup(with_values(plain, ("linkage.slider_friction",), (one,))))
        for one in (was, was + 0.4)
    ]
    grown = 0.5 * float(np.mean(loops[1].up - loops[1].down) - np.mean(loops[0].up - loops[0].down))
    assert friction.change == pytest.approx(2.0 * grown, rel=0.1)
    assert friction.seen
    assert not load.seen


@pytest.mark.parametrize("words", ["# date: 2 November", "# Date: 2026-13-01", "# date = yesterday"])
def test_what_is_no_date_is_refused_with_what_would_do(plain, tmp_path, words):
    file = tmp_path / "one.csv"
    file.write_text(f"{words}\npitch [deg];force rising [N]\n5;1.0\n", encoding="utf-8")
    with pytest.raises(ReadingsRefused, match="such as 2026-11-02"):
        read_bench_data([file], plain)


@pytest.mark.parametrize(
    "where", ['date = "2026-11-02"\n[readings]', "[readings]\ndate = 2026-11-02", 'date = ""\n[readings]']
)
def test_a_day_in_a_file_of_readings(plain, tmp_path, where):
    file = tmp_path / "one.toml"
    file.write_text(f'{where}\ngauge_push = "5 N"\n', encoding="utf-8")
    data = read_bench_data([file], plain)
    assert data.days == ({} if '""' in where else {"one.toml": date(2026, 11, 2)})
    assert list(data.readings) == ["gauge_push"]
