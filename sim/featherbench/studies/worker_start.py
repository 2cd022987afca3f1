"""How worker processes of this machine begin, and how they end when nobody is left to end them."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
from typing import Any

PRELOADED = ("featherbench.cli", "featherbench.judging.sampled_checks", "featherbench.sampling.samples")
"""What processes of the program are forked with, so that each need not load it for itself."""


def begin_to_load(context: Any) -> None:
    """Start the process that workers are forked from, which loads the program while the study begins.

    Only where linear algebra starts no threads, as the command line sees to: what has threads is not forked.
    """
    from multiprocessing import forkserver, resource_tracker

    if os.environ.get("OPENBLAS_NUM_THREADS") == "1":
        context.set_forkserver_preload(list(PRELOADED))
    resource_tracker.ensure_running()  # else it would be started below, and unblock what is blocked there
    # Ctrl-C goes to all processes of a terminal; this one cannot say before all is loaded that it is not meant
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        forkserver.ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def end_loading() -> None:
    """End that process, which else would load all of it first, though nobody waits for it any more."""
    from multiprocessing import forkserver

    number = getattr(getattr(forkserver, "_forkserver", None), "_forkserver_pid", None)
    if number is not None:
        with contextlib.suppress(OSError):
            os.kill(number, signal.SIGTERM)


def end_with_parent() -> None:
    """A process that is killed tells its workers nothing: they would wait for work for ever."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
