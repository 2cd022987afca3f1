"""The command line: what the commands are, and how a run of the program ends."""

from __future__ import annotations

import _thread
import contextlib
import gc
import io
import os
import sys
import threading
from typing import Annotated, NoReturn

# Read by numpy as it is imported. Bench runs use all cores already, side by side; threads within the small systems of
# linear equations between them cost fifty times the work on a busy machine, and their rounding depends on the cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Read as scenarios are first checked: to ask every installed package for plugins of that library takes 20 ms.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

import typer

import featherbench
from featherbench.commands.bias import bias
from featherbench.commands.calibrate import calibrate
from featherbench.commands.check import check
from featherbench.commands.compare import compare
from featherbench.commands.examples import examples
from featherbench.commands.explore import explore
from featherbench.commands.keys import keys
from featherbench.commands.manual import CommandList, ManualCommand
from featherbench.commands.match import match
from featherbench.commands.option_groups import composed
from featherbench.commands.predict import predict
from featherbench.commands.rank import rank
from featherbench.commands.sheet import sheet
from featherbench.commands.size import size
from featherbench.commands.spread import spread
from featherbench.commands.start import start
from featherbench.commands.sweep import sweep
from featherbench.commands.swing import swing
from featherbench.commands.terminal import DONE, FAULT, INTERRUPTED, REFUSED, help_without_colour, remark
from featherbench.commands.wag import wag
from featherbench.libraries import LibraryMissing, words_for

SHOW_FAULTS = "FEATHERBENCH_SHOW_FAULTS"
"""Set to 1, a fault of the program ends in a traceback."""
MADE_BETWEEN = 50_000
"""Objects made between two looks for unused rings of them. Python's own 700 costs a tenth of the program's start, in
which much is made and nothing thrown away."""

app = typer.Typer(
    name="featherbench",
    cls=CommandList,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="markdown",
    help="Predicts the pushrod force and servo current of a model-helicopter tail rotor before any metal is cut.",
    epilog="Model aircraft only. Spinning blades and thrown weights can hurt people: read the cautions.",
)
for command in (
    start,
    examples,
    check,
    keys,
    predict,
    compare,
    explore,
    rank,
    size,
    bias,
    wag,
    spread,
    sweep,
    sheet,
    match,
    calibrate,
    swing,
):
    app.command(cls=ManualCommand)(composed(command))


def _show_version(asked: bool) -> None:
    if asked:
        typer.echo(f"featherbench {featherbench.__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


def _nowhere_if_closed() -> None:
    """A stream that whoever started the program has closed swallows what is written to it."""
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115  # for as long as the program runs
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115


def _forget_no_width() -> None:
    """A width of no columns, or one that is no number, is none: nothing would be printed in it."""
    if not os.environ.get("COLUMNS", "1").isdecimal() or int(os.environ.get("COLUMNS", "1")) < 1:
        del os.environ["COLUMNS"]


def _remark_if_possible(text: str) -> None:
    with contextlib.suppress(OSError, ValueError):
        remark(text)


def _tell_strength(error: Exception) -> None:
    """Say what fails of a build whose bench test was refused: that is known without running it, and comes first."""
    from featherbench.bench.believed import BenchTestRefused

    if isinstance(error, BenchTestRefused):
        from featherbench.bench.setup import build_setup
        from featherbench.views.first_lines import of_setups

        for line in of_setups({"": build_setup(error.scenario)}).lines:
            remark(line)


def _lacking(error: Exception) -> str | None:
    """What this machine lacks, where that is what has gone wrong."""
    if "MPLBACKEND" in os.environ and "backend" in str(error):
        return f"MPLBACKEND={os.environ['MPLBACKEND']} names nothing that can draw here: unset it"
    return words_for(error) if isinstance(error, ModuleNotFoundError) else None


def _leave(status: int) -> NoReturn:
    """End at once: what standard output still holds cannot be written, and trying would change the status."""
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.flush()
    os._exit(status)


def _interrupt_again(lost: sys.UnraisableHookArgs) -> None:
    """An interrupt that comes while an object is thrown away, or within a callback, would be dropped there: once in
    thirty times. It is asked for anew a moment later, for what comes within this function is dropped, too.
    """
    if issubclass(lost.exc_type, KeyboardInterrupt):
        again = threading.Timer(0.02, _thread.interrupt_main)
        again.daemon = True
        again.start()
    else:
        sys.__unraisablehook__(lost)


def _is_of_an_interrupt(error: BaseException | None) -> bool:
    """Whether an interrupt is behind an error: a library in whose own code one arrives makes another error of it."""
    while error is not None:
        if isinstance(error, KeyboardInterrupt) or KeyboardInterrupt.__name__ in str(error):
            return True
        error = error.__cause__ or error.__context__
    return False


def _end_of(error: Exception) -> None:
    """End after an error that nobody foresaw, unless it is to be shown."""
    if _is_of_an_interrupt(error):
        remark("interrupted")
        sys.exit(INTERRUPTED)
    if lacking := _lacking(error):
        remark(lacking)
        sys.exit(REFUSED)
    if os.environ.get(SHOW_FAULTS):
        return
    _remark_if_possible(
        f"stopped by a fault of the program itself, not of your input: {type(error).__name__}: {error}\n"
        f"Nothing of this answer is to be trusted. {SHOW_FAULTS}=1 shows where it happened, for a report of it."
    )
    _leave(FAULT)


def main() -> None:
    """Entry point: input that cannot be used ends with a message and exit status 2, never a traceback."""
    sys.unraisablehook = _interrupt_again
    gc.set_threshold(MADE_BETWEEN, *gc.get_threshold()[1:])
    _nowhere_if_closed()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a title may hold letters that the terminal lacks
    _forget_no_width()
    help_without_colour()
    try:
        app()
    except SystemExit as ended:
        if isinstance(ended.__context__, BrokenPipeError):
            sys.exit(DONE)  # the reader has seen enough, and files are written before anything is printed
        if ended.code == INTERRUPTED:
            remark("interrupted")
        raise
    except KeyboardInterrupt:
        remark("interrupted")
        sys.exit(INTERRUPTED)
    except (featherbench.ScenarioError, featherbench.OutputRefused, LibraryMissing) as error:
        _tell_strength(error)
        remark(str(error))
        sys.exit(REFUSED)
    except OSError as error:  # a full disk behind standard output, a working folder that is gone
        _remark_if_possible(
            f"stopped: {error.strerror or error}{f' ({error.filename})' if error.filename else ''}"
        )
        _leave(REFUSED)
    except Exception as error:
        _end_of(error)
        raise


if __name__ == "__main__":
    main()
