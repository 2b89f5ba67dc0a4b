"""A file is written whole or not at all, and never over another one unasked."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

from ease.errors import WriteError
from ease.write import check_writable, write_bytes, write_text


def test_text_is_utf8_with_line_ends_as_given(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    write_text(path, "Größe 40\nµ\r\n")
    assert path.read_bytes() == "Größe 40\nµ\r\n".encode()


def test_an_existing_file_stays_without_force(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("mine")
    with pytest.raises(WriteError, match="exists already") as caught:
        write_text(path, "yours")
    assert "--force" in caught.value.hint
    assert caught.value.exit_code == 4
    assert path.read_text() == "mine"
    write_text(path, "yours", force=True)
    assert path.read_text() == "yours"


@pytest.mark.parametrize("force", [False, True])
def test_a_folder_or_a_missing_folder_is_refused(tmp_path: Path, force: bool) -> None:
    with pytest.raises(WriteError, match="is a folder; name a file"):
        check_writable(tmp_path, force=force)
    missing = tmp_path / "none" / "a.txt"
    with pytest.raises(WriteError, match="does not exist"):
        write_text(missing, "x", force=force)
    assert list(tmp_path.iterdir()) == []


def test_checking_writes_nothing(tmp_path: Path) -> None:
    check_writable(tmp_path / "a.txt")
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_the_old_file_and_no_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.bin"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WriteError, match=r"cannot be written .No space left"):
        write_bytes(path, b"new", force=True)
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["a.bin"]


def test_a_locked_folder_is_one_clear_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(**_: object) -> tuple[int, str]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(tempfile, "mkstemp", locked)
    with pytest.raises(WriteError) as caught:
        write_text(tmp_path / "a.txt", "x")
    assert str(caught.value).endswith("a.txt: cannot be written (Permission denied)")


def test_rights_of_a_new_and_of_a_replaced_file(tmp_path: Path) -> None:
    old = os.umask(0o027)
    try:
        write_text(tmp_path / "new", "x")
        kept = tmp_path / "kept"
        kept.write_text("x")
        kept.chmod(0o604)
        write_text(kept, "y", force=True)
    finally:
        os.umask(old)
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o640
    assert kept.stat().st_mode & 0o777 == 0o604
