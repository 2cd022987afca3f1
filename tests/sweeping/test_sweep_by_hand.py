"""Pieces of a sweep one by one: what is counted, kept, handed in, refused and asked for, by hand."""

import ast
import functools
import math
import os
import sys
import time
from concurrent.futures import BrokenExecutor, Future
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.checks.check import Verdict
from featherbench.scenario import Problem, ScenarioError
from featherbench.studies.engines import EngineError
from featherbench.sweeping import folder as folders
from featherbench.sweeping import study as studies
from featherbench.sweeping import sweep as sweeps
from featherbench.sweeping import values as kept
from featherbench.sweeping.folder import Folder, FolderRefused, csv_bytes, csv_table, open_folder
from featherbench.sweeping.grid import MOST_IN_RANGE, Grid, grid_of, kind_of, known, values_in
from featherbench.sweeping.runner import IN_FLIGHT, Piece, Runner
from featherbench.sweeping.study import (
    Alike,
    Columns,
    Study,
    function_digest,
    in_a_line,
    one_build,
    run_chunk,
)
from featherbench.sweeping.tally import Reached, Tally
from featherbench.sweeping.values import checked_names, meaning, named

# -- what it came to -------------------------------------------------------------------------------------

CHUNKS = [
    {
        "build": [4, 5, 6],
        "force": [3.0, None, math.nan],
        "word": ["a", None, "b"],
        "refused": ["", "late", ""],
    },
    {"build": [0, 1, 2], "force": [3.0, 1.0, 7.0], "word": ["a", "a", "c"], "refused": ["", "", ""]},
    {"build": [3, 7], "force": [1.0, 7.0], "word": ["c", None], "refused": ["early", "last"]},
]


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0)])
def test_a_tally_is_the_same_in_whatever_order_chunks_come(order):
    """Of equal values the first build of the grid; of refusals, too; what is no number counts as none."""
    told = Tally({"force": "force", "word": "text"})
    for number in order:
        told.add(CHUNKS[number])
    assert (told.done, told.refused, told.refusal) == (8, 3, (3, "early"))
    assert told.least == {"force": Reached(1.0, 1)}
    assert told.most == {"force": Reached(7.0, 2)}
    assert told.counts == {"word": {"a": 3, "b": 1, "c": 2}}


def test_an_empty_tally_knows_nothing():
    told = Tally({"force": "force", "word": "text"})
    assert (told.done, told.refused, told.refusal, told.least, told.most) == (0, 0, None, {}, {})
    assert told.counts == {"word": {}}


# -- which builds ----------------------------------------------------------------------------------------

CORNERS = Grid(("servo.a", "rotor.b", "part.c"), ((1, 2), ("x", "y", "z"), (0.5, 0.6)))
"""Twelve builds; the key that moves the air is the second."""


def test_places_rows_and_turns_of_a_grid_by_hand():
    assert (CORNERS.count, CORNERS.shape) == (12, (2, 3, 2))
    assert [CORNERS.places(build) for build in (0, 1, 2, 6, 11)] == [
        (0, 0, 0), (0, 0, 1), (0, 1, 0), (1, 0, 0), (1, 2, 1),
    ]  # fmt: skip
    assert CORNERS.row(7) == (2, "x", 0.6)
    # the air slowest, then as written: all four builds of x, of y, of z
    assert [CORNERS.run_at(turn) for turn in range(12)] == [0, 1, 6, 7, 2, 3, 8, 9, 4, 5, 10, 11]


def test_a_table_has_a_build_a_row_in_its_own_order():
    table = Grid(("a", "b"), rows=((1, 2), (3, 4), (5, 6)), kinds=("text", "length"))
    assert (table.count, table.shape, table.row(2)) == (3, (3,), (5, 6))
    assert [table.run_at(turn) for turn in range(3)] == [0, 1, 2]
    assert table.value(5, 0) == "5"
    assert table.value("brass", 0) == "brass"
    assert table.value("3 mm", 1) == pytest.approx(3e-3)
    assert math.isnan(table.value("brass", 1))


@pytest.mark.parametrize(("number", "fine"), [(1, False), (2, True), (7, True), (8, False)])
def test_a_range_has_two_values_or_more_and_so_many_at_most(monkeypatch, number, fine):
    """A million; seven here, to spare time."""
    assert MOST_IN_RANGE == 1_000_000
    monkeypatch.setattr("featherbench.sweeping.grid.MOST_IN_RANGE", 7)
    text = f"1..2 mm:{number}"
    if not fine:
        with pytest.raises(ScenarioError, match="a range of 2 values or more"):
            values_in("k", text)
        return
    found = values_in("k", text)
    assert (len(found), found[0], found[-1]) == (number, "1 mm", "2 mm")


def test_a_path_into_another_folder_is_no_range():
    assert values_in("k", "../other/polar.csv") == ["../other/polar.csv"]
    assert values_in("k", "a.csv, ../b.csv") == ["a.csv", "../b.csv"]
    assert values_in("k", " , ") == [" , "]


