"""What --help prints beside the options: how a command may end, and one worked example to paste."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from typer.core import TyperCommand, TyperGroup

from featherbench.commands.terminal import CHECK_FAILED, DONE, INTERRUPTED, REFUSED, console_for

Command = TypeVar("Command", bound=Callable[..., Any])

EXAMPLES: dict[str, str] = {}
"""One worked example of each command, to be run in the folder that holds scenarios/; by the command's name."""
ENDINGS = {
    DONE: "done",
    CHECK_FAILED: "done, but a check failed or a target was missed, and --strict asked to say so",
    REFUSED: "the input was refused, or a file would have been overwritten",
    INTERRUPTED: "interrupted with Ctrl-C",
}


def example(lines: str) -> Callable[[Command], Command]:
    """Give a command its worked example: text for a shell; a line of it that goes on ends with a backslash."""

    def keep(command: Command) -> Command:
        EXAMPLES[command.__name__] = lines
        return command

    return keep


class CommandList(TyperGroup):
    """All commands. Their list is written plainly: frames would take longer to load than everything else of it."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Print the help, without the library that draws frames."""
        super(TyperGroup, self).format_help(ctx, formatter)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Print every command with its whole first sentence."""
        shown = [(name, self.commands[name]) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl([(name, command.get_short_help_str(1000)) for name, command in shown])


class ManualCommand(TyperCommand):
    """A command whose help ends with exit status and example."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Print the help: synopsis, arguments and options first."""
        super().format_help(ctx, formatter)
        strict = any("--strict" in parameter.opts for parameter in self.params)
        shown = {status: words for status, words in ENDINGS.items() if strict or status != CHECK_FAILED}
        _print("Exit status", [_wrapped(f"{status:<4} {words}") for status, words in shown.items()])
        if self.name in EXAMPLES:
            needs = "scenarios/" in EXAMPLES[self.name]
            where = " (featherbench examples puts scenarios/ where you are)" if needs else ""
            _print(f"Example{where}", EXAMPLES[self.name].splitlines())


def _wrapped(text: str) -> str:
    import textwrap

    return textwrap.fill(text, max(console_for().width - 4, 40), subsequent_indent=" " * 8)


def _print(heading: str, lines: list[str]) -> None:
    from rich.text import Text

    console = console_for()
    console.print(Text(f" {heading}", "bold"))
    for line in lines:
        console.print(Text(f"   {line}"), soft_wrap=True)
    console.print()
