"""What a call is about, by name: the main trees of the folder that calls use."""

from __future__ import annotations

from pathlib import Path

from consult.content.library.files import read_files
from consult.content.library.main_trees import main_trees
from consult.paths import trees_folder
from consult.problems import listed, nearest


def tree_about(said: str) -> Path | str:
    """The tree file that a name stands for, however it is written; else what to say instead."""
    folder = trees_folder()
    try:
        names = sorted(Path(file).stem for file in main_trees(read_files(folder)))
    except OSError as trouble:
        return f"The trees in {folder} cannot be read ({trouble.strerror})."
    name = "_".join(said.lower().replace("-", " ").replace("_", " ").split())
    if name in names:
        return folder / f"{name}.yaml"
    known = f"The kinds are {listed(names)}." if names else f"There is no tree in {folder}."
    return " ".join(
        filter(None, (f"consult has no kind of call called '{said}'.", nearest(name, names), known))
    )
