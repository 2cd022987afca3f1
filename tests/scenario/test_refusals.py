"""Everything that is refused: each with its file, line, key path, and words a user can act on."""

import pickle
import re

import pytest

from featherbench.scenario import Problem, ScenarioError, read

JARGON = re.compile(
    r"pydantic|validat|extra_forbidden|literal|tagged|union|\bdict\b|NoneType|int_|float_", re.IGNORECASE
)

# old text, new text, line of the new text that is named (0: its first), key path, words in what is expected
BAD = [
    ('speed = "8400 rpm"', "speed = 8400", 0, "rotor.speed", "needs a unit"),
    ('speed = "8400 rpm"', 'speed = "8400"', 0, "rotor.speed", "needs a unit"),
    ('speed = "8400 rpm"', 'speed = "140 Hz"', 0, "rotor.speed", "rpm, rad/s"),
    ('speed = "8400 rpm"', 'speed = "-8400 rpm"', 0, "rotor.speed", "above 0 rpm"),
    ('speed = "8400 rpm"', 'speed = "8400000000 rpm"', 0, "rotor.speed", "check the unit"),
    ('speed = "8400 rpm"', 'sped = "8400 rpm"', 0, "rotor.sped", "did you mean speed?"),
    ('speed = "8400 rpm"', "", -2, "rotor.speed", 'speed = "8400 rpm"'),
    ("blades = 2", "blades = 1", 0, "rotor.blades", "not below 2"),
    ("blades = 2", "blades = 2.5", 0, "rotor.blades", "whole number"),
    ("blades = 2", 'blades = "2"', 0, "rotor.blades", "whole number"),
    ("blades = 2", "blades = true", 0, "rotor.blades", "whole number"),
    ('["-26 deg", "26 deg"]', '["26 deg", "-26 deg"]', 0, "rotor.pitch_range", "low end first"),
    ('["-26 deg", "26 deg"]', '["-26 deg", "70 deg"]', 0, "rotor.pitch_range.1", "within 60 deg"),
    ('["-26 deg", "26 deg"]', '["-26 deg"]', 0, "rotor.pitch_range.1", "one more entry"),
    ('["-26 deg", "26 deg"]', '["-26 deg", "0 deg", "26 deg"]', 0, "rotor.pitch_range", "at most 2"),
    (
        'density = "1.18 kg/m^3"',
        'density = "1.18 kg/m^3"\naltitude = "400 m"',
        0,
        "air.density",
        "either the density",
    ),
    ('density = "1.18 kg/m^3"', 'density = "0 kg/m^3"', 0, "air.density", "above 0"),
    ('tip = "135 mm"', 'tip = "40 mm"', 0, "blade.tip", "beyond the root at 40 mm"),
    ('bolt_radius = "36 mm"', 'bolt_radius = "140 mm"', 0, "blade.bolt_radius", "inside the tip"),
    ('root = "40 mm"', 'root = "100 mm"', 6, "blade.bolt_radius", "near the blade"),
    (
        'bolt_radius = "36 mm"',
        'bolt_radius = "36 mm"\nbolt_chord = "-14 mm"',
        1,
        "blade.bolt_chord",
        "half a chord",
    ),
    (
        'chord = "27 mm"',
        'chord = [["40 mm", "29 mm"],\n["40 mm", "22 mm"]]',
        1,
        "blade.chord.1",
        "radii that increase",
    ),
    ('chord = "27 mm"', 'chord = [["40 mm"]]', 0, "blade.chord.0.1", "one more entry"),
    ('chord = "27 mm"', "chord = 27", 0, "blade.chord", "needs a unit: a length"),
    ('section = "NACA 0012"', 'section = "NACA 2412"', 0, "blade.section", "NACA 0012"),
    ('section = "NACA 0012"', 'section = "nowhere.dat"', 0, "blade.section", "existing coordinate file"),
    ('swing = "free"', 'swing = "loose"', 0, "blade.swing", '"free" or "clamped"'),
    ('swing = "free"', 'swing = "free"\nswing_angle = "2 deg"', 1, "blade.swing_angle", "clamped"),
    ("axis_at = 0.38", "axis_at = nan", 0, "blade.axis_at", "finite"),
    ("axis_at = 0.38", 'axis_at = "10 mm"', 0, "blade.axis_at", "plain number"),
    ("axis_at = 0.38", "axis_at = 38", 0, "blade.axis_at", "not above 1.5"),
    ('mass = "6.4 +/- 0.05 g"', 'mass = "-6.4 g"', 0, "part.blade.mass", "above 0 g"),
    ('mass = "6.4 +/- 0.05 g"', 'mass = "6.4 N"', 0, "part.blade.mass", "needs a mass"),
    ('mass = "6.4 +/- 0.05 g"', "", -3, "part.blade.mass", "material"),
    ('mass = "5.6 g"', 'density = "2700 kg/m^3"\nmaterial = "brass"', 0, "part.grip.density", "not both"),
    ('shape = "aerofoil"', 'shape = "wing"', 0, "part.blade.shape", "a shape"),
    ('shape = "aerofoil"', "", -2, "part.blade.shape", "a shape"),
    ('group = "grip"', 'group = "grips"', 0, "part.grip.group", '"counterweight"'),
    ('chord = "12 mm"', 'cord = "12 mm"', 0, "part.grip.size.cord", "did you mean chord?"),
    ('axis = "radius"', 'axis = "r"', 0, "part.collar.axis", '"radius"'),
    ('diameter = "8 mm", bore = "3 mm"', 'bore = "3 mm"', 0, "part.collar.pieces.0", "either diameter"),
    (
        'across_flats = "7 mm"',
        'across_flats = "7 mm", diameter = "7 mm"',
        0,
        "part.collar.pieces.1",
        "either",
    ),
    ('bore = "3 mm"', 'bore = "8 mm"', 0, "part.collar.pieces.0.bore", "below the outside of 8 mm"),
    (
        'bore = "3 mm"',
        'bore = "3 mm", flats = "8 mm", cut_length = "2 mm"',
        0,
        "part.collar.pieces.0.flats",
        "between the bore and the diameter of 8 mm",
    ),
    (
        'bore = "3 mm"',
        'bore = "3 mm", flats = "7 mm"',
        0,
        "part.collar.pieces.0.cut_length",
        "how far the flats",
    ),
    (
        'bore = "3 mm"',
        'bore = "3 mm", cut_length = "1 mm"',
        0,
        "part.collar.pieces.0.cut_length",
        "flats or slot",
    ),
    (
        'bore = "3 mm"',
        'bore = "3 mm", slot = "1 mm", flats = "7 mm", cut_length = "1 mm"',
        0,
        "part.collar.pieces.0.slot",
        "not both",
    ),
    (
        'bore = "3 mm"',
        'bore = "3 mm", slot = "1 mm", cut_length = "40 mm"',
        0,
        "part.collar.pieces.0.cut_length",
        "at most the length",
    ),
    (', normal = "11 mm" }', " }", 1, "part.weight.mirror", "other than 0"),
    ('cord_length = "300 mm"', "", -5, "part.swung.cord_length", "bifilar"),
    ('period = "0.9 s"\ncord_length = "300 mm"\nspacing = "60 mm"', "", -4, "part.swung.period", "a swing"),
    ('mass = "2.1 g"', "", -3, "part.swung.mass", "measured part"),
    ('kind = "thrust ball"', "", -1, "bearing", "kind"),
    ('mean_diameter = "7 mm"', "", -2, "bearing.mean_diameter", "7 mm"),
    ('lever_in = "20 mm"', "", -3, "linkage.lever_in", "both lever arms or neither"),
    ('lever_out = "14 mm"', "", -2, "linkage.lever_out", "both lever arms or neither"),
    (
        'rod_diameter = "2 mm"',
        'rod_diameter = "2 mm"\nrod_bore = "2 mm"',
        1,
        "linkage.rod_bore",
        "below the rod's",
    ),
    ('play = { rod = "0.05 mm"', 'play = { rod = "0.05 kg"', 0, "linkage.play.rod", "needs a length"),
    ('idle_current = "12 mA"', 'idle_current = "1.6 A"', 0, "servo.idle_current", "below the stall current"),
    (
        'idle_current = "12 mA"',
        'running_current = "2 A"',
        0,
        "servo.running_current",
        "below the stall current",
    ),
    ('dead_band = "0.4 deg"', 'dead_band = "7 deg"', 0, "servo.dead_band", "proportional band"),
    ("gear_ratio = 240", "gear_ratio = inf", 0, "servo.gear_ratio", "finite"),
    ("gear_ratio = 240", 'speed = "3 rpm"', 0, "servo.speed", "speed belongs into [rotor]"),
    ("zero_idle = true", 'zero_idle = "yes"', 0, "meter.zero_idle", "true or false"),
    ('release_from = "15 deg"', 'release_from = "27 deg"', 0, "bench.release_from", "-26 deg to 26 deg"),
    ('go = 1.0, hold = "1.5 s"', 'go = 1.0, hold = "1 ms"', 0, "bench.programme.0.hold", "0.05 s or more"),
    ('rate = "10 Hz"', 'rate = "0.01 Hz"', 0, "gauge.rate", "reads 5 times"),
    ('rate = "10 Hz"', 'rate = "10 Hz"\nsweep = "1 ms"', 1, "gauge.sweep", "0.5 s or more"),
    ("go = 1.0", "go = 1.5", 0, "bench.programme.0.go", "not above 1"),
    ('main_torque = "5.1 N*m"', 'mass = "6 kg"', -3, "aircraft", "main_radius"),
    ("{ compensation = 0.93 }", "{ }", 0, "envelope.target", "exactly one"),
    (
        "{ compensation = 0.93 }",
        '{ compensation = 1, rod_force = "1 N" }',
        0,
        "envelope.target",
        "exactly one",
    ),
    ('materials = ["steel", "brass"]', "materials = []", 0, "envelope.materials", "at least 1 entry"),
    ('title = "Survey helicopter, 6 kg: plain blade bolts"', 'title = ""', 0, "title", "not empty"),
    ('title = "Survey helicopter, 6 kg: plain blade bolts"', "title = 6", 0, "title", "text in quotes"),
    ("[supply]", "[supplies]", 0, "supplies", "did you mean supply?"),
]


