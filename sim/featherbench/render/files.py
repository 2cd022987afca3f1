"""Writing a file whole or not at all, and never over another one unless told to."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from collections.abc import Mapping
from pathlib import Path


class OutputRefused(OSError):
    """A file cannot be written where it was asked for; the message is for the person who asked."""


class OutputExists(OutputRefused):
    """The file is there already and nobody said to overwrite it."""


def check_target(path: Path, force: bool) -> Path:
    """Refuse a target that cannot be written, before any work is done for it.

    Returns the path with links followed, so that a link keeps pointing where it does. Raises OutputExists
    when the file is there and force is false, OutputRefused for a missing folder, a folder, a device, or no
    permission.
    """
    try:
        target = Path(os.path.realpath(path))
        folder = target.parent
        if target.is_dir():
            raise OutputRefused(f"{path} is a folder: give the name of a file in it")
        if target.exists() and not target.is_file():
            raise OutputRefused(f"{path} is not an ordinary file: give another name")
        if not folder.is_dir():
            raise OutputRefused(
                f"{path} cannot be written: there is no folder {folder}; make it, or give another"
            )
        if target.exists() and not force:
            raise OutputExists(f"{path} exists: give another name, or --force to overwrite it")
        if not os.access(folder, os.W_OK | os.X_OK):
            raise OutputRefused(f"{path} cannot be written: no permission to write in {folder}")
    except OutputRefused:
        raise
    except (ValueError, OSError) as error:  # a null character in the name, a name of 300 letters
        name = str(path) if len(str(path)) < 60 else f"{str(path)[:56]} ..."
        reason = getattr(error, "strerror", None)
        raise OutputRefused(f"{name!r} is no usable file name{f': {reason}' if reason else ''}") from error
    return target


def write_whole(path: Path | str, content: str | bytes, force: bool = False) -> None:
    """Write content (text as UTF-8) to path completely, or leave everything as it was.

    The content goes to a new file in the same folder, which then takes the name in one step. Without force
    the last step fails rather than replace a file that appeared meanwhile. Raises OutputRefused.
    """
    target = check_target(Path(path), force)
    data = content.encode("utf-8") if isinstance(content, str) else content
    draft = target.with_name(f".{target.name[:40]}.{secrets.token_hex(6)}.part")
    try:
        with open(draft, "xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if force and target.exists():
            os.chmod(draft, target.stat().st_mode & 0o777)
        _take_name(draft, target, force)
    except FileExistsError as error:
        raise OutputExists(f"{path} exists: give another name, or --force to overwrite it") from error
    except OSError as error:
        raise OutputRefused(f"{path} could not be written: {error.strerror or error}") from error
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Make a folder of files (name within it -> content) whole, or leave everything as it was.

    Raises OutputExists where the folder is there and holds anything, OutputRefused where it cannot be made.
    """
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise OutputExists(f"{folder} exists: give the name of a folder that does not")
        target = Path(os.path.realpath(folder))
        if not target.parent.is_dir():
            raise OutputRefused(f"{folder} cannot be made: there is no folder {target.parent}")
        draft = target.with_name(f".{target.name[:40]}.{secrets.token_hex(6)}.part")
        try:
            for name, content in files.items():
                (draft / name).parent.mkdir(parents=True, exist_ok=True)
                (draft / name).write_bytes(content)
            with contextlib.suppress(FileNotFoundError):
                target.rmdir()  # an empty one; anything in it meanwhile makes this fail
            draft.rename(target)
        finally:
            shutil.rmtree(draft, ignore_errors=True)
    except OutputRefused:
        raise
    except (ValueError, OSError) as error:
        raise OutputRefused(
            f"{folder} could not be made: {getattr(error, 'strerror', None) or error}"
        ) from error


def _take_name(draft: Path, target: Path, force: bool) -> None:
    """Give the finished draft its name; a hard link refuses to replace, where the file system knows links."""
    if force:
        os.replace(draft, target)
        return
    try:
        os.link(draft, target)
    except FileExistsError:
        raise
    except OSError:
        if target.exists():
            raise FileExistsError(target) from None
        os.replace(draft, target)
