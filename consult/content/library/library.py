"""A library of trees: which version is live, the versions kept, the journal and the draft."""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal, cast, get_args

from consult.content.library.files import (
    READABLE,
    LibraryTrouble,
    digest_of_files,
    read_files,
    remove_folder,
    write_files,
)
from consult.durable import settle, write_whole
from consult.marked.marks import load_marked
from consult.paths import (
    DRAFT,
    LIVE,
    MAIN_TREE,
    UNREADABLE,
    VERSIONS,
    is_library,
    is_version,
    library_folder,
    live_version,
    shipped_trees,
)

_UNFINISHED = "unfinished"
BEGUN = "begun"
"""The trees that a library was begun from, in its folder."""
PART = ".part-"
"""How the name of a folder begins that is still being written."""


@dataclass(frozen=True, slots=True)
class Live:
    """The live version."""

    version: str
    folder: Path
    base: str
    """What a draft of it remembers. Trees that come with the program may change without a new
    version, so their digest belongs to it; a version of the library never changes."""


@dataclass(frozen=True, slots=True)
class Library:
    """A folder with its parts; nothing is read before it is asked for."""

    root: Path

    @property
    def draft(self) -> Path:
        """The trees being edited."""
        return self.root / DRAFT

    @property
    def versions(self) -> Path:
        """The folder of all versions."""
        return self.root / VERSIONS

    @property
    def published(self) -> bool:
        """Whether anything is live here; else the trees that come with the program are."""
        return live_version(self.root) is not None

    @property
    def is_own(self) -> bool:
        """Whether it is of a maker's folder, where the demonstration never was live and never is
        to come back."""
        from consult.tree.settings import SETTINGS_FILE

        return (self.root.parent / SETTINGS_FILE).is_file()

    def folder(self, version: str) -> Path:
        """The files of a version, which need not be there."""
        return self.versions / version

    def live(self) -> Live:
        """The version that is live; LibraryTrouble where the library is damaged."""
        version = live_version(self.root)
        if version is None:
            # A library that began without chairs builds on what little it began with.
            begun = self.root / BEGUN
            alone = begun.is_dir() and not (begun / MAIN_TREE).is_file()
            folder, shipped = begun if alone else shipped_trees(), _shipped_version()
            return Live(shipped, folder, f"{shipped}@{digest_of_files(read_files(folder))[:16]}")
        if version == UNREADABLE:
            raise LibraryTrouble(
                f"{self.root / LIVE} does not name a version. Write the name of a folder in "
                f"{self.versions} into it."
            )
        if not self.folder(version).is_dir():
            raise LibraryTrouble(
                f"The live version {version} is not in {self.versions}. Restore the folder from "
                f"a backup, or name another version in {self.root / LIVE}."
            )
        return Live(version, self.folder(version), version)

    def entries(self) -> tuple[JournalEntry, ...]:
        """The journal without an entry that never came to be, the oldest first."""
        journal_entries = read_journal(self.root)
        return journal_entries[:-1] if self._broken_off(journal_entries) else journal_entries

    # -- making a version live ----------------------------------------------------------------

    def make_live(self, entry: JournalEntry, written: Path | None = None) -> None:
        """Name a version as live, last of all steps: until then the old one stays, whole.

        ``written`` is the folder it was written to, complete; None for one that is here already.
        The journal comes before the folder gets its name, and a note of what is under way before
        that, so that whatever is left of an attempt broken off can be taken away safely.
        """
        kind = "again" if written is None else "new"
        write_whole(self.root / _UNFINISHED, f"{kind} {entry.version}\n".encode(), mode=READABLE)
        write_journal(self.root, (*self.entries(), entry))
        if written is not None:
            written.rename(self.folder(entry.version))
            settle(self.versions)
        write_whole(self.root / LIVE, f"{entry.version}\n".encode(), mode=READABLE)
        (self.root / _UNFINISHED).unlink()

    def tidy(self) -> None:
        """Take away what an attempt that was broken off left; only under the lock."""
        note = self._note()
        if note is not None:
            kind, version = note
            journal_entries = read_journal(self.root)
            if self._broken_off(journal_entries):
                write_journal(self.root, journal_entries[:-1])
            if kind == "new" and live_version(self.root) != version:
                remove_folder(self.folder(version))
            (self.root / _UNFINISHED).unlink()
        for folder in self.versions.glob(f"{PART}*"):
            remove_folder(folder)

    def _note(self) -> tuple[str, str] | None:
        try:
            kind, _, version = (self.root / _UNFINISHED).read_text("utf-8").strip().partition(" ")
        except (FileNotFoundError, NotADirectoryError):
            return None
        except (OSError, UnicodeDecodeError) as error:
            raise LibraryTrouble(f"{self.root / _UNFINISHED} cannot be read.") from error
        return (kind, version) if is_version(version) else ("again", "")

    def _broken_off(self, entries: tuple[JournalEntry, ...]) -> bool:
        """Whether the last entry tells of a version that did not become live."""
        note = self._note()
        if note is None or not entries or entries[-1].version != note[1]:
            return False
        return live_version(self.root) != note[1]


def the_library() -> Library:
    """The library in use; LibraryTrouble where CONSULT_TREES names a plain folder of trees."""
    folder = library_folder()
    named = os.environ.get("CONSULT_TREES")
    if named and not is_library(folder) and folder.exists() and any(folder.glob("*")):
        raise LibraryTrouble(
            f"CONSULT_TREES names {named}, a plain folder of trees, so every saved change is "
            "live at once. For drafts and versions, name a new, empty folder."
        )
    return Library(folder)


