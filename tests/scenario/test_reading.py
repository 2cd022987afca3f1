"""Files into scenarios: values, bases, removals, settings, digests and tolerances."""

import math
import pickle
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.scenario import Scenario, ScenarioError, from_tables, read


def write(folder, name, text):
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def problems(call, *arguments):
    with pytest.raises(ScenarioError) as refused:
        call(*arguments)
    return refused.value.problems


def test_the_complete_example_is_read_into_si(plain):
    scenario = read(plain)
    assert isinstance(scenario, Scenario)
    assert scenario.rotor.speed == pytest.approx(8400 * math.tau / 60)
    assert scenario.rotor.pitch_range == pytest.approx((-math.radians(26), math.radians(26)))
    assert scenario.blade.chord == [(0.0, pytest.approx(0.027))]
    assert scenario.part["grip"].size.radius == pytest.approx(0.03)
    assert scenario.part["collar"].pieces[1].from_ == pytest.approx(0.004)
    assert scenario.envelope.stock == pytest.approx((0.006, 0.008, 0.009))
    assert scenario.source.files == (str(plain),)
    assert scenario.source.folder == plain.parent
    assert scenario.source.tolerances == {"part.blade.mass": pytest.approx(0.05e-3)}


def test_optional_tables_may_be_left_out(example):
    raw = tomllib.loads(example)
    for table in ("air", "bench", "gauge", "meter", "limits", "aircraft", "envelope"):
        del raw[table]
    scenario = from_tables(raw)
    assert scenario.aircraft is None
    assert [move.go for move in scenario.bench.programme] == [1.0, -1.0, 0.0]
    left = {item.key: item.value for item in scenario.source.assumed}
    assert left["meter.rate"] == "3 Hz"
    assert left["gauge.stiffness"] == "30 N/mm"
    assert "servo.damping" not in left


def test_byte_order_mark_and_windows_line_ends_are_accepted(tmp_path, example, plain):
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + example.replace("\n", "\r\n").encode())
    assert read(path).source.digest == read(plain).source.digest
    path.write_bytes(path.read_bytes().replace(b'tip = "135 mm"', b'tip = "1 mm"'))
    assert problems(read, path)[0].line == example[: example.index("tip =")].count("\n") + 1


def test_the_digest_is_of_the_content_not_of_the_layout(tmp_path, example, plain):
    grip = example[example.index("[part.grip]") : example.index("[part.blade-bolt]")]
    other = write(tmp_path, "other.toml", example.replace(grip, "") + "# a remark\n" + grip)
    assert read(other).source.digest == read(plain).source.digest
    split = write(
        tmp_path, "split.toml", 'base = "plain.toml"\ntitle = "Survey helicopter, 6 kg: plain blade bolts"'
    )
    assert read(split).source.digest == read(plain).source.digest
    assert read(plain, {"rotor.speed": "8401 rpm"}).source.digest != read(plain).source.digest


def test_a_variant_changes_only_what_it_states(tmp_path, plain):
    text = 'title = "longer"\nbase = "plain.toml"\nremove = ["collar"]\n[part.weight]\nlength = "9 mm"\n'
    path = write(tmp_path, "variant.toml", text)
    scenario, base = read(path), read(plain)
    assert scenario.title == "longer"
    assert scenario.part["weight"].length == pytest.approx(0.009)
    assert scenario.part["weight"].diameter == base.part["weight"].diameter
    assert set(base.part) - set(scenario.part) == {"collar"}
    assert scenario.source.files == (str(path), str(tmp_path / "plain.toml"))


@pytest.mark.usefixtures("plain")
def test_a_variant_of_a_variant_in_other_folders(tmp_path):
    write(
        tmp_path,
        "weights/heavy.toml",
        'title = "heavy"\nbase = "../plain.toml"\n[part.weight]\nlength = "9 mm"\n',
    )
    path = write(
        tmp_path, "last.toml", 'title = "last"\nbase = "weights/heavy.toml"\n[rotor]\nspeed = "9000 rpm"\n'
    )
    scenario = read(path)
    assert scenario.part["weight"].length == pytest.approx(0.009)
    assert scenario.rotor.speed == pytest.approx(9000 * math.tau / 60)
    assert len(scenario.source.files) == 3


