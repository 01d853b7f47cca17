"""Where the trees and the demo calls are, and which version of the trees is live.

Trees come from the folder that CONSULT_TREES names, else from the library of the folder that
``consult begin`` made, else from this user's library once something was published there, else from
those that come with the program. A library keeps every published version in
``versions/<version>/`` and names one of them in ``live``; ``live`` is replaced in one step, so a
reader reads one version whole.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_VERSION = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}")
LIBRARY, RECORDS, DEMO_CALLS = "library", "records", "demo_calls"
"""What a folder made by ``consult begin`` holds, beside its settings."""
LIVE, VERSIONS, DRAFT = "live", "versions", "draft"
"""What a library holds, beside its journal."""
MAIN_TREE = "seating.yaml"
"""It names the version of the trees that come with the program."""
UNREADABLE = "?"
"""Stands for the live version where ``live`` does not name one; never the name of a folder."""


def _shipped(folder: str) -> Path:
    checkout = _PACKAGE.parent / folder
    return checkout if checkout.is_dir() else _PACKAGE / folder


def shipped_trees() -> Path:
    """The trees that come with the program."""
    return _shipped("trees")


def home_note() -> Path:
    """The file of this user that names the maker's folder in use; it need not be there."""
    import platformdirs

    return Path(platformdirs.user_config_dir("consult")) / "folder"


def home_folder() -> Path | None:
    """The maker's folder in use: what CONSULT_FOLDER names, else what ``consult begin`` noted."""
    named = os.environ.get("CONSULT_FOLDER")
    if not named:
        try:
            named = home_note().read_text("utf-8").strip()
        except (OSError, UnicodeDecodeError):
            return None
    return Path(named) if named else None


def trees_folder() -> Path:
    """The folder of trees, contacts and the range file that calls are led with now.

    In a maker's folder where nothing was published yet it is the draft.
    """
    named = os.environ.get("CONSULT_TREES")
    if named and not is_library(Path(named)):
        return Path(named)
    library = library_folder()
    version = live_version(library)
    if version is not None:
        return library / VERSIONS / version
    return library / DRAFT if is_unpublished() else shipped_trees()


def is_unpublished() -> bool:
    """Whether a maker's folder is in use of which nothing was published, so that no call is led."""
    if os.environ.get("CONSULT_TREES") or home_folder() is None:
        return False
    return live_version(library_folder()) is None


def library_folder() -> Path:
    """Where versions are published: what CONSULT_TREES names, else in the maker's folder in use,
    else in this user's data folder."""
    named = os.environ.get("CONSULT_TREES")
    if named:
        return Path(named)
    home = home_folder()
    if home is not None:
        return home / LIBRARY
    import platformdirs

    return Path(platformdirs.user_data_dir("consult")) / "library"


def proofs_folder() -> Path:
    """Where what was proven of trees is remembered, so that it need not be proven again."""
    import platformdirs

    return Path(platformdirs.user_cache_dir("consult")) / "proofs"


def is_library(folder: Path) -> bool:
    """Whether a folder is a library, and not a plain folder of trees."""
    return (folder / LIVE).exists() or (folder / VERSIONS).is_dir() or (folder / DRAFT).is_dir()


def live_version(library: Path) -> str | None:
    """The version that is live; None where nothing was published, UNREADABLE where none is named.

    A library whose ``live`` is damaged must not fall back to older trees without a word.
    """
    try:
        said = (library / LIVE).read_text("utf-8").strip()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, UnicodeDecodeError):
        return UNREADABLE
    return said if is_version(said) else UNREADABLE


def is_version(text: str) -> bool:
    """Whether a text can be a version: letters, figures, points and hyphens."""
    return _VERSION.fullmatch(text) is not None


def version_folder(version: str) -> Path | None:
    """The trees of an earlier version, as they were published; None where they are not here."""
    if not is_version(version):
        return None
    path = library_folder() / VERSIONS / version
    return path if path.is_dir() else None


def demo_folder() -> Path:
    """The folder of invented demo calls."""
    return _shipped("transcripts_demo")


def own_demo_folder() -> Path | None:
    """The demo calls of the maker's folder in use; it need not be there."""
    home = home_folder()
    return None if home is None else home / DEMO_CALLS


def is_own(trees: Path) -> bool:
    """Whether a folder of trees is in the maker's folder in use."""
    home = home_folder()
    return home is not None and trees.resolve().is_relative_to(home.resolve())


def demo_calls_of(trees: Path) -> Path | None:
    """The folder of the demo calls that are held with a folder of trees."""
    if is_own(trees):
        return own_demo_folder()
    return demo_folder() if trees.resolve() == shipped_trees().resolve() else None


def default_tree() -> Path:
    """The tree a call uses unless told otherwise."""
    return trees_folder() / main_tree_of(trees_folder())


def main_tree_of(folder: Path) -> str:
    """The file that every call begins with: ``seating.yaml``, or the tree of another product."""
    if not (folder / MAIN_TREE).is_file() and (folder / "fitting.yaml").is_file():
        for path in sorted(folder.glob("*.yaml")):
            text = path.read_text("utf-8", "replace")
            if re.search(r"^works_out: *fitting\b", text, re.MULTILINE):
                return path.name
    return MAIN_TREE