def refusal(path) -> tuple[Problem, ...]:
    with pytest.raises(ScenarioError) as refused:
        read(path)
    message = str(refused.value)
    assert "Traceback" not in message
    assert not JARGON.search(message), message
    return refused.value.problems


@pytest.mark.parametrize(("old", "new", "offset", "key", "words"), BAD)
def test_bad_files_are_refused_in_place(tmp_path, example, old, new, offset, key, words):
    assert old in example
    path = tmp_path / "bad.toml"
    path.write_text(example.replace(old, new, 1), encoding="utf-8")
    line = example.count("\n", 0, example.index(old)) + 1 + offset
    found = {problem.key: problem for problem in refusal(path)}
    assert key in found, found
    assert (found[key].file, found[key].line) == (str(path), line)
    assert words in found[key].expected


def test_the_table_is_long_enough():
    assert len(BAD) >= 30


def test_missing_tables_are_listed_with_what_they_hold(tmp_path):
    path = tmp_path / "bare.toml"
    path.write_text('title = "nothing yet"\n', encoding="utf-8")
    problems = {problem.key: problem for problem in refusal(path)}
    assert set(problems) == {"rotor", "blade", "part", "bearing", "linkage", "servo", "supply"}
    assert "stall_torque" in problems["servo"].expected
    assert {problem.given for problem in problems.values()} == {"nothing"}


