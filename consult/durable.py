"""Bytes that are on the disk, and whole, before anybody is told that they are kept."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

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
