"""Which files of a folder are main trees, and writing a version into them."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from consult.content.library.files import Files
from consult.content.library.trouble import LibraryTrouble
from consult.marked.marks import Marked, parse_marked
from consult.tree.folder import main_trees_of

_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""Where YAML takes a line to end."""
_BOM = "\ufeff"


def main_trees(files: Files) -> list[str]:
    """The names of the tree files that no other tree takes in."""
    said = {}
    for name, content in files.items():
        marked = _marked(name, content)
        if marked is not None:
            said[PurePosixPath(name).stem] = marked.data
    return [f"{name}.yaml" for name in main_trees_of(said)]


def with_version(files: Files, version: str) -> dict[str, bytes]:
    """The files with a version written into every main tree, all other bytes as they were."""
    mains = set(main_trees(files))
    return {
        name: _versioned(name, content, version) if name in mains else content
        for name, content in files.items()
    }


def _marked(name: str, content: bytes) -> Marked | None:
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
    mark = _BOM if text.startswith(_BOM) else ""
    text = text.removeprefix(_BOM)
    where = marked.value("version")
    starts = [0, *(found.end() for found in _BREAK.finditer(text))]
    start = starts[where.line - 1] + where.column - 1
    start += text[start : start + 1] in ("'", '"')
    if not text.startswith(written, start):
        said = f"{name}, line {where.line}: write the version on one line, as version: {version}"
        raise LibraryTrouble(said)
    return f"{mark}{text[:start]}{version}{text[start + len(written) :]}".encode()
