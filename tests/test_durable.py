"""A file in place is whole: the old one or the new one, also when the disk refuses."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from consult.durable import append, settle, settle_all, write_new, write_whole

POSIX = pytest.mark.skipif(os.name != "posix", reason="permissions as POSIX has them")


def full(_: int) -> None:
    """What a disk without room says."""
    raise OSError(28, "No space left on device")


def test_a_file_is_replaced_in_one_step(tmp_path: Path) -> None:
    """Who has the old one open reads the old one to its end."""
    path = tmp_path / "live"
    write_whole(path, b"the old one")
    with path.open("rb") as reading:
        assert reading.read(3) == b"the"
        write_whole(path, b"another one, longer than that")
        assert reading.read() == b" old one"
    assert path.read_bytes() == b"another one, longer than that"
    assert [each.name for each in tmp_path.iterdir()] == ["live"]


@POSIX
@pytest.mark.parametrize(("asked", "given"), [(None, 0o600), (0o644, 0o644), (0o640, 0o640)])
def test_who_may_read_it(asked: int | None, given: int, tmp_path: Path) -> None:
    """This user alone unless something else is asked for, whatever the old one allowed."""
    path = tmp_path / "text"
    path.write_bytes(b"old")
    path.chmod(0o666)
    write_whole(path, b"new", mode=asked)
    assert stat.S_IMODE(path.stat().st_mode) == given


@pytest.mark.parametrize("put", [write_whole, append])
def test_a_disk_that_refuses_leaves_the_old_file(
    put: Callable[[Path, bytes], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file of before is whole and no part is left over."""
    path = tmp_path / "text"
    write_whole(path, b"old\n")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        put(path, b"new and longer\n")
    assert path.read_bytes() == b"old\n"
    assert list(tmp_path.iterdir()) == [path]


def test_one_of_many_files_waits_for_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is put in place in one step, and no disk is waited for until all are settled."""
    settled: list[bool] = []
    monkeypatch.setattr(os, "fsync", full)
    monkeypatch.setattr(os, "sync", lambda: settled.append(True))
    for number in range(3):
        write_new(tmp_path / str(number), b"text", later=True)
    assert sorted(file.read_bytes() for file in tmp_path.iterdir()) == [b"text"] * 3
    assert settled == []
    settle_all()
    assert settled == [True]


@pytest.mark.parametrize(("asked", "touched"), [(None, "replace"), (0o644, "chmod")])
def test_a_file_that_cannot_be_put_there_leaves_nothing(
    asked: int | None, touched: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever step fails, the part written for it goes."""

    def refused(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, touched, refused)
    with pytest.raises(PermissionError):
        write_whole(tmp_path / "text", b"new", mode=asked)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    """Replacing makes no folder; adding to a file does, for it begins the file."""
    with pytest.raises(FileNotFoundError):
        write_whole(tmp_path / "none" / "text", b"x")
    append(tmp_path / "some" / "text", b"x\n")
    assert (tmp_path / "some" / "text").read_bytes() == b"x\n"


@POSIX
def test_what_is_added_to_is_for_this_user_only(tmp_path: Path) -> None:
    """Neither a file begun by adding to it nor its folder can be read by others."""
    path = tmp_path / "kept" / "lines"
    append(path, b"one\n")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) & 0o077 == 0


@pytest.mark.parametrize(
    ("before", "after"),
    [(b"", b"new\n"), (b"old\n", b"old\nnew\n"), (b"old\nbroken o", b"old\nbroken o\nnew\n")],
)
def test_lines_are_added_whole(before: bytes, after: bytes, tmp_path: Path) -> None:
    """Behind what is there; a line that broke off is not grown together with the next."""
    path = tmp_path / "lines"
    path.write_bytes(before)
    append(path, b"new\n")
    assert path.read_bytes() == after


def test_a_line_that_half_went_in_is_taken_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fills up in the middle of a line leaves the lines before it."""
    path = tmp_path / "lines"
    path.write_bytes(b"old\n")
    write = os.write
    sizes = iter((5,))

    def some(handle: int, content: memoryview) -> int:
        size = next(sizes, None)
        if size is None:
            full(handle)
        return write(handle, content[:size])

    monkeypatch.setattr(os, "write", some)
    with pytest.raises(OSError, match="No space"):
        append(path, b"a long new line\n")
    assert path.read_bytes() == b"old\n"


def test_a_folder_that_cannot_be_opened_is_no_trouble(tmp_path: Path) -> None:
    """Such systems settle names themselves."""
    settle(tmp_path)
    settle(tmp_path / "none")