def test_a_unit_stands_at_the_second_end_or_at_both_alike():
    assert values_in("k", "1 mm..2 mm:2") == ["1 mm", "2 mm"]
    with pytest.raises(ScenarioError, match="both ends in one unit"):
        values_in("k", "1 in..2 mm:2")
    assert values_in("k", "8,000..11,000 rpm:2") == ["8000 rpm", "11000 rpm"]


def test_numbers_under_a_heading_with_a_unit_are_in_it():
    grid = grid_of(
        [
            {"linkage.servo_arm [mm]": 12, "servo.kind": "a"},
            {"linkage.servo_arm [mm]": 13.5, "servo.kind": "b"},
        ]
    )
    assert grid.keys == ("linkage.servo_arm", "servo.kind")
    assert grid.rows == (("12.0 mm", "a"), ("13.5 mm", "b"))
    assert grid_of([{"a [mm]": "3 in"}]).rows == (("3 in",),)
    assert grid_of([{"a [mm]": True}]).rows[0][0] != "1.0 mm"
    with pytest.raises(ScenarioError, match="nothing in row 1"):
        grid_of([{"a": "x"}, {"a": ""}])


def test_kinds_of_keys(scenario_of):
    rig = scenario_of()
    assert [kind_of(rig, key) for key in ("rotor.speed", "servo.gear_ratio", "servo.kind", "part.none.mass")] == [
        "rotation", "ratio", "text", "text",
    ]  # fmt: skip
    grid = known(Grid(("servo.kind", "servo.gear_ratio"), ((object, ["a"], "b"), (230.0, "240"))), rig)
    assert grid.kinds == ("text", "ratio")
    assert grid.axes[0] == (str(object), ["a"], "b")
    assert [float(one) for one in grid.axes[1]] == [230.0, 240.0]
    table = known(Grid(("servo.kind", "servo.gear_ratio"), rows=(("a", 230.0),)), rig)
    assert table.rows[0][0] == "a"
    assert table.axes == ()


# -- kept in a folder ------------------------------------------------------------------------------------

TABLE = {"build": [3, 4], "force": [0.1, None], "word": ["", None], "refused": ["", "too long"]}


def test_a_table_as_text_comes_back_to_the_last_digit():
    """0.1 + 0.2 is not 0.3; a text of no letters is not a text that is not there."""
    table = {**TABLE, "force": [0.1 + 0.2, None]}
    data = csv_bytes(table)
    assert data.splitlines() == [b"build,force,word,refused", b"3,0.30000000000000004,,", b"4,,,too long"]
    assert csv_table(data, {"word", "refused"}) == table


@pytest.mark.parametrize(
    "data", [b"build,force,refused\n", b"build,force,refused\n3,1.0\n", b"build,refused\nx,\n"]
)
def test_what_is_no_table_is_refused(data):
    with pytest.raises(ValueError, match=r"no table|invalid literal"):
        csv_table(data, {"refused"})


def test_chunks_are_known_by_their_names(tmp_path):
    own = Folder(tmp_path, "csv", {"word", "refused"})
    assert own.done() == set()
    own.write(12, TABLE)
    assert own.done() == {12}
    assert own.read(12) == TABLE
    assert [file.name for file in tmp_path.iterdir()] == ["chunk-00000012.csv"]
    for name in ("chunk-1.csv", "chunk-00000013.csv.part", ".chunk-00000014.csv.x.part", "other.csv"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    assert own.done() == {12}
    (tmp_path / "chunk-00000012.csv").write_text("x", encoding="utf-8")
    with pytest.raises(FolderRefused, match="cannot be read"):
        own.read(12)


def test_without_the_package_files_are_text_and_files_of_the_other_kind_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(folders, "find_spec", lambda _: None)
    own = open_folder(tmp_path / "a", {"grid": [1, 2]}, ("word",))
    assert (own.kind, own.texts) == ("csv", {"word"})
    assert open_folder(tmp_path / "a", {"grid": (1, 2)}, ("word",)).kind == "csv"
    manifest = tmp_path / "a" / folders.MANIFEST
    text = manifest.read_text(encoding="utf-8")
    assert '"format": 1' in text
    manifest.write_text(text.replace('"csv"', '"parquet"'), encoding="utf-8")
    with pytest.raises(FolderRefused, match="pip install pyarrow"):
        open_folder(tmp_path / "a", {"grid": [1, 2]}, ())
    monkeypatch.setattr(folders, "find_spec", lambda _: "there")
    assert open_folder(tmp_path / "a", {"grid": [1, 2]}, ()).kind == "parquet"
    assert open_folder(tmp_path / "b", {}, ()).kind == "parquet"


@pytest.mark.parametrize(
    "text",
    ["[1]", "x", '{"kept": "spread", "format": 1, "files": "csv"}', '{"kept": "sweep", "format": 2, "files": "csv"}',
     '{"kept": "sweep", "format": 1, "files": "xls"}', '{"kept": "sweep", "files": "csv"}'],
)  # fmt: skip
def test_a_manifest_of_something_else_is_refused(tmp_path, text):
    (tmp_path / folders.MANIFEST).write_text(text, encoding="utf-8")
    with pytest.raises(FolderRefused, match="not of a sweep that this program kept"):
        open_folder(tmp_path, {}, ())


def test_what_was_never_finished_is_forgotten_after_an_hour(tmp_path):
    """A folder that holds nothing else, nor what is hidden, is new."""
    old, new, other = (tmp_path / name for name in (".a.csv.1.part", ".b.csv.2.part", ".mine"))
    for file, age in ((old, 3605.0), (new, 3500.0), (other, 9999.0)):
        file.write_text("x", encoding="utf-8")
        os.utime(file, (time.time() - age,) * 2)
    open_folder(tmp_path, {}, ())
    assert [file.exists() for file in (old, new, other)] == [False, True, True]
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "x").write_text("x", encoding="utf-8")
    with pytest.raises(FolderRefused, match="holds other files"):
        open_folder(tmp_path / "sub", {}, ())
    with pytest.raises(FolderRefused, match="x: "):
        open_folder(tmp_path / "sub" / "x", {}, ())


