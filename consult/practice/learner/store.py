"""The learners' records: a folder with one file of lines for each learner.

Lines are only ever added. A damaged one is passed over and told of, and stays in the file.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import re
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import platformdirs

from consult import durable
from consult.practice.learner.done import Done, LearnerRecord, Met, PracticeTrouble
from consult.practice.model import level_called
from consult.practice.scoring.points import ScoreItem

T = TypeVar("T")
ENDING, ASIDE = ".jsonl", ".damaged"
"""Of a learner's file; of damaged lines that an earlier version put beside it."""
_NOT_PLAIN = re.compile(r"[^a-z0-9]+")
_LONGEST = 24
"""Letters of a name that are enough for a person to find the file by."""


def practice_place() -> Path:
    """What CONSULT_PRACTICE names, else ``practice`` in this user's data folder."""
    chosen = os.environ.get("CONSULT_PRACTICE")
    if not chosen:
        return Path(platformdirs.user_data_dir("consult")) / "practice"
    try:
        return Path(chosen).expanduser()
    except RuntimeError as error:
        said = f"{chosen} starts with a user name unknown on this machine. Type the whole path."
        raise PracticeTrouble(said) from error


def same_name(name: str) -> str:
    """What two ways of writing one learner's name have in common; '' for no name.

    Capital letters, blanks and how accents are typed make no difference.
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def file_name(learner: str) -> str:
    """The name of a learner's file: nothing in it that a file system would obey."""
    plain = same_name(learner)
    if not plain:
        raise PracticeTrouble("The name of the learner is empty. Type one.")
    digest = hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()[:16]
    slug = _NOT_PLAIN.sub("-", plain)[:_LONGEST].strip("-")
    return f"{slug or 'learner'}-{digest}{ENDING}"


def done_json(done: Done) -> dict[str, Any]:
    """An exercise as plain data, for ``json.dumps``."""
    return {
        "learner": done.learner,
        "day": done.day.isoformat(),
        "caller": done.caller,
        "seed": done.seed,
        "level": done.level,
        "total": done.total,
        "out_of": done.out_of,
        "passed": done.passed,
        "marks": [asdict(item) for item in done.items],
        "met": [asdict(one) for one in done.met],
        "log": dict(done.log),
    }


def done_of(data: Any) -> Done:
    """The exercise of plain data; ValueError in words where it is none."""
    try:
        return Done(
            learner=_a(str, data["learner"]),
            day=date.fromisoformat(data["day"]),
            caller=_a(str, data["caller"]),
            seed=_a(int, data["seed"]),
            level=level_called(data["level"]),
            total=_number(data["total"]),
            out_of=_number(data["out_of"]),
            passed=_a(bool, data["passed"]),
            items=tuple(_item(one) for one in data["marks"]),
            met=tuple(_met(one) for one in data["met"]),
            log=_a(dict, data.get("log", {})),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ValueError("This is not a finished exercise, or it is damaged.") from error


def _item(data: Mapping[str, Any]) -> ScoreItem:
    return ScoreItem(
        criterion=_a(str, data["criterion"]),
        name=_a(str, data["name"]),
        got=_number(data["got"]),
        of=_number(data["of"]),
        fails=_a(bool, data["fails"]),
        turn=_a(int, data["turn"]),
        why=_a(str, data["why"]),
        better=_a(str, data["better"]),
        behaviour=_a(str, data["behaviour"]),
        came_up=_a(bool, data.get("came_up", True)),
    )


def _met(data: Mapping[str, Any]) -> Met:
    noticed = data["noticed"]
    judged = None if noticed is None else _a(bool, noticed)
    return Met(_a(str, data["name"]), _a(str, data["kind"]), judged)


def _a(kind: type[T], value: Any) -> T:
    """The value, if it is of that kind; a yes or no is no number."""
    if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
        raise TypeError(value)
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise TypeError(value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(value)
    return number


LINE_FORM = 1


class NewerLine(Exception):  # noqa: N818 - nothing is wrong with the line
    """A newer version wrote the line; it is left alone."""


def written_line(done: Done) -> bytes:
    """The line, its end included; all in plain letters, whatever the texts hold."""
    data = done_json(done)
    line = {"form": LINE_FORM, "digest": _digest(data), "exercise": data}
    return json.dumps(line, allow_nan=False).encode("ascii") + b"\n"


def read_line(line: bytes) -> Done:
    """The exercise of a line; ValueError where it is damaged, ``Newer`` where not ours to read."""
    try:
        data = json.loads(line)
        if (
            isinstance(data, dict)
            and isinstance(data.get("form"), int)
            and data["form"] > LINE_FORM
        ):
            raise NewerLine
        exercise = data["exercise"]
        whole = data["form"] == LINE_FORM and data["digest"] == _digest(exercise)
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise ValueError("This line is damaged.") from error
    if not whole:
        raise ValueError("This line is damaged.")
    return done_of(exercise)


def _digest(data: Any) -> str:
    text = json.dumps(data, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of one file, by what can be made of them."""

    done: tuple[Done, ...]
    damaged: int
    newer: int


@dataclass(frozen=True, slots=True)
class Learners:
    """What is kept of all learners of this user. Methods raise ``PracticeTrouble``."""

    folder: Path

    def keep(self, done: Done) -> None:
        """Add a finished exercise to its learner's record; on the disk when this returns."""
        path = self.folder / file_name(done.learner)
        with _plainly():
            durable.append(path, written_line(done))

    def read(self, learner: str) -> LearnerRecord:
        """All that is kept of a learner; an empty record for one who has not practised."""
        path = self.folder / file_name(learner)
        found = _sorted(_content(path), same_name(learner))
        name = found.done[-1].learner if found.done else learner.strip()
        return LearnerRecord(name, found.done, tuple(_troubles(path, found)))

    def names(self) -> list[str]:
        """Everybody who has practised, as they last wrote their names."""
        with _plainly():
            paths = sorted(self.folder.glob(f"*{ENDING}")) if self.folder.is_dir() else []
        found = (_sorted(_content(path)).done for path in paths)
        return sorted((done[-1].learner for done in found if done), key=same_name)

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
    done: list[Done] = []
    damaged = newer = 0
    for line in filter(bytes.strip, content.split(b"\n")):
        try:
            one = read_line(line)
        except NewerLine:
            newer += 1
        except ValueError:
            damaged += 1
        else:
            if whose is None or same_name(one.learner) == whose:
                done.append(one)
            else:
                damaged += 1
    return _Lines(tuple(done), damaged, newer)


def _troubles(path: Path, found: _Lines) -> Iterator[str]:
    if found.damaged:
        many = found.damaged
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