def test_files_named_in_a_base_are_found_from_the_base(tmp_path, example):
    write(tmp_path, "below/outline.dat", "0 0\n")
    text = example.replace('section = "NACA 0012"', 'section = "outline.dat"')
    base = write(tmp_path, "below/plain.toml", text)
    variant = write(tmp_path, "variant.toml", 'title = "v"\nbase = "below/plain.toml"\n')
    assert read(base).blade.section == "outline.dat"
    scenario = read(variant)
    assert (scenario.source.folder / scenario.blade.section).is_file()


def test_a_problem_names_the_file_that_supplied_the_value(tmp_path, example):
    broken = write(tmp_path, "broken.toml", example.replace('tip = "135 mm"', 'tip = "20 mm"'))
    path = write(tmp_path, "variant.toml", 'title = "v"\nbase = "broken.toml"\n[servo]\n\nvoltage = 6\n')
    found = {problem.key: (problem.file, problem.line) for problem in problems(read, path)}
    line = example[: example.index("tip =")].count("\n") + 1
    assert found == {"blade.tip": (str(broken), line), "blade.bolt_radius": (str(broken), line + 5)} | {
        "servo.voltage": (str(path), 5)
    }


@pytest.mark.usefixtures("plain")
def test_a_new_part_in_a_variant_must_be_complete(tmp_path):
    path = write(
        tmp_path, "v.toml", 'title = "v"\nbase = "plain.toml"\n[part.new]\ngroup = "grip"\nshape = "hex"\n'
    )
    found = {problem.key: (problem.file, problem.line) for problem in problems(read, path)}
    assert found == {f"part.new.{key}": (str(path), 3) for key in ("axis", "across_flats", "length")}


def test_unknown_removals_are_refused_with_the_nearest_name(tmp_path, plain):
    path = write(
        tmp_path, "v.toml", 'title = "v"\nbase = "plain.toml"\nremove = ["collar",\n"blade-bolts"]\n'
    )
    (problem,) = problems(read, path)
    assert (problem.key, problem.line) == ("remove.1", 4)
    assert 'did you mean "blade-bolt"?' in problem.expected
    for text in ('remove = "collar"', "remove = [1]"):
        path = write(tmp_path, "v.toml", f'title = "v"\nbase = "plain.toml"\n{text}\n')
        assert "list of part names" in problems(read, path)[0].expected
    path = write(
        tmp_path, "v.toml", plain.read_text(encoding="utf-8").replace("[rotor]", "remove = []\n[rotor]")
    )
    assert "base beside it" in problems(read, path)[0].expected


@pytest.mark.usefixtures("plain")
def test_circles_and_missing_bases_are_refused(tmp_path):
    one = write(tmp_path, "one.toml", 'title = "1"\nbase = "two.toml"\n')
    two = write(tmp_path, "two.toml", 'title = "2"\nbase = "./one.toml"\n')
    (problem,) = problems(read, one)
    assert (problem.file, problem.line, problem.key) == (str(two), 2, "base")
    assert "lead back" in problem.expected
    itself = write(tmp_path, "itself.toml", 'title = "1"\nbase = "itself.toml"\n')
    assert "lead back" in problems(read, itself)[0].expected
    lost = write(tmp_path, "lost.toml", 'title = "1"\nbase = "plane.toml"\n')
    assert "did you mean plain.toml?" in problems(read, lost)[0].expected
    for wrong in ("3", '""', '"."', '"a\\u0000b"', "[]"):
        write(tmp_path, "wrong.toml", f'title = "1"\nbase = {wrong}\n')
        assert problems(read, tmp_path / "wrong.toml")


def test_an_endless_chain_is_refused(tmp_path):
    for number in range(30):
        write(tmp_path, f"{number}.toml", f'title = "x"\nbase = "{number + 1}.toml"\n')
    assert "at most 20 files" in problems(read, tmp_path / "0.toml")[0].expected


def test_a_variant_may_state_the_other_of_two_alternatives(tmp_path, plain):
    path = write(
        tmp_path,
        "v.toml",
        'title = "v"\nbase = "plain.toml"\n[part.collar]\nmaterial = "brass"\n[air]\naltitude = "500 m"\n'
        '[envelope]\ntarget = { rod_force = "1.5 N" }\n',
    )
    scenario = read(path)
    assert scenario.part["collar"].density is None
    assert scenario.air.density is None
    assert scenario.envelope.target.compensation is None
    assert read(plain, {"part.collar.material": "steel"}).part["collar"].density is None


