"""A line in which a file states something of itself, however a spreadsheet or an editor left it."""

import pytest

from featherbench.bench.head_line import head_line


@pytest.mark.parametrize(
    ("line", "stated"),
    [
        ("date = 2026-11-02", "2026-11-02"),
        ("# Date: 2026-11-02", "2026-11-02"),
        ("# Date: 2026-11-02;;;;\r", "2026-11-02"),
        ('  date="2026-11-02"  # the second', "2026-11-02"),
        ("# date:", ""),
        ("# dated: 2026-11-02", ""),
        ("a date: 2026-11-02", ""),
    ],
)
def test_what_a_line_states_and_where(line, stated):
    assert head_line(f"# readings\n{line}\n1;2\n", "date") == (stated, 2 if stated else 0)


def test_a_key_with_a_point_is_that_key_alone():
    text = "# gaugexuncertainty: 1 N\n# gauge.uncertainty: 0,2 N\n"
    assert head_line(text, "gauge.uncertainty") == ("0,2 N", 2)
    assert head_line(text, "gauge.resolution") == ("", 0)
