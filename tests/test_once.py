"""What tests remember of a computation: asked the same once more it is not computed, asked anything else it is."""

from types import SimpleNamespace

import pytest

from featherbench.scenario import read
from once import once

PLAIN = "scenarios/survey-3kg/plain.toml"


@pytest.fixture
def counted():
    """A study that counts how often it was really made; and what it is asked for."""
    made = []

    def study(scenario, count=3, *, seed=0, progress=None):
        made.append((scenario, count, seed, progress))
        return SimpleNamespace(interrupted=count == 1, number=len(made))

    return once(study), made


def test_a_file_read_once_more_is_the_same_build(counted, request, monkeypatch):
    monkeypatch.chdir(request.config.rootpath)
    study, made = counted
    first = study(read(PLAIN))
    for asked in (study(read(PLAIN), 3), study(read(PLAIN), seed=0), study(read(PLAIN), progress=print)):
        assert asked is first
    assert len(made) == 1


def test_another_build_another_seed_and_another_count_are_not(counted, request, monkeypatch):
    monkeypatch.chdir(request.config.rootpath)
    study, _ = counted
    plain, slower = read(PLAIN), read(PLAIN, {"rotor.speed": "9999 rpm"})
    told = [study(plain), study(slower), study(plain, 4), study(plain, seed=1), study([plain, slower])]
    assert [one.number for one in told] == [1, 2, 3, 4, 5]


def test_what_was_cut_short_is_nobody_elses_answer(counted):
    study, made = counted
    assert study("build", 1) is not study("build", 1)
    assert len(made) == 2
