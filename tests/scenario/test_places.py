"""A refusal from a room that knows keys only still names the file and line where the key was typed."""

from featherbench.scenario import Problem, ScenarioError, located, read


def test_a_key_is_found_where_it_was_typed(plain, tmp_path):
    variant = tmp_path / "variant.toml"
    variant.write_text('title = "v"\nbase = "plain.toml"\n[part.weight]\nlength = "9 mm"\n', encoding="utf-8")
    source = read(variant, {"rotor.speed": "9000 rpm"}).source
    lines = plain.read_text(encoding="utf-8").splitlines()
    assert source.place("part.weight.length") == (str(variant), 4)
    assert source.place("servo.voltage") == (
        str(plain),
        lines.index('voltage = "6 V"', lines.index("[servo]")) + 1,
    )
    assert source.place("bench.programme.1.hold")[1] == lines.index("[bench]") + 2
    assert source.place("rotor.speed") == ("--set", None)


def test_a_key_left_out_is_placed_at_its_table(plain):
    source = read(plain).source
    lines = plain.read_text(encoding="utf-8").splitlines()
    assert source.place("linkage.rod_modulus") == (str(plain), lines.index("[linkage]") + 1)
    assert source.place("nothing.like.it") == (str(plain), None)


def test_a_refusal_gets_its_place_and_keeps_one_it_has(plain):
    scenario = read(plain)
    bare = Problem(key="servo.travel", given="60 deg", expected="more")
    placed = Problem(file="other.toml", line=3, key="servo.travel", given="60 deg", expected="more")
    first, second = located(ScenarioError([bare, placed]), scenario).problems
    lines = plain.read_text(encoding="utf-8").splitlines()
    assert (first.file, first.line) == (str(plain), lines.index('travel = "60 deg"') + 1)
    assert (first.key, first.given, first.expected) == (bare.key, bare.given, bare.expected)
    assert second == placed
