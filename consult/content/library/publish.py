"""Publish the draft, or restore an earlier version.

Both end in one step, the new ``live``: whatever breaks off before it leaves what was live.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.library.files import (
    LibraryTrouble,
    digest_of_files,
    protect,
    read_files,
    with_version,
    write_files,
)
from consult.content.library.library import (
    PART,
    AcceptedLoss,
    EventKind,
    JournalEntry,
    Library,
    Live,
    bases,
    note_bases,
    version_of,
)
from consult.content.library.verify import verify_one
from consult.paths import MAIN_TREE, main_tree_of

if TYPE_CHECKING:
    from consult.content.changes.words import Change
    from consult.content.library.lost import Weaker
    from consult.problems import Problem


@dataclass(frozen=True, slots=True)
class Judged:
    """What speaks for and against a folder of trees taking the place of the live one."""

    problems: tuple[Problem, ...]
    changes: tuple[Change, ...]
    """What touches safety first."""
    weaker: tuple[Weaker, ...]
    """What protects callers less, or is not proven: each needs a reason."""


Judge = Callable[[Path, Path], Judged]
"""The folder that is live and the one to be, to what is thought of it."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Who wants it, when and why."""

    by: str
    reason: str
    today: date
    accepted: Mapping[str, str]
    """What is weaker, as "caution.numb_legs" -> why that is right."""
    dry_run: bool = False


@dataclass(frozen=True, slots=True)
class PublishReport:
    """What came of it."""

    version: str = ""
    """The version that is live now, or would be; '' where it did not come so far."""
    done: bool = False
    why_not: str = ""
    """Why it is not live, in plain words; '' where it is."""
    judged: Judged = Judged((), (), ())
    accepted: tuple[AcceptedLoss, ...] = ()
    digest: str = ""


def publish(library: Library, wanted: Wanted, judge: Judge) -> PublishReport:
    """Make the draft the live version, or say why not.

    LibraryTrouble where the library is damaged or somebody else is publishing; OSError where it
    cannot be written. In each case what was live is live.
    """
    if not library.draft.is_dir():
        raise LibraryTrouble("There is no draft. Start one with: consult draft")
    with _publishing(library) as live:
        base = bases(library)
        if live.base not in base:
            return PublishReport(why_not=_overtaken(library, base, live))
        files = read_files(library.draft)
        if with_version(files, "") == with_version(read_files(live.folder), ""):
            message = f"Nothing changed: the draft is the same as the live version, {live.version}."
            return PublishReport(why_not=message)
        if main_tree_of(library.draft) not in files:
            message = f"The draft has no {MAIN_TREE}, and every call starts with it."
            return PublishReport(why_not=message)
        version = _next_version(library, wanted.today)
        files = with_version(files, version)
        part = library.versions / f"{PART}{version}"
        library.versions.mkdir(exist_ok=True)
        write_files(part, files)
        report = _weighed(judge(live.folder, part), wanted, version, digest_of_files(files))
        if report.why_not or wanted.dry_run:
            return report
        note_bases(library, live.base, live.version, version)
        if not library.published and not library.is_own:
            _keep_first(library, live, wanted.today)
        protect(part)
        library.make_live(_entry("published", report, wanted), part)
        note_bases(library, version)
    return replace(report, done=True)


def bring_back(library: Library, version: str, wanted: Wanted, judge: Judge) -> PublishReport:
    """Make an earlier version the live one again; raises as ``publish`` does."""
    entry = _entry_of(library, version)
    with _publishing(library) as live:
        if version == live.version:
            return PublishReport(version, why_not=f"{version} is already live.")
        problem = verify_one(library, entry)
        if problem:
            return PublishReport(version, why_not=f"{problem} It was not restored.")
        judged = judge(live.folder, library.folder(version))
        report = _weighed(judged, wanted, version, entry.digest)
        if report.why_not or wanted.dry_run:
            return report
        library.make_live(_entry("brought back", report, wanted))
    return replace(report, done=True)


@contextmanager
def _publishing(library: Library) -> Iterator[Live]:
    """What is live, while nobody else publishes; what is left half done is taken away after."""
    with locked(library.root):
        library.tidy()
        live = library.live()
        try:
            yield live
        finally:
            with suppress(OSError, LibraryTrouble):
                library.tidy()


def _entry(kind: EventKind, report: PublishReport, wanted: Wanted) -> JournalEntry:
    return JournalEntry(
        report.version,
        kind,
        wanted.today,
        wanted.by,
        wanted.reason,
        tuple(change.text for change in report.judged.changes),
        report.accepted,
        report.digest,
    )


