"""Folders of trees as bytes by name, their main trees, and writing them durably."""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path, PurePosixPath

from consult.durable import settle
from consult.marked.marks import BREAK, Marked, parse_marked
from consult.problems import CannotDoError
from consult.tree.folder import includes, is_tree, main_trees_of, mains_above
from consult.visible import BOM


class LibraryTrouble(CannotDoError):  # noqa: N818 - it is shown, not only raised
    """Said to the content lead, in plain sentences."""


# -- folders of trees as bytes by name, and writing them so that they survive a loss of power -----

Files = Mapping[str, bytes]
"""Name under the folder, with forward slashes, to content."""
EXAMPLES = "examples"
READABLE = 0o644
"""Permissions: anybody who may read the library may read these files."""


def read_files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder of trees; not hidden ones, nor the copies that editors leave behind,
    nor the examples that come with the program.

    OSError where one cannot be read.
    """
    files = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in name.parts) or name.parts[0] == EXAMPLES
        if not hidden and not name.name.endswith("~") and path.is_file():
            files[name.as_posix()] = path.read_bytes()
    return files


def digest_of_files(files: Files) -> str:
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
    for created in sorted(inside, reverse=True):
        settle(created)
    settle(folder.parent)


def protect(folder: Path) -> None:
    """Take away the right to write, so that no editor changes a version by mistake."""
    for path in _inside(folder):
        path.chmod(path.stat().st_mode & ~(stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH))


def remove_folder(folder: Path) -> None:
    """Delete a folder, also a protected one; does nothing if there is none."""
    if not folder.exists():
        return
    for path in _inside(folder):
        path.chmod(path.stat().st_mode | stat.S_IWUSR)
    shutil.rmtree(folder)


def _inside(folder: Path) -> Iterator[Path]:
    yield folder
    yield from (path for path in folder.rglob("*") if not path.is_symlink())


# -- which files of a folder are main trees, and writing a version into them ----------------------


def main_tree_names(files: Files) -> list[str]:
    """The names of the tree files that no other tree takes in."""
    return [f"{name}.yaml" for name in main_trees_of(_said(files))]


def _said(files: Files) -> dict[str, object]:
    read = {PurePosixPath(name).stem: _marked(name, text) for name, text in files.items()}
    return {name: marked.data for name, marked in read.items() if marked is not None}


def touched_trees(old: Files, new: Files) -> list[str]:
    """The main trees of either folder that a difference of theirs, versions aside, can bear on.

    Each leans on the trees it takes in, and all of them on every other file of trees.
    """
    before, after = with_version(old, ""), with_version(new, "")
    mains = dict.fromkeys((*main_tree_names(after), *main_tree_names(before)))
    differ = [name for name in (before | after) if before.get(name) != after.get(name)]
    sides = [_said(side) for side in (before, after)]
    touched: set[str] = set()
    for name in (name for name in differ if name.endswith(".yaml") and "/" not in name):
        stem = PurePosixPath(name).stem
        if not all(is_tree(side.get(stem)) for side in sides):
            return list(mains)
        for side in sides:
            included = {tree: includes(data) for tree, data in side.items()}
            touched |= {f"{main}.yaml" for main in (stem, *mains_above(stem, included))}
    return [name for name in mains if name in touched]


def with_version(files: Files, version: str) -> dict[str, bytes]:
    """The files with a version written into every main tree, all other bytes as they were."""
    mains = set(main_tree_names(files))
    return {
        name: _versioned(name, content, version) if name in mains else content
        for name, content in files.items()
    }


@lru_cache(maxsize=256)
def _marked(name: str, content: bytes) -> Marked | None:
    """Publishing asks the same of a live version, of a draft and of what is written of it."""
    path = PurePosixPath(name)
    if path.suffix != ".yaml" or len(path.parts) > 1:
        return None
    try:
        return parse_marked(content.decode("utf-8-sig"), name)[0]
    except UnicodeDecodeError:
        return None


def _versioned(name: str, content: bytes, version: str) -> bytes:
    marked = _marked(name, content)
    written = marked.raw("version") if marked else None
    if marked is None or written is None:
        # A tree without a version is for the check to refuse.
        return content
    text = content.decode("utf-8")
    mark = BOM if text.startswith(BOM) else ""
    text = text.removeprefix(BOM)
    where = marked.value("version")
    starts = [0, *(match.end() for match in BREAK.finditer(text))]
    start = starts[where.line - 1] + where.column - 1
    start += text[start : start + 1] in ("'", '"')
    if not text.startswith(written, start):
        message = f"{name}, line {where.line}: write the version on one line, as version: {version}"
        raise LibraryTrouble(message)
    return f"{mark}{text[:start]}{version}{text[start + len(written) :]}".encode()