def test_a_file_that_cannot_be_written_leaves_nothing_behind(tmp_path, monkeypatch):
    def fail(*_):
        raise OSError("full")

    target = tmp_path / "chunk.csv"
    folders.write_whole(target, b"whole")
    assert target.read_bytes() == b"whole"
    monkeypatch.setattr(folders.os, "replace", fail)
    with pytest.raises(OSError, match="full"):
        folders.write_whole(target, b"other")
    assert [file.name for file in tmp_path.iterdir()] == ["chunk.csv"]
    assert target.read_bytes() == b"whole"


@pytest.fixture
def arrows(monkeypatch):
    """In place of the package: a table's kinds and columns, written as they are."""

    class Wrong(Exception):
        pass

    class Read:
        def __init__(self, columns):
            self.columns = columns

        def to_pydict(self):
            return {name: values for name, (values, _) in self.columns.items()}

    def read_table(stream):
        data = stream.read()
        if not data.startswith(b"{"):
            raise Wrong("no such file\nat all")
        return Read(ast.literal_eval(data.decode("utf-8")))

    parquet = SimpleNamespace(
        write_table=lambda table, stream: stream.write(repr(table).encode("utf-8")), read_table=read_table
    )
    package = SimpleNamespace(
        string=lambda: "text", float64=lambda: "float", int64=lambda: "whole", parquet=parquet, ArrowException=Wrong,
        array=lambda column, kind: (list(column), kind), table=lambda columns: columns,
    )  # fmt: skip
    monkeypatch.setitem(sys.modules, "pyarrow", package)
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", parquet)


@pytest.mark.usefixtures("arrows")
def test_columns_of_a_parquet_file_have_their_kinds(tmp_path):
    """Builds are whole numbers, texts are texts, all else is floats; what is no such file is refused."""
    data = folders.parquet_bytes(TABLE, {"word", "refused"})
    kinds = {name: kind for name, (_, kind) in ast.literal_eval(data.decode("utf-8")).items()}
    assert kinds == {"build": "whole", "force": "float", "word": "text", "refused": "text"}
    own = Folder(tmp_path, "parquet", {"word", "refused"})
    own.write(3, TABLE)
    assert own.read(3) == TABLE
    (tmp_path / "chunk-00000003.parquet").write_bytes(b"half")
    with pytest.raises(FolderRefused, match=r"cannot be read \(no such file\)"):
        own.read(3)


def test_a_file_may_be_read_by_whom_the_mask_allows(tmp_path):
    """A temporary file would be its owner's alone; the mask itself stays what it was."""
    before = os.umask(0o027)
    try:
        folders.write_whole(tmp_path / "x", b"whole")
        assert (tmp_path / "x").stat().st_mode & 0o777 == 0o640
        assert os.umask(0o027) == 0o027
    finally:
        os.umask(before)


# -- handed in chunk by chunk ----------------------------------------------------------------------------


class Engine:
    """Works out chunks when asked to; a build that is "deadly" takes its worker along."""

    def __init__(self, workers=2, broken=0):
        self.workers, self.handed, self.renewed, self.stopped, self.most, self.broken = (
            workers,
            [],
            0,
            0,
            0,
            broken,
        )
        self.waiting, self.beside = [], []

    def submit(self, _task, _study, rows):
        if self.broken:
            self.broken -= 1
            raise BrokenExecutor
        future = Future()
        self.handed.append(rows)
        self.waiting.append((future, rows))
        return future

    def go_on(self):
        """The first that waits comes to its end."""
        self.most = max(self.most, len(self.waiting))
        self.beside.append((self.waiting[0][1], len(self.waiting) - 1))
        future, rows = self.waiting.pop(0)
        if ("deadly",) in rows:
            future.set_exception(BrokenExecutor())
            self.waiting.clear()
        else:
            future.set_result(Columns({"x": [2 * row[0] for row in rows]}, [""] * len(rows), "this one"))

    def renew(self):
        self.renewed += 1

    def stop(self):
        self.stopped += 1


