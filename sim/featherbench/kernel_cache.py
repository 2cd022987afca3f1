"""Where compiled kernels are kept: a folder that can be written and that belongs to these very sources.

A kernel that calls another from a second file is compiled with the other inside, and numba looks at the first file
only: after an update that touches the second, the first would go on computing by the old law, silently. So the digest
of all kernel sources is part of the folder's name, wherever it lies, and another law is another folder.

An installation that nobody may write to, without a home, is a container's usual state; then kernels are kept among the
temporary files, and where even those cannot be written they are compiled in each run, which is said once.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import multiprocessing
import os
import re
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

MARK = re.compile(rb"^@kernel\b", re.MULTILINE)
"""What a source that holds a kernel has in it."""
KEPT = 4
"""Folders of other sources that stay beside the one in use: who goes to and fro between two need not compile again."""
NOT_KEPT = (
    "featherbench: no folder for compiled laws can be written, so they are compiled in each run, which takes about a "
    "minute. Set NUMBA_CACHE_DIR to a folder that can be written to have them kept."
)
_IMPORTED = re.compile(rb"^(?:from|import) (featherbench[.\w]*)(?: import ([^(\n]*))?", re.MULTILINE)


@functools.cache
def folder() -> Path | None:
    """The folder of this process, chosen once; None, and a line on standard error, when none can be written."""
    package = Path(__file__).parent
    kept = choose(places(package, os.environ), digest(package))
    if kept is None and multiprocessing.parent_process() is None:  # not once for every worker
        print(NOT_KEPT, file=sys.stderr)
    return kept


def places(package: Path, environ: Mapping[str, str]) -> Iterator[Path]:
    """Folders to try, in this order: the one asked for, beside the sources, the user's own, temporary files."""
    if environ.get("NUMBA_CACHE_DIR"):
        yield Path(environ["NUMBA_CACHE_DIR"]).absolute() / "featherbench"
    yield package / "__pycache__"
    if sys.platform == "win32":
        own = environ.get("LOCALAPPDATA", "")
    elif sys.platform == "darwin":
        own = os.path.expanduser("~/Library/Caches")
    else:
        own = environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    if os.path.isabs(own):  # it is not where nobody knows of a home
        yield Path(own) / "featherbench"
    with contextlib.suppress(OSError):
        user = os.getuid() if hasattr(os, "getuid") else "user"
        yield Path(tempfile.gettempdir()) / f"featherbench-{user}"


def choose(bases: Iterator[Path], sources: str) -> Path | None:
    """The first folder for these sources that can be made and written; older ones beside it are emptied."""
    for base in bases:
        kept = base / f"kernels-{sources[:20]}"
        with contextlib.suppress(OSError):
            kept.mkdir(mode=0o700, parents=True, exist_ok=True)
            if not _ours(base):
                continue
            tempfile.TemporaryFile(dir=kept).close()
            os.utime(kept)  # used now
            _empty_oldest(kept)
            return kept
    return None


def digest(package: Path) -> str:
    """sha256 over every source that holds a kernel, and over those it imports from: constants are compiled in, too."""
    texts = dict(_sources(str(package)))
    # looking for the plain text first takes a tenth of the expression's time
    held = {name for name, text in texts.items() if b"@kernel" in text and MARK.search(text)}
    for file in list(held):
        for module, names in _IMPORTED.findall(texts[file]):
            base = "/".join(module.decode().split(".")[1:])
            inside = [f"{base}/{name.split()[0]}" for name in names.decode().split(",") if name.strip()]
            held |= {one for one in (f"{path}.py" for path in (base, *inside)) if one in texts}
    whole = hashlib.sha256()
    for file in sorted(held):
        whole.update(file.encode() + b"\0" + texts[file] + b"\0")
    return whole.hexdigest()


def _sources(package: str) -> Iterator[tuple[str, bytes]]:
    """Every source by its way from the package, with slashes: each start of the program reads them all, so without
    pathlib, which takes as long again.
    """
    for folder, _, names in os.walk(package):
        way = folder[len(package) + 1 :].replace(os.sep, "/")
        for name in names:
            if name.endswith(".py"):
                with open(os.path.join(folder, name), "rb") as file:
                    yield f"{way}/{name}" if way else name, file.read()


def _ours(base: Path) -> bool:
    """Whether nobody else can have put something there: what is loaded from it is run."""
    if not hasattr(os, "getuid") or base.parent != Path(tempfile.gettempdir()):
        return True  # a folder somebody named, or one of an installation or a home
    found = base.lstat()
    return found.st_uid == os.getuid() and not found.st_mode & 0o022


def _empty_oldest(kept: Path) -> None:
    """Throw away what was compiled from sources no longer in use; a run that still does compiles again."""
    others = [other for other in kept.parent.glob("kernels-*") if other != kept and other.is_dir()]
    with contextlib.suppress(OSError):
        others.sort(key=lambda other: other.stat().st_mtime, reverse=True)
        for file in (file for other in others[KEPT:] for file in other.rglob("*.nb[ic]")):
            file.unlink()
