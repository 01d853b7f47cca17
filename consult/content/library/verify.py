"""Whether every version kept is as it was published."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.library.files import (
    LibraryTrouble,
    digest_of_files,
    read_files,
    remove_folder,
    write_files,
)
from consult.content.library.library import BEGUN, the_library
from consult.marked.marks import parse_marked
from consult.marked.plain import block_at
from consult.paths import MAIN_TREE, shipped_trees
from consult.tree.contacts import CONTACTS_FILE

if TYPE_CHECKING:
    from consult.content.editing.merging import EditConflict, Merge
    from consult.content.library.library import JournalEntry, Library


def verify(library: Library) -> list[str]:
    """What is wrong with the versions kept, a sentence each; nothing where all is as published."""
    first = {entry.version: entry for entry in reversed(library.entries())}
    problems = [verify_one(library, entry) for entry in reversed(first.values())]
    strays = sorted(
        folder.name
        for folder in (library.versions.iterdir() if library.versions.is_dir() else ())
        if folder.name not in first and not folder.name.startswith(".")
    )
    problems += [f"{library.folder(name)} is not in the journal." for name in strays]
    return [problem for problem in problems if problem]


def verify_one(library: Library, entry: JournalEntry) -> str:
    """What is wrong with one version; '' where it is as it was published."""
    folder = library.folder(entry.version)
    if not folder.is_dir():
        return f"The version {entry.version} is no longer in {library.versions}."
    if digest_of_files(read_files(folder)) != entry.digest:
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


# -- upgrade --------------------------------------------------------------------------------------
# Whether a newer consult brought other questions than a maker's folder was begun with, and what
# of it a draft takes.
#
# The folder stores the trees it was begun from beside its library. They are the old side of what
# a new version of consult changed, and the base of a merge with the maker's own changes.
# Published versions are never touched.

ALONE = ("safety.yaml", CONTACTS_FILE)
"""What a library begins with that is to fit another product than chairs."""

NEWS = (
    "This version of consult came with other questions than yours, perhaps about warning signs. "
    "What changed, safety first: consult changes begun shipped. To take it into the draft: "
    "consult changes begun shipped --merge."
)
DEMO_ONLY = ("range.yaml", "settings.yaml")
"""The demonstration's chairs and maker, which are nobody's who began a folder."""
_SAFETY = ("cautions", "always")
"""Parts of a tree that keep callers safe; so do questions with one of the keys below."""
_SIGNS = ("cautioned", "signs")


def begun_from(library: Library) -> Path | None:
    """The trees that the library was begun from; None where nobody stored them."""
    path = library.root / BEGUN
    return path if path.is_dir() else None


def _shipped(library: Library) -> dict[str, bytes]:
    """What of this version of consult a library builds on."""
    files = _asked(read_files(shipped_trees()))
    begun = begun_from(library)
    if begun is None or (begun / MAIN_TREE).is_file():
        return files
    return {**read_files(begun), **{name: files[name] for name in ALONE}}


def begin_alone(library: Library, name: str, tree: str) -> None:
    """Begin a library for another product than chairs: a tree, the warning signs, the contacts."""
    files = read_files(shipped_trees())
    own = {name: tree.encode(), **{file: files[file] for file in ALONE}}
    write_files(library.root / BEGUN, own)


def note_shipped(library: Library) -> None:
    """Remember the trees of this version of consult as those that the library builds on."""
    made = library.root / f".{BEGUN}-{secrets.token_hex(4)}"
    write_files(made, _shipped(library))
    old = library.root / BEGUN
    aside = library.root / f".{BEGUN}-{secrets.token_hex(4)}"
    if old.is_dir():
        old.rename(aside)
    made.rename(old)
    if aside.is_dir():
        remove_folder(aside)


def came_anew(library: Library) -> bool:
    """Whether a question, contact or template is not as it was when the library was begun."""
    begun = begun_from(library)
    if begun is None:
        return False
    return _asked(read_files(begun)) != _shipped(library)


def _asked(files: dict[str, bytes]) -> dict[str, bytes]:
    """The files without pages about them, and without the chairs and settings of the demo."""
    return {n: text for n, text in files.items() if n not in DEMO_ONLY and not n.endswith(".md")}


@dataclass(frozen=True, slots=True)
class Both:
    """A piece of a file that the maker changed and the new version of consult too."""

    file: str
    conflict: EditConflict
    safety: bool
    """Whether it is about what keeps callers safe."""

    @property
    def name(self) -> str:
        """As it is shown and typed: safety.yaml:questions.signs.ask."""
        return ":".join((self.file, ".".join(self.conflict.way))).rstrip(":")


@dataclass(frozen=True, slots=True)
class Upgrade:
    """What the draft is to be after taking what a new version of consult changed."""

    files: Mapping[str, bytes | None]
    """Files that differ from the draft; None for one that goes."""
    taken: tuple[str, ...]
    """What was the maker's as it had come, and is now as it comes anew."""
    both: tuple[Both, ...]
    """What both changed, safety first."""