@pytest.fixture
def runner(monkeypatch):
    """(a runner on an engine, what it delivered)."""
    monkeypatch.setattr("featherbench.sweeping.runner.program_digest", lambda: "this one")
    monkeypatch.setattr("featherbench.sweeping.runner.started", lambda _: None)

    def made(engine):
        def wait(flying, return_when):  # noqa: ARG001
            engine.go_on()
            return SimpleNamespace(done=[one for one in flying if one.done()])

        monkeypatch.setattr("featherbench.sweeping.runner.wait", wait)
        told = {}
        return Runner(engine, b"study", lambda chunk, columns: told.__setitem__(chunk, columns), ("x",)), told

    return made


def rows(*values):
    return tuple((value,) for value in values)


def test_three_chunks_a_worker_are_on_their_way_at_most(runner):
    engine = Engine(2)
    own, told = runner(engine)
    assert own.run([(number, rows(number, 10 * number)) for number in range(12)])
    assert engine.most == IN_FLIGHT * 2 == 6
    assert {chunk: columns.values for chunk, columns in told.items()} == {
        number: {"x": [2 * number, 20 * number]} for number in range(12)
    }
    assert own.run([])
    alone = Engine(1)
    own, told = runner(alone)
    assert own.run([(number, rows(number)) for number in range(3)])
    assert alone.most == 1  # done already when it is handed in, and delivered before the next
    assert len(told) == 3


def test_the_build_that_takes_its_worker_along_is_found_and_refused_alone(runner):
    """Chunk 1 dies: what was on its way is run again one at a time, and it is parted until its third is alone."""
    engine = Engine(1)
    engine.workers = 2
    own, told = runner(engine)
    assert own.run([(0, rows(1, 2)), (1, rows(3, 4, "deadly", 5)), (2, rows(6))])
    assert sorted(told) == [0, 1, 2]
    assert told[1].values == {"x": [6, 8, None, 10]}
    assert [bool(why) for why in told[1].refused] == [False, False, True, False]
    assert told[1].refused[2].endswith("(BrokenExecutor)")
    assert told[1].program == "this one"
    assert told[0].values == {"x": [2, 4]}
    # once with the others, once alone, the second half, and at last by itself
    assert engine.handed.count(rows(3, 4, "deadly", 5)) == 2
    assert engine.handed.count(rows(3, 4)) == engine.handed.count(rows("deadly", 5)) == 1
    assert engine.handed.count(rows("deadly")) == engine.handed.count(rows(5)) == 1
    assert engine.renewed == 4
    deaths = [beside for rows_, beside in engine.beside if ("deadly",) in rows_]
    assert deaths[1:] == [0, 0, 0]  # when it is tried again nothing else runs beside it


def test_a_piece_is_parted_in_the_middle():
    first, second = Piece(7, 2, rows(1, 2, 3, 4, 5), True).halves()
    assert first == Piece(7, 2, rows(1, 2))
    assert second == Piece(7, 4, rows(3, 4, 5))


def test_workers_that_are_gone_when_a_chunk_is_handed_in_are_replaced(runner):
    engine = Engine(2, broken=1)
    own, told = runner(engine)
    assert own.run([(0, rows(1))])
    assert (engine.renewed, told[0].values) == (1, {"x": [2]})


def test_an_interrupt_keeps_what_is_done_and_stops_the_rest(runner):
    engine = Engine(2)
    own, told = runner(engine)
    usual = engine.go_on

    def go_on():
        usual()
        if len(engine.handed) == 6:
            usual()
            raise KeyboardInterrupt

    engine.go_on = go_on
    assert not own.run([(number, rows(number)) for number in range(9)])
    assert engine.stopped == 1
    assert sorted(told) == [0, 1]


def test_workers_with_another_program_are_refused(runner, monkeypatch):
    engine = Engine(2)
    own, _ = runner(engine)
    monkeypatch.setattr("featherbench.sweeping.runner.program_digest", lambda: "another")
    with pytest.raises(EngineError, match=r"another featherbench \(this one\) than this \(another\)"):
        own.run([(0, rows(1))])


# -- one build -------------------------------------------------------------------------------------------


def study(columns=None, asked=("x",)):
    return Study(None, ("k",), asked, columns or {})


