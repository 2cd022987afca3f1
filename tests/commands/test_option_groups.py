"""Options in groups: typer sees each of them, the command is handed the group, and words of no option are noticed."""

from dataclasses import dataclass
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from featherbench.commands.option_groups import composed, words


@dataclass(frozen=True)
class Paint:
    """Options of a paint."""

    colour: Annotated[str, typer.Option("--colour", help="Of all of it.")] = "grey"
    gloss: Annotated[bool, typer.Option("--gloss", help="Shine.")] = False
    table: Annotated[str | None, typer.Option("--table")] = None


def run(command, *given):
    app = typer.Typer()
    app.command()(composed(command))
    return CliRunner().invoke(app, given)


def test_a_command_is_handed_the_group_with_what_was_typed_and_the_rest_as_it_is_by_default():
    seen = []

    def door(*, width: Annotated[float, typer.Option("--width")] = 1.0, paint: Paint) -> None:
        seen.append((width, paint))

    assert run(door, "--colour", "red", "--width", "2").exit_code == 0
    assert seen == [(2.0, Paint("red", False, None))]


def test_help_is_the_groups_or_the_commands_own_and_what_is_left_out_is_refused():
    def door(*, paint: Annotated[Paint, words(without=("gloss",), colour="Of the door.")]) -> None:
        pass

    shown = run(door, "--help").output
    assert "Of the door." in shown
    assert "Of all of it." not in shown
    assert "--gloss" not in shown
    assert run(door, "--gloss").exit_code == 2


def test_an_option_without_words_is_taken_only_where_the_command_has_some():
    def without(*, paint: Paint) -> None:
        pass

    def with_words(*, paint: Annotated[Paint, words(table="Of the colours.")]) -> None:
        pass

    assert "--table" not in run(without, "--help").output
    assert "Of the colours." in run(with_words, "--help").output


@pytest.mark.parametrize("said", [words(color="Of the door."), words(without=("shine",))])
def test_words_of_an_option_that_the_group_has_not_are_a_fault(said):
    def door(*, paint: Annotated[Paint, said]) -> None:
        pass

    with pytest.raises(TypeError, match=r"Paint has no (color|shine)"):
        composed(door)
