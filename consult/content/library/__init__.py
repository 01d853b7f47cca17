"""Versions of the trees: edit a draft, publish it, restore an earlier version."""

from consult.content.library.draft import begin_draft, discard_draft, draft_folder
from consult.content.library.files import LibraryTrouble
from consult.content.library.library import Library, the_library

__all__ = [
    "Library",
    "LibraryTrouble",
    "begin_draft",
    "discard_draft",
    "draft_folder",
    "the_library",
]
