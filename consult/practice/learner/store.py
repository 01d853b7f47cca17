"""The learners' records: a folder with one file of lines for each learner; a file for the trainer.

Lines are only ever added. A damaged one is passed over and told of, and stays in the file.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import platformdirs

from consult import durable
from consult.practice.learner.done import Done, LearnerRecord, PracticeTrouble, done_json, done_of
from consult.visible import BOM, guarded, visible

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
        message = f"{chosen} starts with a user name unknown on this machine. Type the whole path."
        raise PracticeTrouble(message) from error


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
        form = data.get("form") if isinstance(data, dict) else None
        if isinstance(form, int) and form > LINE_FORM:
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
        lines = _sorted(_content(path), same_name(learner))
        name = lines.done[-1].learner if lines.done else learner.strip()
        return LearnerRecord(name, lines.done, tuple(_troubles(path, lines)))

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


def _sorted(content: bytes, whose: str) -> _Lines:
    done: list[Done] = []
    damaged = newer = 0
    for line in filter(bytes.strip, content.split(b"\n")):
        try:
            exercise = read_line(line)
        except NewerLine:
            newer += 1
        except ValueError:
            damaged += 1
        else:
            if same_name(exercise.learner) == whose:
                done.append(exercise)
            else:
                damaged += 1
    return _Lines(tuple(done), damaged, newer)


def _troubles(path: Path, lines: _Lines) -> Iterator[str]:
    if many := lines.damaged:
        those = "1 exercise is" if many == 1 else f"{many} exercises are"
        yield f"{those} damaged and left out. Nothing was deleted: see {path}."
    if many := lines.newer:
        those = "1 exercise was" if many == 1 else f"{many} exercises were"
        yield f"{those} stored by a newer version and cannot be read here."


@contextmanager
def _plainly() -> Iterator[None]:
    """Whatever the disk says as a ``PracticeTrouble``."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        message = f"The record of practice cannot be stored ({reason})."
        raise PracticeTrouble(message) from error


# -- as a file for the trainer, and what a trainer's program reads back ---------------------------

_BREAKS = re.compile("\r\n|[\n\r\t\v\f\x85\u2028\u2029]")


def on_one_line(text: str) -> str:
    """The text on one line, unable to do anything to a terminal or to what stands beside it."""
    return visible(_BREAKS.sub(" ", text))


def cell(text: str) -> str:
    return guarded(on_one_line(text))


def learner_csv(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table with its headings, a row a line."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([cell(text) for text in row] for row in rows)
    return BOM + written.getvalue()


_YES = {True: "yes", False: "no"}
KIND = "consult practice record"
FORM = 1
SCORE_COLUMNS = (
    *("learner", "day", "caller", "seed", "level", "total", "out_of", "passed"),
    *("criterion", "item", "got", "of", "fails", "turn", "behaviour", "why", "better"),
)


def export_json(record: LearnerRecord, *, logs: bool) -> str:
    """Everything of a learner; ``logs`` takes the conversations in.

    Troubles are in it, so that the trainer sees where something is missing.
    """
    data = {
        "kind": KIND,
        "form": FORM,
        "learner": record.learner,
        "exercises": [
            done_json(exercise if logs else replace(exercise, log={})) for exercise in record.done
        ],
        "troubles": list(record.troubles),
    }
    return json.dumps(data, indent=1, allow_nan=False) + "\n"


def read_export(text: str, file: str) -> LearnerRecord:
    """The record of an export; ``PracticeTrouble`` in words, naming ``file``, where it is none."""
    name = on_one_line(file)
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        message = f"{name} is not an exported record of practice, or it is damaged."
        raise PracticeTrouble(message) from error
    if not isinstance(data, dict) or data.get("kind") != KIND:
        raise PracticeTrouble(f"{name} is not an exported record of practice.")
    if data.get("form") != FORM:
        message = f"{name} was written by another version of consult. Ask for a new export."
        raise PracticeTrouble(message)
    try:
        troubles = tuple(str(one) for one in data["troubles"])
        done = tuple(done_of(one) for one in data["exercises"])
        learner = data["learner"]
        if not isinstance(learner, str):
            raise TypeError(learner)
        return LearnerRecord(learner, done, troubles)
    except (KeyError, TypeError, ValueError) as error:
        message = f"{name} is damaged. Ask for a new export."
        raise PracticeTrouble(message) from error


def export_csv(record: LearnerRecord) -> str:
    """Every item of the score that came up as a row, for a spreadsheet; without conversations."""
    return learner_csv(SCORE_COLUMNS, (row for exercise in record.done for row in _rows(exercise)))


def figure_text(value: float) -> str:
    """A number as people write it: 7 or 7.5."""
    return f"{round(value, 2):g}"


def _rows(done: Done) -> Iterator[tuple[str, ...]]:
    about = (
        *(done.learner, done.day.isoformat(), done.caller, str(done.seed), done.level),
        *(figure_text(done.total), figure_text(done.out_of), _YES[done.passed]),
    )
    for item in (score_item for score_item in done.marks if score_item.came_up):
        yield (
            *(*about, item.criterion, item.name, figure_text(item.got), figure_text(item.of)),
            *(_YES[item.fails], str(item.turn), item.behaviour, item.why, item.better),
        )
    if not done.marks:
        yield (*about, *[""] * (len(SCORE_COLUMNS) - len(about)))
