"""Whatever is in a log or a readings file: a log, readings, or one refusal in words; never another exception."""

import numpy as np
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from featherbench.bench.logs import Log, read_log
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import _table, _toml, _tree
from featherbench.scenario.bench_data import LogFormat

QUIET = settings(
    max_examples=3 * settings.default.max_examples,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
GOOD = ["t [s];Force [N];I [A]", *[f"{0.02 * k:.2f};{np.sin(0.3 * k):.3f};0.{k % 9 + 1}" for k in range(45)]]
WORDS = "- NaN OL 1,5 1.2.3 12:00 25:99:99 2020-13-40 1e400 ;;; [readings] −3 ½ t/ms () N inf # Force"
ODD = st.sampled_from([*WORDS.split(), "", "\t", '"', "Force [N]", "# x", "0" * 400, "\ufeff"])


@QUIET
@given(
    st.lists(st.tuples(st.integers(0, 45), st.integers(0, 3), ODD), max_size=12), st.sampled_from(";,\t |")
)
def test_edited_logs(tmp_path, edits, delimiter):
    rows = [row.split(";") for row in GOOD]
    for row, column, text in edits:
        if column < len(rows[row]):
            rows[row][column] = text
        else:
            rows[row] = [text]
    _try_log(tmp_path, "\n".join(delimiter.join(row) for row in rows).encode())


@QUIET
@given(st.binary(max_size=400))
def test_any_bytes(tmp_path, data):
    _try_log(tmp_path, data)


@QUIET
@given(st.text(alphabet=st.sampled_from("0123456789.,;:-\n\t tFN[]()#eEaμ/\"'"), max_size=500))
@example('"\n0;')
def test_any_text(tmp_path, text):
    _try_log(tmp_path, text.encode())
    path = tmp_path / "readings"
    for reader in (read_toml, _table):
        try:
            reader(path, "quantity,value,unit\n" + text if reader is _table else "[readings]\n" + text)
        except ReadingsRefused as error:
            _in_words(error)


def read_toml(path, text):
    return _toml(path, text, _tree(path, text))


def _try_log(tmp_path, data):
    path = tmp_path / "log.csv"
    path.write_bytes(data)
    try:
        log = read_log(path, LogFormat())
    except ReadingsRefused as error:
        _in_words(error)
        return
    assert isinstance(log, Log)
    assert np.all(np.diff(log.time) > 0.0)
    assert all(len(column) == len(log.time) for column in log.columns.values())


def _in_words(error):
    assert error.problems
    assert all(problem.given and problem.expected for problem in error.problems)
