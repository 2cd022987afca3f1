"""Files appear whole or not at all, and never in place of another one unless told to."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from featherbench.render.files import OutputExists, OutputRefused, check_target, write_whole


def test_what_is_written_is_what_was_given(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.txt", "blä\n")
    write_whole(tmp_path / "b.bin", b"\x00\xff")
    assert (tmp_path / "a.txt").read_bytes() == "blä\n".encode()
    assert (tmp_path / "b.bin").read_bytes() == b"\x00\xff"


def test_an_existing_file_is_kept(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    with pytest.raises(OutputExists, match="--force"):
        write_whole(target, "new")
    assert target.read_text() == "old"
    write_whole(target, "new", force=True)
    assert target.read_text() == "new"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_file_that_appears_meanwhile_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.txt"
    flush = os.fsync

    def someone_else_writes(handle: int) -> None:
        target.write_text("theirs")
        flush(handle)

    monkeypatch.setattr(os, "fsync", someone_else_writes)
    with pytest.raises(OutputExists):
        write_whole(target, "mine")
    assert target.read_text() == "theirs"
    assert os.listdir(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("force", [False, True])
def test_a_failure_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    target = tmp_path / "a.txt"
    if force:
        target.write_text("old")

    def disk_full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", disk_full)
    with pytest.raises(OutputRefused, match="No space left"):
        write_whole(target, "new", force=force)
    assert os.listdir(tmp_path) == (["a.txt"] if force else [])
    if force:
        assert target.read_text() == "old"


def test_a_file_system_without_links_still_refuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(_source: Path, _target: Path) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    write_whole(tmp_path / "a.txt", "one")
    assert (tmp_path / "a.txt").read_text() == "one"
    with pytest.raises(OutputExists):
        write_whole(tmp_path / "a.txt", "two")


def test_what_cannot_be_written_is_said_in_words(tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="is a folder"):
        check_target(tmp_path, force=True)
    with pytest.raises(OutputRefused, match="there is no folder"):
        check_target(tmp_path / "missing" / "a.txt", force=False)
    with pytest.raises(OutputRefused, match="not an ordinary file"):
        check_target(Path(os.devnull), force=True)
    with pytest.raises(OutputRefused, match="no usable file name"):
        check_target(Path("a\0b"), force=False)


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the superuser")
def test_a_folder_without_permission_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(OutputRefused, match="no permission"):
        check_target(tmp_path / "a.txt", force=False)
    tmp_path.chmod(0o700)


def test_a_link_keeps_pointing_where_it_does(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to(tmp_path / "real.txt")
    write_whole(tmp_path / "link.txt", "new", force=True)
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"