def live_trouble() -> str:
    """Why no version of the library in use is live; '' where one is, or there is no library."""
    library = Library(library_folder())
    try:
        if live_version(library.root) is not None:
            library.live()
    except LibraryTrouble as trouble:
        return str(trouble)
    return ""


def _shipped_version() -> str:
    marked, _ = load_marked(shipped_trees() / MAIN_TREE)
    version = (marked.raw("version") or "") if marked else ""
    return version if is_version(version) else "shipped"


# -- the journal of a library: what became live, when, by whom and why; JSON lines ----------------

LIBRARY_FILE = "journal.jsonl"
EventKind = Literal["begun", "published", "brought back"]


@dataclass(frozen=True, slots=True)
class AcceptedLoss:
    """Something that protects callers less than before, and why that is right."""

    what: str
    """As "caution.numb_legs"."""
    reason: str


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One version becoming live."""

    version: str
    kind: EventKind
    """``begun``: the trees that came with the program, kept so that they can be brought back."""
    day: date
    by: str
    reason: str
    changes: tuple[str, ...]
    """Against what was live before, in plain words."""
    accepted: tuple[AcceptedLoss, ...]
    digest: str
    """Of the files of the version."""


def read_journal(library: Path) -> tuple[JournalEntry, ...]:
    """Every entry, the oldest first; LibraryTrouble where the journal cannot be read."""
    path = library / LIBRARY_FILE
    try:
        lines = path.read_bytes().split(b"\n")
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise LibraryTrouble(f"The journal {path} cannot be read: {error.strerror}.") from error
    return tuple(_entry(line, f"{path}:{n}") for n, line in enumerate(lines, 1) if line.strip())


def write_journal(library: Path, entries: Sequence[JournalEntry]) -> None:
    """Put the journal in place whole."""
    lines = [json.dumps({**asdict(entry), "day": entry.day.isoformat()}) for entry in entries]
    content = "".join(f"{line}\n" for line in lines).encode("ascii")
    write_whole(library / LIBRARY_FILE, content, mode=READABLE)


def _accepted(record: dict[str, Any]) -> AcceptedLoss:
    # Journals of earlier versions know of lost cautions only, by their bare names.
    what = record["what"] if "what" in record else f"caution.{record['caution']}"
    return AcceptedLoss(what, record["reason"])


def _entry(line: bytes, where: str) -> JournalEntry:
    try:
        record: dict[str, Any] = json.loads(line)
        texts = {name: record[name] for name in ("version", "by", "reason", "digest")}
        changes = tuple(record["changes"])
        accepted = tuple(map(_accepted, record["accepted"]))
        strings = [*texts.values(), *changes, *(t for a in accepted for t in (a.what, a.reason))]
        if record["kind"] not in get_args(EventKind) or not all(
            isinstance(words, str) for words in strings
        ):
            raise ValueError(record["kind"])
        kind = cast("EventKind", record["kind"])
        day = date.fromisoformat(record["day"])
        return JournalEntry(kind=kind, day=day, changes=changes, accepted=accepted, **texts)
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise LibraryTrouble(
            f"{where}: this line of the journal is damaged. Restore the journal from a backup; "
            "the versions and calls are not affected."
        ) from error


# -- the draft: a copy of what is live, being edited, that remembers which version it came from ---

_BASE = ".from"
SCHEMAS = ".schemas"
"""Beside the files, for editors that complete names; nothing in it is published."""
_OF_FILES = tuple(
    Path(__file__).parents[2] / folder / f"{schema}.schema.json"
    for folder, of in {
        "tree": ("tree", "contacts", "sources", "shares", "plain_words", "settings"),
        "range": ("range", "fitting"),
    }.items()
    for schema in of
)


def draft_folder() -> Path:
    """The draft of the library in use, begun now where there is none.

    LibraryTrouble where the library is damaged, OSError where it cannot be written.
    """
    return begin_draft(the_library())


def begin_draft(library: Library) -> Path:
    """The draft, or a new one: a copy of the live version."""
    if library.draft.is_dir():
        return library.draft
    live = library.live()
    made = library.root / f".draft-{secrets.token_hex(4)}"
    schemas = {f"{SCHEMAS}/{schema.name}": schema.read_bytes() for schema in _OF_FILES}
    write_files(made, {**read_files(live.folder), **schemas, _BASE: _lines(live.base)})
    try:
        made.rename(library.draft)
    except OSError:
        remove_folder(made)
        # Another desk may have begun one a moment ago.
        if not library.draft.is_dir():
            raise
    settle(library.root)
    return library.draft


def discard_draft(library: Library) -> bool:
    """Delete the draft; False if there was none."""
    gone = library.root / f".draft-{secrets.token_hex(4)}"
    try:
        library.draft.rename(gone)
    except FileNotFoundError:
        return False
    settle(library.root)
    remove_folder(gone)
    return True


def bases(library: Library) -> tuple[str, ...]:
    """What the draft builds on: one ``Live.base``, or more after publishing was broken off."""
    with suppress(OSError, UnicodeDecodeError):
        return tuple((library.draft / _BASE).read_text("utf-8").split())
    return ()


def note_bases(library: Library, *versions: str) -> None:
    """Remember what the draft builds on."""
    write_whole(library.draft / _BASE, _lines(*versions), mode=READABLE)


def version_of(base: str) -> str:
    """The version of what a draft builds on."""
    return base.partition("@")[0]


def _lines(*lines: str) -> bytes:
    return "".join(f"{base}\n" for base in lines).encode()