def test_a_build_is_refused_in_one_line(monkeypatch):
    problems = [Problem(None, None, key, "3\n mm", "4 mm") for key in ("a", "", "c", "d", "e")]
    assert (
        in_a_line(ScenarioError(problems))
        == "a: 3 mm, expected 4 mm; 3 mm, expected 4 mm; c: 3 mm, expected 4 mm; and 2 more"
    )
    assert in_a_line(ScenarioError(problems[:3])).endswith("c: 3 mm, expected 4 mm")
    monkeypatch.setattr(Study, "scenario", lambda _, row: row)
    alike = SimpleNamespace(setup=lambda scenario: scenario)

    def give(found):
        def values_of(_setup, _asked):
            if isinstance(found, Exception):
                raise found
            return found

        monkeypatch.setattr(studies, "values_of", values_of)
        return lambda columns=None, asked=("x",): one_build(study(columns, asked), (1,), alike)

    assert give({"x": 1.0})() == ({"x": 1.0}, "")
    assert give({"x": 1.0})({"x": False}) == ({"x": 1.0}, "")
    assert give({"x": None})({"x": True}) == ({"x": None}, "")
    for found, columns in (({"x": "a"}, {"x": False}), ({"x": 1.0}, {"x": True}), ({"y": 1.0}, {"x": False})):
        assert "not what it gave of the first build" in give(found)(columns)[1]
    assert give(ScenarioError(problems[:1]))() == ({}, "a: 3 mm, expected 4 mm")
    assert give(KeyError("y"))() == ({}, "the program failed on it: KeyError: 'y'")
    assert give(KeyError("y"))(asked=len) == ({}, "the function failed on it: KeyError: 'y'")
    assert len(give(ValueError("z" * 900))()[1]) == len("the program failed on it: ") + 300


def test_a_chunk_has_a_value_a_build_and_ends_where_it_is_told_to(monkeypatch):
    found = iter([({"x": 1.0}, ""), ({}, "no"), ({"x": 3.0}, "")])
    monkeypatch.setattr(studies, "one_build", lambda *_: next(found))
    monkeypatch.setattr(studies, "is_ending", lambda: False)
    whole = run_chunk(study({"x": False}), rows(1, 2, 3))
    assert (whole.values, whole.refused) == ({"x": [1.0, None, 3.0]}, ["", "no", ""])
    assert whole.program == studies.program_digest()
    monkeypatch.setattr(studies, "is_ending", lambda: True)
    assert run_chunk(study({"x": False}), rows(1)) is None


def test_airs_that_were_met_are_kept_up_to_so_many(monkeypatch):
    """Two hundred and fifty-six; of one more the oldest goes."""
    solved = []
    monkeypatch.setattr(
        studies, "build_air", lambda scenario: solved.append(scenario.departure) or len(solved)
    )
    table = SimpleNamespace(model_dump_json=lambda: "same")
    alike = Alike()

    def met(number):
        return alike.air(SimpleNamespace(rotor=table, blade=table, air=table, departure=number))

    assert [met(0), met(0), met(1), met(0)] == [1, 1, 2, 1]
    for number in range(256):
        met(number)
    assert len(solved) == 256
    met(0)
    assert len(solved) == 256
    met(256)
    assert len(solved) == 257
    met(1)
    assert len(solved) == 257
    met(0)
    assert len(solved) == 258


def test_functions_are_told_apart_by_what_they_do_and_hold():
    def made(power, scale=2.0):
        def law(run, by=scale):
            return by * run**power

        return law

    def other(run):
        return [run, "x", None, 1.5]

    assert function_digest(made(2)) == function_digest(made(2))
    assert function_digest(made(2)) != function_digest(made(3))
    assert function_digest(made(2)) != function_digest(made(2, 3.0))
    assert function_digest(made((1, [2]))) != function_digest(made((1, [3])))
    assert function_digest(other) != function_digest(made(2))
    part, again, less = (functools.partial(other, run) for run in (1, 1, 2))
    assert function_digest(part) == function_digest(again) != function_digest(less)
    assert function_digest(functools.partial(other, run=1)) != function_digest(
        functools.partial(other, run=2)
    )
    assert function_digest(made(object())) == function_digest(made(object()))  # no address in it


def test_a_study_travels_as_it_is_or_says_why_its_function_cannot(monkeypatch):
    """By name where other processes find it; what was typed at a prompt they do not."""
    plain = study({"x": False})
    assert studies.unpacked(studies.packed(plain)) == plain
    monkeypatch.setattr(studies, "find_spec", lambda _: None)
    assert studies.unpacked(studies.packed(study(asked=math.sqrt))).asked is math.sqrt
    typed = lambda run: run  # noqa: E731
    with pytest.raises(ValueError, match=r"lambda> cannot be sent .* install cloudpickle, or use jobs=1"):
        studies.packed(study(asked=typed))
    typed.__module__ = "__main__"
    monkeypatch.setattr(studies, "_has_file", lambda _: False)
    with pytest.raises(ValueError, match="was typed where other processes cannot find it"):
        studies.packed(study(asked=typed))
    monkeypatch.setattr(studies, "_has_file", lambda _: True)
    with pytest.raises(ValueError, match="cannot be sent"):
        studies.packed(study(asked=typed))


def test_a_module_with_a_file_is_one_that_others_find():
    assert studies._has_file(SimpleNamespace(__file__=__file__))
    assert not studies._has_file(SimpleNamespace(__file__="/no/such/file.py"))
    assert not studies._has_file(SimpleNamespace(__file__=None))
    assert not studies._has_file(SimpleNamespace())


