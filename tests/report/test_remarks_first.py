"""Slips of typing stand in the first lines, below what forbids to run, and forbid nothing themselves."""

from featherbench.judging.judgement import Judgement
from featherbench.slips import HEAD
from featherbench.views.first_lines import of_judged

SLIP = f"{HEAD}: linkage.servo_arm = 140 mm? Usual is 4.1 to 46 mm at this tip radius."


def test_a_slip_forbids_nothing_and_stamps_nothing():
    first = of_judged({"": Judgement((), (), remarks=(SLIP,))})
    assert first.lines == (SLIP,)
    assert not first.do_not_run
    assert first.stamp == ""
    assert first.document()["remarks"] == [SLIP]


def test_it_comes_after_the_warning_and_tells_the_build():
    first = of_judged({"plain": Judgement((), ()), "over": Judgement((), (), True, (SLIP,))})
    assert first.lines[0].startswith("WARNING: over: over-balanced")
    assert first.lines[1].startswith(f"{HEAD}: over: linkage.servo_arm = 140 mm?")
    assert first.stamp == "OVER-BALANCED"
    assert len(first.remarks) == 1
