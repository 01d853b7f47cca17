"""Reading and writing folders of trees."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.library.files import (
    digest_of,
    protect,
    read_files,
    remove,
    write_files,
)
from tests.content.library.libraries import SHIPPED, write


def test_a_folder_is_read_without_what_editors_leave(tmp_path: Path) -> None:
    """Hidden files and folders and copies with a tilde are no part of the trees."""
    write(tmp_path, SHIPPED)
    write(tmp_path, {".from": "1", ".git/x.yaml": "", "a.yaml~": "", "summary/.b.j2.swp": ""})
    assert read_files(tmp_path) == {name: text.encode() for name, text in SHIPPED.items()}


@pytest.mark.parametrize(
    "other",
    [
        {"a": b"1", "b": b"3"},
        {"a": b"1"},
        {"a": b"1", "c": b"2"},
        {"a": b"2", "b": b"1"},
        {"a": b"1b", "": b"2"},
        {"a": b"1", "b": b"2", "c": b""},
    ],
)
def test_a_digest_tells_folders_apart(other: dict[str, bytes]) -> None:
    """Another name or byte anywhere; the order of reading does not count."""
    files = {"a": b"1", "b": b"2"}
    assert digest_of(files) == digest_of(dict(reversed(files.items())))
    assert digest_of(files) != digest_of(other)


def test_a_protected_folder_can_be_taken_away(tmp_path: Path) -> None:
    """By the program, which alone does so; a folder that is not there is no trouble."""
    files = {name: text.encode() for name, text in SHIPPED.items()}
    write_files(tmp_path / "version", files)
    protect(tmp_path / "version")
    assert not (tmp_path / "version" / "summary").stat().st_mode & 0o222
    assert read_files(tmp_path / "version") == files
    remove(tmp_path / "version")
    remove(tmp_path / "version")
    assert list(tmp_path.iterdir()) == []
