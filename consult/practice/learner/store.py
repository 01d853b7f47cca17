"""The learners' records: a folder with one file of lines for each learner.

Lines are only ever added. A damaged one is passed over and told of; it stays in the file until it
is set aside, into a file beside it, and goes when the learner is erased.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from consult import durable
from consult.practice.learner.lines import Newer, read, written
from consult.practice.learner.model import Done, PracticeTrouble, Record
from consult.practice.learner.place import ASIDE, ENDING, file_name, same_name


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of one file, sorted by what can be made of them."""

    all: tuple[bytes, ...]
    done: tuple[Done, ...]
    damaged: tuple[int, ...]
    """Which of ``all``, from 0."""
    newer: int


@dataclass(frozen=True, slots=True)
class Learners:
    """What is kept of all learners of this user. Methods raise ``PracticeTrouble``."""

    folder: Path

    def keep(self, done: Done) -> None:
        """Add a finished exercise to its learner's record; on the disk when this returns."""
        path = self.folder / file_name(done.learner)
        with _plainly():
            durable.append(path, written(done))

    def read(self, learner: str) -> Record:
        """All that is kept of a learner; an empty record for one who has not practised."""
        path = self.folder / file_name(learner)
        found = _sorted(_content(path), same_name(learner))
        name = found.done[-1].learner if found.done else learner.strip()
        return Record(name, found.done, tuple(_troubles(path, found)))

    def names(self) -> list[str]:
        """Everybody who has practised, as they last wrote their names."""
        with _plainly():
            paths = sorted(self.folder.glob(f"*{ENDING}")) if self.folder.is_dir() else []
        found = (_sorted(_content(path)).done for path in paths)
        return sorted((done[-1].learner for done in found if done), key=same_name)

    def set_aside(self, learner: str) -> int:
        """Move the damaged lines of a learner into a file beside; how many there were.

        They are in both files for a moment, never in neither. Not to be called while another
        window finishes an exercise of the same learner.
        """
        path = self.folder / file_name(learner)
        content = _content(path)
        found = _sorted(content, same_name(learner))
        if not found.damaged:
            return 0
        away = set(found.damaged)
        good = [line for at, line in enumerate(found.all) if at not in away]
        with _plainly():
            aside = b"".join(found.all[at] + b"\n" for at in found.damaged)
            durable.append(path.with_suffix(ASIDE), aside)
            if path.read_bytes() != content:
                raise PracticeTrouble("Another window is saving for this learner. Try again.")
            durable.write_whole(path, b"".join(line + b"\n" for line in good))
        return len(away)

    def erase(self, learner: str) -> int:
        """Take away everything of a learner; how many exercises there were."""
        path = self.folder / file_name(learner)
        count = len(_sorted(_content(path), same_name(learner)).done)
        with _plainly():
            for each in (path, path.with_suffix(ASIDE)):
                each.unlink(missing_ok=True)
            if self.folder.is_dir():
                durable.settle(self.folder)
        return count


def _content(path: Path) -> bytes:
    with _plainly():
        try:
            return path.read_bytes()
        except (FileNotFoundError, NotADirectoryError):
            return b""


def _sorted(content: bytes, whose: str | None = None) -> _Lines:
    lines = tuple(line for line in content.split(b"\n") if line.strip())
    done: list[Done] = []
    damaged: list[int] = []
    newer = 0
    for at, line in enumerate(lines):
        try:
            one = read(line)
        except Newer:
            newer += 1
        except ValueError:
            damaged.append(at)
        else:
            if whose is None or same_name(one.learner) == whose:
                done.append(one)
            else:
                damaged.append(at)
    return _Lines(lines, tuple(done), tuple(damaged), newer)


def _troubles(path: Path, found: _Lines) -> Iterator[str]:
    if found.damaged:
        many = len(found.damaged)
        yield (
            f"{'1 exercise is' if many == 1 else f'{many} exercises are'} damaged and left out. "
            f"Nothing was deleted: see {path}."
        )
    if found.newer:
        many = found.newer
        yield (
            f"{'1 exercise was' if many == 1 else f'{many} exercises were'} stored by a newer "
            "version and cannot be read here."
        )


@contextmanager
def _plainly() -> Iterator[None]:
    """Whatever the disk says as a ``PracticeTrouble``."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        said = f"The record of practice cannot be stored ({reason})."
        raise PracticeTrouble(said) from error
