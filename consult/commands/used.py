"""Which trees and which settings a command used, in a line each."""

from __future__ import annotations

import os
from pathlib import Path

from consult.paths import (
    DRAFT,
    VERSIONS,
    home_folder,
    is_unpublished,
    library_folder,
    shipped_trees,
    trees_folder,
)
from consult.tree.settings import settings_file, settings_of

UNPUBLISHED = (
    "Nothing is published in {} yet, so there are no questions to lead a call with. "
    "Run consult check, then consult publish --reason 'Our own range'."
)


def used_lines(folder: Path) -> list[str]:
    """What a folder of trees is, and whose settings hold for it."""
    file = settings_file(folder)
    maker = settings_of(folder).maker
    whose = f"{file} ({maker or 'it has mistakes'})" if file else "none: no maker is named"
    return [f"Trees: {folder} ({_what(folder)})", f"Settings: {whose}"]


def _what(folder: Path) -> str:
    library = library_folder()
    if folder == library / DRAFT:
        return "the draft; nothing is published yet" if is_unpublished() else "the draft"
    if folder.parent == library / VERSIONS:
        return "live" if folder == trees_folder() else "a published version"
    if folder == shipped_trees():
        return "the demonstration that comes with consult"
    named = os.environ.get("CONSULT_TREES")
    return "named by CONSULT_TREES" if named and Path(named) == folder else "named here"


def not_checked(folder: Path) -> str:
    """The draft, where another folder was checked; '' where there is none."""
    draft = library_folder() / DRAFT
    if folder == draft or not draft.is_dir():
        return ""
    return f"Not checked: the draft. To check it: consult check {draft}"


def unpublished() -> str:
    """Why no call can be led, where that is so; '' else."""
    return UNPUBLISHED.format(home_folder()) if is_unpublished() else ""
