"""Signs and ends of rows in a table written by hand."""

import pytest

from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import read_bench_data

PULLS_READ_POSITIVE = {"log": {"push": "negative"}}


@pytest.fixture
def table(tmp_path, scenario_of):
    def read(text, **changes):
        file = tmp_path / "hand.csv"
        file.write_text(text, encoding="utf-8")
        return read_bench_data([file], scenario_of(**changes)).readings.values()

    return read


@pytest.mark.parametrize(
    ("heads", "rows", "changes", "forces"),
    [
        ("angle [deg];force [N]", "8;2.5", {}, [2.5]),
        ("angle [deg];force [N]", "8;2.5", PULLS_READ_POSITIVE, [-2.5]),
        ("angle [deg];push [N]", "8;2.5", PULLS_READ_POSITIVE, [2.5]),
        ("angle [deg];push or pull [N]", "8;2.5", PULLS_READ_POSITIVE, [-2.5]),
        ("angle [deg];push [N];pull [N]", "8;2.5;\n-8;;1.9", PULLS_READ_POSITIVE, [2.5, -1.9]),
        ("angle [deg];push [N];pull [N]", "8;2.5;\n-8;;1.9", {}, [2.5, -1.9]),
    ],
)
def test_a_gauge_whose_push_reads_negative_turns_what_no_heading_gives_a_sense(
    table, heads, rows, changes, forces
):
    assert [one.value for one in table(f"{heads}\n{rows}\n", **changes)] == forces


def test_a_row_that_ends_before_its_direction_has_none(table):
    with_it, without = table("angle [deg];force [N];direction\n8;2.5;down\n9;2.6\n")
    assert (with_it.rising, without.rising) == (False, None)


def test_the_heading_that_lacks_its_unit_is_named_with_its_line(table):
    with pytest.raises(ReadingsRefused) as refused:
        table("# bench of Tuesday\nangle;force [N]\n8;2.5\n")
    assert "hand.csv, line 2: angle" in str(refused.value)
