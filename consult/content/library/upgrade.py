"""Whether a newer consult brought other questions than a maker's folder was begun with.

The folder stores the trees it was begun from beside its library. They are the old side of what a
new version of consult changed; the draft and the published versions are never touched.
"""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from consult.content.library.files import read_files, remove, write_files
from consult.paths import shipped_trees

if TYPE_CHECKING:
    from pathlib import Path

    from consult.content.library.library import Library

BEGUN = "begun"
"""The trees that a library was begun from, in its folder."""


NEWS = (
    "This version of consult came with other questions than yours, perhaps about warning signs. "
    "What changed, safety first: consult changes begun shipped."
)


def begun_from(library: Library) -> Path | None:
    """The trees that the library was begun from; None where nobody stored them."""
    found = library.root / BEGUN
    return found if found.is_dir() else None


def note_shipped(library: Library) -> None:
    """Remember the trees of this version of consult as those that the library builds on."""
    made = library.root / f".{BEGUN}-{secrets.token_hex(4)}"
    write_files(made, _asked(read_files(shipped_trees())))
    old = library.root / BEGUN
    aside = library.root / f".{BEGUN}-{secrets.token_hex(4)}"
    if old.is_dir():
        old.rename(aside)
    made.rename(old)
    if aside.is_dir():
        remove(aside)


def came_anew(library: Library) -> bool:
    """Whether a question, contact or template is not as it was when the library was begun."""
    begun = begun_from(library)
    if begun is None:
        return False
    then, now = (_asked(read_files(folder)) for folder in (begun, shipped_trees()))
    return then != now


def _asked(files: dict[str, bytes]) -> dict[str, bytes]:
    """The files without pages about them, and without the chairs and settings of the demo."""
    own = ("range.yaml", "settings.yaml")
    return {n: text for n, text in files.items() if n not in own and not n.endswith(".md")}