def test_the_programs_digest_is_of_what_works_builds_out(tmp_path, monkeypatch):
    """A name or a line of it changed is another program; what only shows results is no part of it."""
    (tmp_path / "sweeping").mkdir()
    (tmp_path / "views").mkdir()
    for name in ("sweeping/study.py", "laws.py", "views/page.py", "cli.py"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    monkeypatch.setattr(studies, "__file__", str(tmp_path / "sweeping" / "study.py"))
    digest = studies.program_digest.__wrapped__
    first = digest()
    assert first == digest()
    assert len(first.split()[-1]) == 16
    (tmp_path / "views" / "page.py").write_text("y", encoding="utf-8")
    (tmp_path / "cli.py").write_text("y", encoding="utf-8")
    assert digest() == first
    (tmp_path / "laws.py").write_text("y", encoding="utf-8")
    second = digest()
    assert second != first
    (tmp_path / "laws.py").rename(tmp_path / "other.py")
    assert digest() != second


# -- the whole -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shard", "mine"), [((1, 1), [0, 1, 2, 3, 4]), ((2, 3), [1, 4]), ((3, 3), [2]), ((9, 9), [])]
)
def test_a_shard_is_every_so_manieth_chunk(shard, mine):
    assert list(sweeps._mine(5, shard)) == mine


