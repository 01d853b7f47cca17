"""Publishing broken off at any point: what was live is live, whole, and the next attempt works."""

from __future__ import annotations

import errno
import os
import random
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Literal

import pytest

from consult.content.library.files import LibraryTrouble, digest_of_files, read_files
from consult.content.library.library import Library, begin_draft
from consult.content.library.publish import bring_back, publish
from consult.content.library.verify import verify
from consult.paths import trees_folder
from tests.content.library.libraries import SHIPPED, agreeable, published, wanted, write

TOUCHING = ("fsync", "rename", "replace", "unlink", "chmod", "mkdir", "rmdir", "open")
"""What changes a disk. ``os.open`` is how every temporary file and the lock are made."""


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing waits for the disk: only the order of what is done counts here."""
    monkeypatch.setattr(os, "fsync", lambda _: None)


class Killed(BaseException):
    """Stands for the end of the program: nothing it would do afterwards happens."""


@contextmanager
def failing(monkeypatch: pytest.MonkeyPatch, at: int, *, killed: bool) -> Iterator[list[int]]:
    """The ``at``-th touch of the disk fails, once; killed, it and all later ones never happen."""
    count = [0]

    def wrapped(real: Callable[..., Any]) -> Callable[..., Any]:
        def touch(*args: Any, **more: Any) -> Any:
            count[0] += 1
            if killed and count[0] >= at:
                raise Killed
            if count[0] == at:
                raise OSError(errno.ENOSPC, "No space left on device")
            return real(*args, **more)

        return touch

    with monkeypatch.context() as patch:
        for name in TOUCHING:
            patch.setattr(os, name, wrapped(getattr(os, name)))
        yield count


def whole(library: Library, *digests: str) -> str:
    """The digest of what is live, which is one of those, in whatever state the journal is."""
    found = digest_of_files(read_files(trees_folder()))
    assert found in digests
    entries = library.entries()
    if entries:
        assert entries[-1].version == library.live().version
    for entry in entries:
        assert digest_of_files(read_files(library.folder(entry.version))) == entry.digest
    return found


State = frozenset[tuple[str, int, bytes | Literal[False]]]


def left_behind(library: Library) -> State:
    """Every file and folder of a library. What follows hangs on this alone."""
    return frozenset(
        (str(one.relative_to(library.root)), one.stat().st_mode, one.is_file() and one.read_bytes())
        for one in library.root.rglob("*")
    )


def touches(monkeypatch: pytest.MonkeyPatch, work: Callable[[], object]) -> int:
    """How often the disk is touched by it."""
    with failing(monkeypatch, 0, killed=False) as count:
        work()
    return count[0]


def copied(library: Library, name: str, monkeypatch: pytest.MonkeyPatch) -> Library:
    """Another library like this one, in use from now on."""
    folder = library.root.with_name(name)
    shutil.copytree(library.root, folder)
    monkeypatch.setenv("CONSULT_TREES", str(folder))
    return Library(folder)


def drafted_in(folder: Path, monkeypatch: pytest.MonkeyPatch, *, first: bool) -> Library:
    """A library with a changed draft, where nothing was published yet or where something was."""
    monkeypatch.setenv("CONSULT_TREES", str(folder))
    library = Library(folder)
    begin_draft(library)
    if not first:
        published(library, "First?")
    text = (library.draft / "seating.yaml").read_text("utf-8")
    (library.draft / "seating.yaml").write_text(text.replace("ask: ", "ask: Then. "), "utf-8")
    return library


@pytest.mark.usefixtures("library", "quick")
@pytest.mark.parametrize(("first", "killed"), [(True, True), (False, False)])
def test_publishing_broken_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, killed: bool, first: bool
) -> None:
    """At every single touch of the disk: the old version or the new, and the next attempt works."""
    before = drafted_in(tmp_path / "before", monkeypatch, first=first)
    old = digest_of_files(read_files(trees_folder()))
    library = copied(before, "whole", monkeypatch)
    count = touches(monkeypatch, lambda: publish(library, wanted(), agreeable))
    new = digest_of_files(read_files(trees_folder()))
    assert count > 30
    kept_old, met = 0, set[State]()
    for at in range(1, count + 1):
        library = copied(before, f"{at}", monkeypatch)
        with (
            failing(monkeypatch, at, killed=killed),
            # A folder that cannot be opened to settle it is no failure: then nothing is raised.
            suppress(OSError, Killed),
        ):
            publish(library, wanted(), agreeable)
        found = whole(library, old, new)
        kept_old += found == old
        state = left_behind(library)
        if state in met:
            continue
        met.add(state)
        report = publish(library, wanted(), agreeable)
        assert report.done == (found == old), report.why_not
        assert whole(library, new) == new
        assert verify(library) == []
        assert not list(library.versions.glob(".*"))
        assert len(library.entries()) == (2 if first else 3)
    assert count // 2 < kept_old < count


@pytest.mark.usefixtures("library", "quick")
@pytest.mark.parametrize("killed", [False, True])
def test_bringing_back_broken_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, killed: bool
) -> None:
    """The version that was live stays, and the one to be brought back is never touched."""
    before = drafted_in(tmp_path / "before", monkeypatch, first=False)
    published(before, "Second?")
    library = copied(before, "whole", monkeypatch)
    new = digest_of_files(read_files(trees_folder()))
    count = touches(monkeypatch, lambda: bring_back(library, "2026.11", wanted(), agreeable))
    old = digest_of_files(read_files(trees_folder()))
    met = set[State]()
    for at in range(1, count + 1):
        library = copied(before, f"{at}", monkeypatch)
        with failing(monkeypatch, at, killed=killed), suppress(OSError, Killed):
            bring_back(library, "2026.11", wanted(), agreeable)
        found = whole(library, old, new)
        state = left_behind(library)
        if state in met:
            continue
        met.add(state)
        assert verify(library) == []
        assert bring_back(library, "2026.11", wanted(), agreeable).done == (found == new)
        assert whole(library, old) == old
        assert [entry.kind for entry in library.entries()].count("brought back") == 1


def publisher(library: Library) -> int:
    """A process of its own that publishes on a slow disk, and has begun."""
    hearing, telling = os.pipe()
    child = os.fork()
    if child == 0:
        real = os.fsync

        def slow(handle: int) -> None:
            time.sleep(0.002)
            real(handle)

        os.fsync = slow  # type: ignore[assignment]
        os.write(telling, b"begins")
        with suppress(BaseException):
            publish(library, wanted(), agreeable)
        os._exit(0)
    os.close(telling)
    assert os.read(hearing, 6) == b"begins"
    os.close(hearing)
    return child


@pytest.mark.usefixtures("library")
def test_a_publisher_that_is_killed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """kill -9 at some moment: no half version, no lock left, and the next publisher succeeds."""
    draw = random.Random(7)
    for number in range(4):
        library = drafted_in(tmp_path / f"{number}", monkeypatch, first=False)
        old = digest_of_files(read_files(trees_folder()))
        program = publisher(library)
        time.sleep(draw.uniform(0, 0.08))
        os.kill(program, signal.SIGKILL)
        os.waitpid(program, 0)
        try:
            done = digest_of_files(read_files(trees_folder())) != old
            assert publish(library, wanted(), agreeable).done != done
        except LibraryTrouble as trouble:
            pytest.fail(str(trouble))
        assert verify(library) == []
        assert library.entries()[-1].version == library.live().version == "2026.11.25.2"


def test_a_published_version_survives_a_live_set_by_hand(drafted: Library) -> None:
    """Who writes an older version into ``live`` loses none of the newer ones."""
    published(drafted, "One?")
    published(drafted, "Two?")
    (drafted.root / "live").write_text("2026.11\n")
    assert bring_back(drafted, "2026.11.25", wanted(), agreeable).done
    assert verify(drafted) == []
    assert drafted.folder("2026.11.25.2").is_dir()


def test_two_desks_begin_one_draft(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    """A draft begun by another desk a moment ago is the draft; nothing is left of this one's."""
    real = Path.rename

    def late(self: Path, to: Path) -> Path:
        write(library.draft, SHIPPED)
        return real(self, to)

    monkeypatch.setattr(Path, "rename", late)
    assert begin_draft(library) == library.draft
    assert [path.name for path in library.root.iterdir()] == ["draft"]