def test_all_problems_come_together_schema_and_rules(tmp_path, example):
    text = example.replace('speed = "8400 rpm"', "speed = 8400").replace('tip = "135 mm"', 'tip = "30 mm"')
    path = tmp_path / "bad.toml"
    path.write_text(
        text.replace('lever_in = "20 mm"\n', "").replace("blades = 2", "blade = 2"), encoding="utf-8"
    )
    keys = {problem.key for problem in refusal(path)}
    assert {"rotor.speed", "rotor.blades", "rotor.blade", "blade.tip", "linkage.lever_in"} <= keys


def test_a_valid_part_is_still_checked_beside_an_invalid_one(tmp_path, example):
    text = example.replace('group = "grip"', 'group = "gripe"').replace('bore = "3 mm"', 'bore = "9 mm"')
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    assert {problem.key for problem in refusal(path)} == {"part.grip.group", "part.collar.pieces.0.bore"}


@pytest.mark.parametrize(
    ("data", "line", "words"),
    [
        (b'title = "a"\n[rotor]\nspeed = 8400 rpm\n', 3, "quotes"),
        (b'title = "a"\ntitle = "b"\n', 2, "TOML"),
        (b'title = "a\n', 1, "TOML"),
        (b"[rotor\n", 1, "TOML"),
        (b'title = "\xff"\n', 1, "UTF-8"),
        (b'title = "a"\n# \xe4\n', 2, "UTF-8"),
        (b"x = " + b"[" * 100_000, None, "scenario"),
        (b"x = " + b"[" * 20 + b"]" * 20, None, "six"),
        (b"a" + b".a" * 5000 + b" = 1", None, "six"),
        (b"x = " + b"9" * 10_000, None, "TOML"),
        (b"x = 1234-99-99", None, "TOML"),
        (b"# " + b"x" * 1_000_001, None, "few kilobytes"),
        (b"\x00", 1, "TOML"),
        (b"\x0b", 1, "TOML"),
        (b'title = "a\xe2\x80\xa8\xe2\x80\xa8b"\n[rotor\n', 2, "TOML"),
    ],
)  # fmt: skip
def test_unreadable_files(tmp_path, data, line, words):
    path = tmp_path / "odd.toml"
    path.write_bytes(data)
    (problem,) = refusal(path)
    assert problem.file == str(path)
    assert words in problem.expected
    if line is not None:
        assert problem.line == line


