"""Files read whole within a bound, and bytes that are on the disk before anybody is told so."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from consult.problems import CannotDoError

_BINARY = getattr(os, "O_BINARY", 0)


def write_whole(
    path: Path, content: bytes | Iterable[bytes], *, mode: int | None = None, later: bool = False
) -> None:
    """Put a file in place in one step: a reader finds the old one or the new, never half.

    The folder must be there. Without a ``mode`` this user alone may read it. One of many files,
    which are nothing without each other, may be put on the disk ``later``, by ``settle_all``: to
    wait for each takes minutes for thousands. OSError where the disk refuses.
    """
    later = later and hasattr(os, "sync")
    part = beside(path, content, mode=mode, later=later)
    try:
        part.replace(path)
        if not later:
            settle(path.parent)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def write_new(path: Path, content: bytes | Iterable[bytes], *, later: bool = False) -> None:
    """As ``write_whole``, but FileExistsError where there is a file already."""
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        write_whole(path, content, later=later)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def beside(
    path: Path, content: bytes | Iterable[bytes], *, mode: int | None = None, later: bool = False
) -> Path:
    """A new file in the folder of ``path``, on the disk unless that is for later, to be put in
    its place."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            for chunk in [content] if isinstance(content, bytes) else content:
                file.write(chunk)
            file.flush()
            if not later:
                os.fsync(file.fileno())
        if mode is not None:
            part.chmod(mode)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return part


def append(path: Path, content: bytes) -> None:
    """Add whole lines at the end of a file, all or nothing; OSError where the disk refuses.

    A line that breaks off before them stays a line of its own.
    """
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    is_new = not path.exists()
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | _BINARY, 0o600)
    try:
        before = os.lseek(handle, 0, os.SEEK_END)
        if before:
            os.lseek(handle, -1, os.SEEK_END)
            if os.read(handle, 1) != b"\n":
                content = b"\n" + content
        left = memoryview(content)
        try:
            while left:
                left = left[os.write(handle, left) :]
            os.fsync(handle)
        except OSError:
            with suppress(OSError):
                os.ftruncate(handle, before)
            raise
    finally:
        os.close(handle)
    if is_new:
        settle(path.parent)


def settle(folder: Path) -> None:
    """Make new and taken-away names durable; a system that cannot open folders does it itself."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def settle_all() -> None:
    """Make every file written for later durable."""
    if hasattr(os, "sync"):
        os.sync()


# -- files that people name, read whole: ordinary ones of a bounded size, nothing endless ---------

_MOST_BYTES = 200_000_000
"""Far more than 100,000 people take (about 20 MB)."""


class UnreadableError(CannotDoError):
    """Why a file cannot be read, in words."""


def read_file(path: Path, most: int = _MOST_BYTES) -> bytes:
    """All of a file; a device, a pipe, a folder or one that is too large is refused."""
    try:
        # Opened first, so that it is the same file that is asked about; a pipe must not wait.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise UnreadableError(f"{path} is not a file. Name one that is.")
            content = file.read(most + 1)
    except FileNotFoundError as error:
        raise UnreadableError(f"There is no file {path}.") from error
    except IsADirectoryError as error:
        raise UnreadableError(f"{path} is a folder. Name a file in it.") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UnreadableError(f"{path} cannot be read: {why}.") from error
    if len(content) > most:
        raise UnreadableError(f"{path} is larger than {most // 1_000_000} MB. Split it.")
    return content