def upgraded(library: Library, takes: Callable[[Both], bool]) -> Upgrade:
    """The draft with what changed in consult since the library was begun.

    What the maker left as it was is taken; of what both changed, ``takes`` says whether the new
    wording is to stand in place of the maker's. LibraryTrouble where there is no base.
    """
    begun = begun_from(library)
    if begun is None:
        raise LibraryTrouble("This library does not know which trees it was begun from.")
    sides = [_asked(read_files(side)) for side in (begun, library.draft)]
    sides.append(_shipped(library))
    names = sorted({*sides[0], *sides[2]})
    texts = {name: [_text(side.get(name)) for side in sides] for name in names}
    both = [
        wording
        for name, (b, o, t) in texts.items()
        for wording in _both(name, t, _merged(name, b, o, t))
    ]
    both.sort(key=lambda wording: not wording.safety)
    chosen = {(wording.file, wording.conflict) for wording in both if takes(wording)}
    files: dict[str, bytes | None] = {}
    taken = []
    for name, (b, o, t) in texts.items():
        theirs = [conflict for file, conflict in chosen if file == name]
        merge = _merged(name, b, o, t, theirs)
        if merge.text != o:
            text = merge.text
            files[name] = None if text is None else text.encode("utf-8", "surrogateescape")
        ways = (way for way in merge.taken if way != _VERSION)
        taken += [f"{name}:{'.'.join(way)}".rstrip(":") for way in ways]
    return Upgrade(files, tuple(taken), tuple(both))


_VERSION = ("version",)
"""Of a tree, which publishing writes."""


def _merged(
    name: str,
    base: str | None,
    ours: str | None,
    theirs: str | None,
    for_theirs: Collection[EditConflict] = (),
) -> Merge:
    # A call starts a twentieth sooner without it: it looks at the library and merges nothing.
    from consult.content.editing.merging import EditConflict, Merge, merged

    if name.endswith(".yaml") or None in (base, ours, theirs) or theirs in (base, ours):
        return merged(base, ours, theirs, for_theirs)
    # A template is one piece: what of it belongs together nobody can tell.
    if ours == base:
        return Merge(theirs, ((),), ())
    conflict = EditConflict((), base, ours, theirs)
    return Merge(theirs if conflict in for_theirs else ours, (), (conflict,))


def _both(name: str, theirs: str | None, merge: Merge) -> Iterator[Both]:
    for conflict in merge.conflicts:
        if conflict.way != _VERSION:
            yield Both(name, conflict, _is_safety(name, theirs or "", conflict.way))


def _is_safety(name: str, theirs: str, way: tuple[str, ...]) -> bool:
    if name == CONTACTS_FILE or (way and (way[0] in _SAFETY or way[-1] == "private")):
        return True
    if not name.endswith(".yaml") or not way:
        # What is one piece with its cautions may hold any of them.
        return any(f"{part}:" in theirs for part in (*_SAFETY, *_SIGNS))
    marked = parse_marked(theirs, name)[0]
    asked = block_at(marked.data, "questions", way[1]) if marked and len(way) > 1 else {}
    return any(key in asked for key in _SIGNS)


def _text(content: bytes | None) -> str | None:
    return None if content is None else content.decode("utf-8", "surrogateescape")
