"""What compensation counts from: one meaning in all files of a family."""

from math import isclose
from pathlib import Path

import pytest

import featherbench as fb
from featherbench.assembly import compensation
from featherbench.bench.setup import build_setup
from featherbench.scenario import ScenarioError, read

PLAIN = Path("scenarios/survey-3kg/plain.toml")


def _kappa(path, settings=None):
    setup = build_setup(read(path, settings))
    return compensation(setup.assembly, setup.lead_lag)


def _variant(folder, name, text, base=PLAIN):
    path = folder / name
    path.write_text(f'title = "{name}"\nbase = "{Path(base).resolve()}"\n{text}', encoding="utf-8")
    return path


def test_a_longer_thicker_bolt_that_takes_the_force_off_does_not_read_none(tmp_path):
    own = '[part.blade-bolt]\nsize = "M4x25"\n'
    by_file, by_set = (
        _kappa(_variant(tmp_path, "long.toml", own)),
        _kappa(PLAIN, {"part.blade-bolt.size": "M4x25"}),
    )
    assert isclose(by_file, by_set, rel_tol=1e-12)
    plain = build_setup(read(PLAIN))
    fitted = build_setup(read(PLAIN, {"part.blade-bolt.size": "M4x25"}))
    left = [one.moments.chordwise - one.moments.normal for one in (plain, fitted)]
    assert isclose(by_set, 1.0 - left[1] / left[0], rel_tol=5e-3)
    assert by_set > 0.5


def test_half_the_pull_gone_reads_as_a_half_of_it():
    """M3x25 in place of M3x16: the parts' own pull halves."""
    setups = [build_setup(read(PLAIN, extra)) for extra in ({}, {"part.blade-bolt.size": "M3x25"})]
    left = [one.moments.chordwise - one.moments.normal for one in setups]
    assert isclose(_kappa(PLAIN, {"part.blade-bolt.size": "M3x25"}), 1.0 - left[1] / left[0], rel_tol=2e-3)


def test_the_plain_build_and_its_namesakes_read_none(tmp_path):
    assert _kappa(PLAIN) == 0.0
    assert _kappa(_variant(tmp_path, "faster.toml", '[rotor]\nspeed = "9000 rpm"\n')) == 0.0
    lighter = _variant(tmp_path, "blade.toml", '[part.blade]\nmass = "4.0 g"\n')
    assert _kappa(lighter) == 0.0  # blades count as each file has them
    for name in ("tail", "plain"):
        assert _kappa(f"scenarios/tutorial-2kg/{name}.toml") == 0.0


def test_a_weighted_build_counts_its_own_bolt_against_the_plain_one():
    """Its bolt is cut for the collars, and takes more off than the plain bolt did."""
    fitted = build_setup(read("scenarios/survey-3kg/weighted.toml"))
    plain = build_setup(read(PLAIN))
    left = [one.moments.chordwise - one.moments.normal for one in (plain, fitted)]
    assert isclose(_kappa("scenarios/survey-3kg/weighted.toml"), 1.0 - left[1] / left[0], rel_tol=5e-3)


def test_a_file_may_count_from_itself_or_from_another(tmp_path):
    own = _variant(tmp_path, "own.toml", 'reference = "itself"\n[part.blade-bolt]\nsize = "M3x25"\n')
    assert _kappa(own) == 0.0
    other = tmp_path / "whole.toml"
    text = PLAIN.read_text(encoding="utf-8").replace('size = "M3x16"', 'size = "M3x25"')
    other.write_text(f'reference = "{PLAIN.resolve()}"\n{text}', encoding="utf-8")
    assert isclose(_kappa(other), _kappa(PLAIN, {"part.blade-bolt.size": "M3x25"}), rel_tol=1e-12)
    assert read(other).source.reference == str(PLAIN.resolve())


def test_a_reference_that_is_none_or_leads_back_is_refused(tmp_path):
    for given in ("gone.toml", "", "folder"):
        path = _variant(tmp_path, "bad.toml", f'reference = "{given}"\n')
        with pytest.raises(ScenarioError, match="reference"):
            read(path)
    one = tmp_path / "one.toml"
    one.write_text('title = "a"\nreference = "one.toml"\n', encoding="utf-8")
    with pytest.raises(ScenarioError, match="lead back"):
        read(one)
    with pytest.raises(ScenarioError, match="belong into a file"):
        read(PLAIN, {"reference": "itself"})


def test_the_result_says_what_it_counts_from():
    run = fb.predict(read(PLAIN, {"part.blade-bolt.size": "M3x25"}))
    assert any("compensation counts from the bolts of plain.toml" in note for note in run.notes)
    assert not any("counts from" in note for note in fb.predict(read(PLAIN)).notes)


def test_another_reference_is_another_input(tmp_path):
    one = read(_variant(tmp_path, "a.toml", '[part.blade-bolt]\nsize = "M3x25"\n'))
    two = read(_variant(tmp_path, "a.toml", 'reference = "itself"\n[part.blade-bolt]\nsize = "M3x25"\n'))
    assert one.source.digest != two.source.digest
