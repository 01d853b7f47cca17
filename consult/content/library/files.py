"""Folders of trees as bytes by name, and writing them so that they survive a loss of power."""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path

from consult.durable import settle

Files = Mapping[str, bytes]
"""Name under the folder, with forward slashes, to content."""
READABLE = 0o644
"""Permissions: anybody who may read the library may read these files."""


def read_files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder of trees; not hidden ones, nor the copies that editors leave behind.

    OSError where one cannot be read.
    """
    found = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in name.parts)
        if not hidden and not name.name.endswith("~") and path.is_file():
            found[name.as_posix()] = path.read_bytes()
    return found


def digest_of(files: Files) -> str:
    """Of names and contents together; another byte anywhere gives another."""
    whole = hashlib.sha256()
    for name in sorted(files):
        whole.update(hashlib.sha256(name.encode("utf-8", "surrogateescape")).digest())
        whole.update(hashlib.sha256(files[name]).digest())
    return whole.hexdigest()


def write_files(folder: Path, files: Files) -> None:
    """A new folder with these files, durable on return."""
    folder.mkdir(parents=True)
    inside = {folder}
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        inside.add(path.parent)
        with path.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    for each in sorted(inside, reverse=True):
        settle(each)
    settle(folder.parent)


def protect(folder: Path) -> None:
    """Take away the right to write, so that no editor changes a version by mistake."""
    for path in _inside(folder):
        path.chmod(path.stat().st_mode & ~(stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH))


def remove(folder: Path) -> None:
    """Delete a folder, also a protected one; does nothing if there is none."""
    if not folder.exists():
        return
    for path in _inside(folder):
        path.chmod(path.stat().st_mode | stat.S_IWUSR)
    shutil.rmtree(folder)


def _inside(folder: Path) -> Iterator[Path]:
    yield folder
    yield from (path for path in folder.rglob("*") if not path.is_symlink())
