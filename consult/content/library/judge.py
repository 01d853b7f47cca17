"""Judge a folder of trees by comparing it with the live one, file by file."""

from __future__ import annotations

from pathlib import Path

from consult.content.changes.folders import changed_folders
from consult.content.library.files import read_files
from consult.content.library.lost import Weaker, lost_in_folders
from consult.content.library.main_trees import main_trees
from consult.content.library.publish import Judged


def compared(live: Path, new: Path) -> Judged:
    """Changes, and what is weaker; whether the new folder is sound is not asked here."""
    changes = changed_folders(live, new)
    lost = lost_in_folders(live, new, main_trees(read_files(live)))
    weaker = (Weaker(each.about, each.text) for each in changes if each.weaker)
    return Judged((), tuple(changes), (*lost, *weaker))