def test_folders_and_missing_files(tmp_path, plain):
    assert refusal(tmp_path)[0].given == "a folder"
    assert "did you mean plain.toml?" in refusal(plain.with_name("plane.toml"))[0].expected
    assert refusal(tmp_path / "nul\0byte")[0].given.startswith(("no such file", "cannot be read"))
    assert refusal(tmp_path / ("x" * 5000))[0].given.startswith(("no such file", "cannot be read"))


def test_a_missing_mesh_is_refused_and_a_present_one_read(tmp_path, example):
    part = '\n[part.shell]\ngroup = "grip"\nshape = "mesh"\nfile = "shell.stl"\nmass = "1 g"\n'
    path = tmp_path / "mesh.toml"
    path.write_text(example + part, encoding="utf-8")
    (problem,) = refusal(path)
    assert (problem.key, problem.given) == ("part.shell.file", '"shell.stl"')
    (tmp_path / "shell.stl").write_bytes(b"solid\n")
    assert read(path).part["shell"].file == "shell.stl"


def test_control_characters_do_not_reach_the_terminal(tmp_path, example):
    path = tmp_path / "odd.toml"
    path.write_text(example.replace("blades = 2", '"\\u001b[31m" = "\\u009b\\u001b"'), encoding="utf-8")
    with pytest.raises(ScenarioError) as refused:
        read(path)
    assert "\x1b" not in str(refused.value)
    assert "\x9b" not in str(refused.value)


def test_long_lists_of_problems_are_cut(tmp_path, example):
    rows = "\n".join(f"key{number} = 1" for number in range(100))
    path = tmp_path / "odd.toml"
    path.write_text(example.replace("[rotor]", f"[rotor]\n{rows}"), encoding="utf-8")
    with pytest.raises(ScenarioError) as refused:
        read(path)
    assert len(refused.value.problems) == 100
    assert str(refused.value).endswith("and 60 more")


def test_an_error_survives_a_process_boundary():
    error = ScenarioError([Problem("a.toml", 3, "rotor.speed", "8", "more")])
    copied = pickle.loads(pickle.dumps(error))
    assert copied.problems == error.problems
    assert str(copied) == str(error)
    assert "a.toml, line 3: rotor.speed" in str(error)


def test_a_setting_for_a_part_that_a_build_lacks_names_that_build(tmp_path, example):
    """Of two builds compared the setting goes to both: the one without the part says so, not a line of the other."""
    file = tmp_path / "bare.toml"
    file.write_text(example, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read(file, {"part.ring.length": "2 mm"})
    (problem,) = caught.value.problems
    assert (problem.file, problem.key) == ("--set", "part.ring.length")
    assert str(file) in problem.expected
    has = next(iter(read(file).part))
    with pytest.raises(ScenarioError, match=f"did you mean {has}"):
        read(file, {f"part.{has[:-1]}x.mass": "2 g"})


def test_a_part_may_still_be_added_by_settings(tmp_path, example):
    file = tmp_path / "bare.toml"
    file.write_text(example, encoding="utf-8")
    point = {"part.tip.mass": "0.1 g", "part.tip.shape": "point", "part.tip.group": "blade",
             "part.tip.at": '{ radius = "60 mm" }'}  # fmt: skip
    assert read(file, point).part["tip"].mass == pytest.approx(1e-4)