@pytest.mark.parametrize(
    ("builds", "size"), [(1, 1), (64, 1), (65, 2), (640, 10), (64 * 256, 256), (10**6, 256)]
)
def test_chunks_are_a_sixty_fourth_of_the_builds_and_256_at_most(monkeypatch, builds, size):
    """Stopped where the chunks are shared out."""

    def mine(chunks, _shard):
        raise ZeroDivisionError(chunks)

    grid = SimpleNamespace(count=builds)
    monkeypatch.setattr(sweeps, "_planned", lambda *_: (study(), grid))
    monkeypatch.setattr(sweeps, "_mine", mine)
    with pytest.raises(ZeroDivisionError) as told:
        sweeps.sweep(None, None)
    assert told.value.args == (-(-builds // size),)


def test_the_last_chunk_ends_with_the_grid():
    assert [sweeps._builds(CORNERS, chunk, 5) for chunk in range(3)] == [
        [0, 1, 6, 7, 2],
        [3, 8, 9, 4, 5],
        [10, 11],
    ]


def test_a_chunk_is_kept_with_its_keys_in_si():
    grid = Grid(("a", "b"), (("1 mm", "2 mm"), ("x",)), kinds=("length", "text"))
    found = Columns({"force": [1.5, None]}, ["", "no"], "p")
    assert sweeps._table(grid, [1, 0], found) == {
        "build": [1, 0], "a": [pytest.approx(2e-3), pytest.approx(1e-3)], "b": ["x", "x"], "force": [1.5, None],
        "refused": ["", "no"],
    }  # fmt: skip


def test_builds_all_over_the_grid_are_looked_at_before_any_is_run(monkeypatch):
    """Thirty-two from the first to the last; where all are refused the first of them says why."""
    looked = []

    def scenario(self, row):  # noqa: ARG001
        looked.append(row[0])
        raise ScenarioError([Problem(None, None, "k", f"{row[0]}", "another")])

    monkeypatch.setattr(Study, "scenario", scenario)
    monkeypatch.setattr(sweeps, "tree_of", lambda _: None)
    with pytest.raises(ScenarioError) as told:
        sweeps._planned(None, {"k": list(map(str, range(311)))}, ("release",))
    assert told.value.problems[0].given == "0"
    assert looked == [str(10 * step) for step in range(32)]
    looked.clear()
    with pytest.raises(ScenarioError):
        sweeps._planned(None, {"k": ["7"]}, ("release",))
    assert looked == ["7"]


def test_columns_of_a_function_are_those_of_the_first_build_that_it_does_not_fail_on(monkeypatch):
    found = iter([({}, "fell over"), ({"x": 1.0, "y": "a"}, ""), ({"z": 2.0}, "")])
    monkeypatch.setattr(sweeps, "one_build", lambda *_: next(found))
    assert sweeps._shown(study(asked=len), [(1,), (2,), (3,)]).columns == {"x": False, "y": True}
    monkeypatch.setattr(sweeps, "one_build", lambda *_: ({}, "fell over"))
    with pytest.raises(ValueError, match="values: fell over"):
        sweeps._shown(study(asked=len), [(1,)])
    monkeypatch.setattr(sweeps, "one_build", lambda *_: ({}, ""))
    with pytest.raises(ValueError, match="the function gave nothing"):
        sweeps._shown(study(asked=len), [(1,)])


def test_a_frame_is_in_the_order_of_the_grid():
    pytest.importorskip("pandas")
    chunks = {
        0: {"build": [2, 0], "k": [2.0, 0.0], "refused": ["", ""]},
        1: {"build": [1], "k": [None], "refused": ["x"]},
    }
    grid = Grid(("k",), (("0 mm", "1 mm", "2 mm"),), kinds=("length",))
    made = sweeps.Sweep(None, grid, {}, Tally({}), True, None, chunks)
    frame = made.to_frame()
    assert frame.index.tolist() == [0, 1, 2]
    assert frame["k [m]"].tolist()[::2] == [0.0, 2.0]
    assert np.isnan(frame["k [m]"][1])
    assert frame["refused"].tolist() == ["", "x", ""]
    assert (made.count, made.done) == (3, 0)
    assert len(sweeps.Sweep(None, grid, {}, Tally({}), True, None, {}).to_frame()) == 0
    none = {
        0: {"build": [0], "k": [None], "refused": ["x"]}
    }  # a number that no build has is one all the same
    lost = sweeps.Sweep(None, grid, {}, Tally({}), True, None, none).to_frame()
    assert (lost["k [m]"].dtype, lost["refused"].tolist()) == (np.dtype(float), ["x"])


# -- what is kept of a build -----------------------------------------------------------------------------


def test_a_value_has_the_kind_of_its_finding_and_else_is_a_plain_number():
    assert meaning("rod_force_static").kind == meaning("rod_force_push").kind == "force"
    assert (meaning("my_own").kind, meaning("my_own").label) == ("ratio", "my own")


def test_names_are_taken_once_and_as_they_come():
    assert checked_names(["strength", "release", "strength"]) == ("strength", "release")
    assert checked_names("release") == ("release",)
    assert checked_names(len) is len
    with pytest.raises(ValueError, match="no finding 'zzzz'; there are "):
        checked_names(["zzzz"])
    with pytest.raises(ValueError, match="no finding 'releas'; did you mean release"):
        checked_names(["releas"])


def test_what_a_function_gives_is_named():
    def own(run):
        return run

    assert named(own, 2) == {"own": 2.0}
    assert named(lambda _: None, True) == {"lambda": 1.0}
    assert named(functools.partial(own), "x") == {"value": "x"}
    assert named(own, {"a": None, 3: "b", "c": np.float64(4.0), "d": np.array([5])}) == {
        "a": None, "3": "b", "c": 4.0, "d": 5.0,
    }  # fmt: skip
    with pytest.raises(TypeError, match="a is a ndarray: a number, a text or None is needed"):
        named(own, {"a": np.array([1.0, 2.0])})
    with pytest.raises(TypeError, match="own is a list"):
        named(own, [1.0])


def check(verdict, safety=None, holding=False):
    return SimpleNamespace(verdict=verdict, safety=safety, holding=holding)


@pytest.mark.parametrize(
    ("checks", "strength", "word"),
    [
        ([check(Verdict.HOLDS, 1.9), check(Verdict.HOLDS, 1.4), check(Verdict.HOLDS)], 1.4, "holds"),
        ([check(Verdict.HOLDS, 1.9), check(Verdict.FAILS, 0.7), check(Verdict.UNKNOWN)], 0.7, "fails"),
        ([check(Verdict.HOLDS, 1.9), check(Verdict.UNKNOWN)], 1.9, "unknown"),
        ([check(Verdict.HOLDS, 0.2, holding=True), check(Verdict.HOLDS, 1.9)], 1.9, "holds"),
        ([], None, "holds"),
    ],
)
def test_strength_is_the_least_of_what_is_known_and_the_word_of_the_worst(
    monkeypatch, checks, strength, word
):
    monkeypatch.setattr(kept, "load_path_checks", lambda _: checks)
    assert kept._strength(None) == {"strength": strength, "load_path": word}


def test_only_what_is_asked_is_worked_out(monkeypatch):
    called = []
    tests = SimpleNamespace(
        statics="curves", findings=lambda names: {name: SimpleNamespace(value=7.0) for name in names}
    )
    monkeypatch.setattr(kept, "needed_for", lambda _, wanted: called.append(sorted(wanted)) or tests)
    monkeypatch.setattr(kept, "largest_force", lambda curves: f"most of {curves}")
    monkeypatch.setattr(
        kept, "_strength", lambda _: called.append("strength") or {"strength": 1.0, "load_path": "holds"}
    )
    monkeypatch.setattr(
        kept,
        "sample_checks",
        lambda _, within: called.append(within) or {kept.FAILING: "", kept.UNKNOWN_PATHS: "x"},
    )
    monkeypatch.setattr(kept, "bench_run", lambda setup: f"run of {setup}")
    assert kept.values_of("build", ("release",)) == {"release": 7.0}
    assert called == [["release"]]
    called.clear()
    assert kept.values_of("build", ("rod_force_static", "load_path")) == {
        "rod_force_static": "most of curves", "load_path": "holds",
    }  # fmt: skip
    assert called == [["load_path", "rod_force_static"], "strength"]
    called.clear()
    assert kept.values_of("build", (kept.UNKNOWN_PATHS,)) == {kept.UNKNOWN_PATHS: "x"}
    assert called == [[kept.UNKNOWN_PATHS], True]
    assert kept.values_of("build", len) == {"len": 12.0}
    called.clear()
    assert kept.values_of("build", ("strength",)) == {"strength": 1.0}
    assert kept.values_of("build", (kept.FAILING,)) == {kept.FAILING: ""}


def test_a_key_that_is_varied_twice_is_refused():
    twice = Grid(("a", "b", "a"), ((1,), (2,), (3,)))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(sweeps, "grid_of", lambda _: twice)
        with pytest.raises(ScenarioError, match="each key once"):
            sweeps._planned(None, None, ("release",))


def test_a_plan_knows_its_columns_and_the_kinds_of_its_keys(monkeypatch):
    """By the first build that can be."""

    def scenario(self, row):  # noqa: ARG001
        if row[0] == "0":
            raise ScenarioError([Problem(None, None, "k", "0", "another")])
        return f"build {row[0]}"

    monkeypatch.setattr(Study, "scenario", scenario)
    monkeypatch.setattr(sweeps, "tree_of", lambda _: "tree")
    monkeypatch.setattr(sweeps, "known", lambda grid, build: replace(grid, kinds=(build,)))
    made, grid = sweeps._planned("base", {"k": ["0", "1", "2"]}, ("release", "strength"))
    assert (made.tree, made.keys, made.asked) == ("tree", ("k",), ("release", "strength"))
    assert made.columns == {"release": True, "strength": False}
    assert grid.kinds == ("build 1",)
    shown = []
    monkeypatch.setattr(sweeps, "_shown", lambda study_, rows_: shown.append(rows_) or study_)
    sweeps._planned("base", {"k": ["0", "1", "2"]}, len)
    assert shown == [[("1",), ("2",)]]


@pytest.mark.parametrize("kept_in", [None, "there"])
def test_a_sweep_runs_its_shard_and_goes_on_where_a_folder_ends(monkeypatch, kept_in):
    """Ten builds, four a chunk: the second of two shards has one of them; of the first, what is there is not run."""
    told = {}
    grid = Grid(("k",), (tuple(f"{k} mm" for k in range(10)),), kinds=("length",))

    class Kept(Folder):
        def __init__(self):
            self.kept = {0: {"build": [0], "k": [0.0], "x": [5.0], "w": ["b"], "refused": [""]}}

        def done(self):
            return set(self.kept)

        def read(self, chunk):
            return self.kept[chunk]

        def write(self, chunk, table):
            self.kept[chunk] = table

    class Run:
        def __init__(self, engine, sent, deliver, names):
            told.update(engine=engine, sent=sent, names=names)
            self.deliver = deliver

        def run(self, work):
            for chunk, rows_ in work:
                told.setdefault("work", []).append((chunk, rows_))
                self.deliver(
                    chunk, Columns({"x": [1.0] * len(rows_), "w": ["a"] * len(rows_)}, [""] * len(rows_), "p")
                )
            return True

    class Engine_:
        def __enter__(self):
            return "engine"

        def __exit__(self, *_):
            pass

    own = Kept()
    monkeypatch.setattr(sweeps, "_planned", lambda *_: (study({"x": False, "w": True}), grid))
    monkeypatch.setattr(sweeps, "CHUNK", 4)
    monkeypatch.setattr(sweeps, "MANY", 2)
    monkeypatch.setattr(sweeps, "open_folder", lambda out, _, texts: told.update(out=out, texts=texts) or own)
    monkeypatch.setattr(sweeps, "_belongs", lambda *_: {})
    monkeypatch.setattr(sweeps, "engine_for", lambda _, jobs: told.update(jobs=jobs) or Engine_())
    monkeypatch.setattr(sweeps, "packed", lambda _: b"packed")
    monkeypatch.setattr(sweeps, "Runner", Run)
    said = []
    found = sweeps.sweep(
        "base", None, out=kept_in, shard=(1, 2), jobs=3, progress=lambda *pair: said.append(pair)
    )
    assert (told["engine"], told["sent"], told["names"], told["jobs"]) == ("engine", b"packed", ("x", "w"), 3)
    assert found.columns == {"x": "ratio", "w": "text"}
    late = [(2, (("8 mm",), ("9 mm",)))]
    if kept_in:
        assert told["work"] == late
        assert said == [(3, 6)]  # one build of the first chunk was kept, of four
        assert (found.folder.name, told["texts"]) == ("there", {"w", "refused"})
        assert own.kept[2]["build"] == [8, 9]
        assert [table["build"] for table in found.tables()] == [[0], [8, 9]]
        told["work"] = []
        sweeps.sweep("base", None, out=kept_in, shard=(1, 2), jobs=3)
        assert (told["work"], told["jobs"]) == ([], 1)  # nothing is missing: no workers are asked for
    else:
        assert told["work"] == [(0, (("0 mm",), ("1 mm",), ("2 mm",), ("3 mm",))), *late]
        assert said == [(4, 6), (6, 6)]
        assert found.folder is None
        assert sorted(found.chunks) == [0, 2]
    assert found.done == said[-1][0]
    told["work"] = []
    sweeps.sweep("base", None, shard=(2, 2))
    assert [chunk for chunk, _ in told["work"]] == [1]
    sweeps.sweep("base", None)
    assert [chunk for chunk, _ in told["work"]] == [1, 0, 1, 2]