def test_settings_override_keys(plain):
    settings = {
        "rotor.speed": "9000 rpm",
        "rotor.blades": "3",
        "part.blade-bolt.size": '"M3x20"',
        "bench.programme.1.hold": "2 s",
        "meter.zero_idle": "false",
        "air": '{ altitude = "300 m" }',
        'part."new one"': '{ group = "grip", shape = "point", mass = "1 g" }',
    }
    scenario = read(plain, settings)
    assert scenario.rotor.speed == pytest.approx(9000 * math.tau / 60)
    assert scenario.rotor.blades == 3
    assert scenario.part["blade-bolt"].size == "M3x20"
    assert scenario.bench.programme[1].hold == 2.0
    assert scenario.meter.zero_idle is False
    assert scenario.air.altitude == pytest.approx(300.0)
    assert scenario.part["new one"].mass == pytest.approx(1e-3)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("rotor.sped", "9000 rpm", "did you mean speed?"),
        ("rotor.speed", "9000", "needs a unit"),
        ("rotor.speed.x", "1", "single value"),
        ("bench.programme.7.hold", "1 s", "0 to 2"),
        ("bench.programme.first.hold", "1 s", "0 to 2"),
        ("", "1", "key.path=value"),
        ("a b", "1", "key.path=value"),
        ("x = 1\ny", "1", "key.path=value"),
        ("base", "plain.toml", "belong into a file"),
        ("rotor.speed", "1\nevil = 2", "not known"),
    ],
)
def test_wrong_settings_are_refused(plain, key, value, words):
    (problem,) = problems(read, plain, {key: value})
    assert problem.file == "--set"
    assert problem.line is None
    assert words in problem.expected


def test_tolerances_are_kept_by_key_path(plain):
    scenario = read(plain, {"linkage.play.rod": "0.05 +/- 0.02 mm", "rotor.speed": "8400 rpm +/- 1 %"})
    assert scenario.source.tolerances == {
        "linkage.play.rod": pytest.approx(0.02e-3),
        "part.blade.mass": pytest.approx(0.05e-3),
        "rotor.speed": pytest.approx(84 * math.tau / 60),
    }
    assert read(plain, {"title": "6.4 +/- 0.05 g"}).source.tolerances == {
        "part.blade.mass": pytest.approx(0.05e-3)
    }


def test_free_text_is_kept_as_it_is(example):
    raw = tomllib.loads(example)
    raw["title"] = "<b>R\u00f6tor & \U0001f681</b>"
    raw["notes"] = "two\nlines"
    raw["part"]["<grip> no. 2"] = raw["part"].pop("grip")
    scenario = from_tables(raw)
    assert (scenario.title, scenario.notes) == (raw["title"], raw["notes"])
    assert "<grip> no. 2" in scenario.part


def test_nothing_of_the_input_is_changed_and_nothing_of_the_result_can_be(example):
    raw = tomllib.loads(example)
    scenario = from_tables(raw, settings={"rotor.speed": "1 rpm"})
    assert raw == tomllib.loads(example)
    with pytest.raises(ValueError, match="frozen"):
        scenario.rotor.speed = 1.0  # type: ignore[misc]


def test_a_scenario_survives_a_process_boundary(plain):
    scenario = read(plain)
    assert pickle.loads(pickle.dumps(scenario)) == scenario


@given(millimetres=st.floats(100.0, 400.0), speed=st.floats(1000.0, 20000.0))
def test_metric_and_trade_scenarios_agree(millimetres, speed):
    from featherbench.guide.starter import starter_text

    raw = tomllib.loads(starter_text("x"))
    metric = from_tables(raw, settings={"blade.tip": f"{millimetres!r} mm", "rotor.speed": f"{speed!r} rpm"})
    trade = from_tables(
        raw, settings={"blade.tip": f"{millimetres / 25.4!r} inch", "rotor.speed": f"{speed / 60!r} rev/s"}
    )
    assert trade.blade.tip == pytest.approx(metric.blade.tip, rel=1e-12)
    assert trade.rotor.speed == pytest.approx(metric.rotor.speed, rel=1e-12)
