"""A folder of shards: a file for each chunk of builds, written whole, and a manifest of what they belong to.

A chunk is done when its file is there; what is missing is run. Parquet where pyarrow is installed, else CSV; both hold
every number to the last digit.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import tempfile
import time
from collections.abc import Collection, Mapping
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import Any

MANIFEST = "sweep.json"
NAME = re.compile(r"chunk-(\d{8})\.(?:parquet|csv)")
LEFT_BEHIND = 3600.0
"""s after which a file that was never finished is nobody's any more."""
Table = dict[str, list[Any]]


class FolderRefused(ValueError):
    """The folder holds something else or cannot be used; the message is for the person who named it."""


class Folder:
    """Shards in a folder. kind: "parquet" or "csv"; texts: which columns are of texts, "build" is of whole numbers."""

    def __init__(self, path: Path, kind: str, texts: Collection[str]) -> None:
        """path: of the folder, which is there with its manifest."""
        self.path, self.kind, self.texts = path, kind, frozenset(texts)

    def done(self) -> set[int]:
        """Numbers of the chunks that are there."""
        names = (NAME.fullmatch(name) for name in os.listdir(self.path))
        return {int(name[1]) for name in names if name}

    def write(self, chunk: int, table: Table) -> None:
        """Keep a chunk: whole, under its own name, or not at all."""
        data = parquet_bytes(table, self.texts) if self.kind == "parquet" else csv_bytes(table)
        write_whole(self._file(chunk), data)

    def read(self, chunk: int) -> Table:
        """A chunk as it was kept. Raises FolderRefused for a file that is no shard any more."""
        file = self._file(chunk)
        try:
            data = file.read_bytes()
            return parquet_table(data) if self.kind == "parquet" else csv_table(data, self.texts)
        except (OSError, ValueError, KeyError, IndexError) as error:
            raise FolderRefused(
                f"{file} cannot be read ({error}): delete it, and run the same again"
            ) from None

    def _file(self, chunk: int) -> Path:
        return self.path / f"chunk-{chunk:08d}.{self.kind}"


def open_folder(path: str | os.PathLike[str], belongs: Mapping[str, Any], texts: Collection[str]) -> Folder:
    """Open or begin a folder of shards that belong to `belongs` (plain JSON values, by what they are in words).

    Raises FolderRefused when it holds something else, or what was worked out from something else.
    """
    folder = Path(path)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _forget_unfinished(folder)
        manifest = folder / MANIFEST
        if not manifest.exists():
            if any(not name.startswith(".") for name in os.listdir(folder)):
                raise FolderRefused(f"{folder} holds other files: name a new folder")
            kind = "parquet" if find_spec("pyarrow") is not None else "csv"
            document = {"format": 1, "kept": "sweep", **belongs, "files": kind}
            write_whole(manifest, (json.dumps(document, indent=1) + "\n").encode())
            return Folder(folder, kind, texts)
        known = _manifest(manifest)
    except OSError as error:
        raise FolderRefused(f"{folder}: {error.strerror or error}") from None
    for what, value in json.loads(json.dumps(belongs)).items():
        if known.get(what) != value:
            raise FolderRefused(
                f"{folder} holds a sweep of another {what}: name a new folder, or delete that one"
            )
    if known["files"] == "parquet" and find_spec("pyarrow") is None:
        raise FolderRefused(f"{folder} holds Parquet files: pip install pyarrow")
    return Folder(folder, str(known["files"]), texts)


def _manifest(file: Path) -> dict[str, Any]:
    try:
        known = json.loads(file.read_text(encoding="utf-8"))
        if known["kept"] != "sweep" or known["format"] != 1 or known["files"] not in ("parquet", "csv"):
            raise ValueError
        return dict(known)
    except (ValueError, KeyError, TypeError):
        raise FolderRefused(f"{file} is not of a sweep that this program kept: name a new folder") from None


def _forget_unfinished(folder: Path) -> None:
    """Files of a run that was killed while it wrote, once nobody can be at them."""
    for entry in folder.glob(".*.part"):
        with suppress(OSError):
            if time.time() - entry.stat().st_mtime > LEFT_BEHIND:
                entry.unlink()


def write_whole(target: Path, data: bytes) -> None:
    """Write a file under another name, and rename it once all of it is on the disk."""
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def parquet_bytes(table: Table, texts: Collection[str]) -> bytes:
    """A table as a Parquet file; a number that is not there is null."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    kinds = {name: pa.string() if name in texts else pa.float64() for name in table} | {"build": pa.int64()}
    stream = io.BytesIO()
    pq.write_table(pa.table({name: pa.array(column, kinds[name]) for name, column in table.items()}), stream)
    return stream.getvalue()


def parquet_table(data: bytes) -> Table:
    """The table of such a file. Raises ValueError for another."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        return dict(pq.read_table(io.BytesIO(data)).to_pydict())
    except pa.ArrowException as error:
        raise ValueError(str(error).splitlines()[0]) from None


def csv_bytes(table: Table) -> bytes:
    """A table as comma-separated text; a number as its shortest text that reads back the same, nothing as nothing."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(table)
    writer.writerows(
        ["" if value is None else repr(value) if isinstance(value, float) else value for value in row]
        for row in zip(*table.values(), strict=True)
    )
    return stream.getvalue().encode("utf-8")


def csv_table(data: bytes, texts: Collection[str]) -> Table:
    """The table of such a file. Raises ValueError for another."""
    heads, *rows = list(csv.reader(io.StringIO(data.decode("utf-8"))))
    if not rows or any(len(row) != len(heads) for row in rows):
        raise ValueError("no table")
    whole: Table = {name: [row[place] for row in rows] for place, name in enumerate(heads)}
    gone = [bool(why) for why in whole["refused"]]
    for name, column in whole.items():
        if name == "build":
            whole[name] = [int(one) for one in column]
        elif name not in texts:
            whole[name] = [float(one) if one else None for one in column]
        elif name != "refused":  # a refused build has no text, which is not one without letters
            whole[name] = [None if no and not one else one for one, no in zip(column, gone, strict=True)]
    return whole
