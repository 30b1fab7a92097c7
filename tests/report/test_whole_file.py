"""A report is written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from auditor.report.whole_file import write_whole


def test_the_file_holds_exactly_what_was_written(tmp_path: Path) -> None:
    write_whole(str(tmp_path / "report"), b"all of it\n")
    assert (tmp_path / "report").read_bytes() == b"all of it\n"


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "report").write_text("old")

    def no_space(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_space)
    with pytest.raises(OSError, match="No space"):
        write_whole(str(tmp_path / "report"), b"new")
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"report": "old"}


def test_a_file_keeps_its_permissions(tmp_path: Path) -> None:
    (tmp_path / "report").write_text("old")
    (tmp_path / "report").chmod(0o640)
    write_whole(str(tmp_path / "report"), b"new")
    assert (tmp_path / "report").stat().st_mode & 0o777 == 0o640


def test_a_new_file_has_the_permissions_that_any_new_file_has(tmp_path: Path) -> None:
    (tmp_path / "usual").touch()
    write_whole(str(tmp_path / "report"), b"new")
    assert (tmp_path / "report").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old")
    (tmp_path / "report").symlink_to("real")
    write_whole(str(tmp_path / "report"), b"new")
    assert (tmp_path / "report").is_symlink()
    assert (tmp_path / "real").read_text() == "new"


def test_a_folder_is_not_replaced(tmp_path: Path) -> None:
    with pytest.raises(IsADirectoryError):
        write_whole(str(tmp_path), b"new")
