"""Whether every version kept is as it was published."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.library.files import digest_of, read_files
from consult.content.library.library import the_library
from consult.content.library.trouble import LibraryTrouble

if TYPE_CHECKING:
    from consult.content.library.journal import Entry
    from consult.content.library.library import Library


def verify(library: Library) -> list[str]:
    """What is wrong with the versions kept, a sentence each; nothing where all is as published."""
    first = {entry.version: entry for entry in reversed(library.entries())}
    told = [verify_one(library, entry) for entry in reversed(first.values())]
    strays = sorted(
        folder.name
        for folder in (library.versions.iterdir() if library.versions.is_dir() else ())
        if folder.name not in first and not folder.name.startswith(".")
    )
    told += [f"{library.folder(name)} is not in the journal." for name in strays]
    return [each for each in told if each]


def verify_one(library: Library, entry: Entry) -> str:
    """What is wrong with one version; '' where it is as it was published."""
    folder = library.folder(entry.version)
    if not folder.is_dir():
        return f"The version {entry.version} is no longer in {library.versions}."
    if digest_of(read_files(folder)) != entry.digest:
        return (
            f"The version {entry.version} has changed since it was published. Restore it from a "
            "backup."
        )
    return ""


def live_altered() -> tuple[Path, str] | None:
    """The live version's folder and what is wrong with it; None where it is as it was published.

    A library that is damaged otherwise is told by whatever reads it.
    """
    try:
        library = the_library()
        if not library.published:
            return None
        live = library.live()
        entries = [entry for entry in library.entries() if entry.version == live.version]
        wrong = verify_one(library, entries[0]) if entries else ""
    except (LibraryTrouble, OSError):
        return None
    return (live.folder, wrong) if wrong else None