def _entry_of(library: Library, version: str) -> JournalEntry:
    journal_entries = [entry for entry in library.entries() if entry.version == version]
    if not journal_entries:
        known = ", ".join(dict.fromkeys(entry.version for entry in library.entries())) or "none yet"
        raise LibraryTrouble(f"There is no version {version}. The versions are: {known}.")
    return journal_entries[0]


def _overtaken(library: Library, base: tuple[str, ...], live: Live) -> str:
    if not base:
        return (
            "The draft does not say which version it was started from. Save your changes "
            "elsewhere, then run consult draft --discard and consult draft."
        )
    since = [entry for entry in library.entries() if entry.version == live.version]
    if since:
        by, reason = since[-1].by or "Somebody", " ".join(since[-1].reason.split())
        about = f"{live.version} is live now. {by} made it so on {since[-1].day}: {reason}."
    else:
        about = f"the trees that came with consult have changed: {live.version}."
    return (
        f"The draft was started from {version_of(base[0])}, but {about} Publishing would undo "
        "newer changes: see consult changes live draft, then run consult draft "
        "--build-on-live to keep the draft, or consult draft --discard to start again."
    )


def _next_version(library: Library, today: date) -> str:
    taken = {entry.version for entry in library.entries()}
    day = f"{today:%Y.%m.%d}"
    version, number = day, 1
    while version in taken or library.folder(version).exists() or version == library.live().version:
        number += 1
        version = f"{day}.{number}"
    return version


def _weighed(judged: Judged, wanted: Wanted, version: str, digest: str) -> PublishReport:
    """What is accepted, and why it cannot go live, if it cannot."""
    accepted, why_not = _accepted(judged, wanted)
    return PublishReport(version, False, why_not, judged, accepted, digest)


def _accepted(judged: Judged, wanted: Wanted) -> tuple[tuple[AcceptedLoss, ...], str]:
    errors = [problem for problem in judged.problems if problem.severity == "error"]
    if errors:
        count = "1 mistake" if len(errors) == 1 else f"{len(errors)} mistakes"
        return (), f"The trees have {count}. Correct what is listed, then try again."
    weaker = list(dict.fromkeys(loss.what for loss in judged.weaker))
    stray = [name for name in wanted.accepted if name not in weaker]
    if stray:
        return (), f"'{stray[0]}' is not weaker than before. Leave out its --accept."
    empty = [name for name, reason in wanted.accepted.items() if not reason.strip()]
    if empty:
        return (), f"Say why '{empty[0]}' may be weaker: --accept {empty[0]}=REASON"
    accepted = tuple(AcceptedLoss(name, reason) for name, reason in wanted.accepted.items())
    missing = [name for name in weaker if name not in wanted.accepted]
    if missing:
        flags = " ".join(f"--accept {name}=REASON" for name in missing)
        message = "Something protects" if len(missing) == 1 else f"{len(missing)} things protect"
        message += " callers less than before, or may."
        return accepted, f"{message} Correct it, or give a reason: {flags}"
    return accepted, ""


def _keep_first(library: Library, live: Live, today: date) -> None:
    """Keep the trees that came with the program as the first version, so they can come back."""
    files = read_files(live.folder)
    part = library.versions / f"{PART}{live.version}"
    write_files(part, files)
    protect(part)
    reason = "The trees that came with the program."
    digest = digest_of_files(files)
    library.make_live(JournalEntry(live.version, "begun", today, "", reason, (), (), digest), part)


def full(error: OSError) -> str:
    """Why the library could not be written, in words."""
    if error.errno == errno.ENOSPC:
        return "The disk is full."
    return f"{error.filename or 'A file'}: {error.strerror or 'it cannot be written'}."


# -- one at a time may publish. The system takes the lock away from a program that dies -----------

_FILE = "lock"


@contextmanager
def locked(library: Path) -> Iterator[None]:
    """Nobody else publishes meanwhile; LibraryTrouble where somebody does."""
    library.mkdir(parents=True, exist_ok=True)
    handle = os.open(library / _FILE, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        if not _taken(handle):
            raise LibraryTrouble(
                "Somebody else is publishing now. Wait until they have finished, see their "
                "change with consult versions, then try again."
            )
        yield
    finally:
        os.close(handle)


def _taken(handle: int) -> bool:
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
