"""A YAML file as plain data in which every name and value knows its line and column.

Scalars are read our own way: only ``true`` and ``false`` are truth values, so ``no``, ``on`` and
``off`` stay text, and the text as written is kept beside every number (2026.10 is not 2026.1).
Anchors, aliases, tags and second documents are refused: nothing here needs them, and they are how
a small file becomes a huge one.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from consult.marked.plain import plain_value
from consult.marked.yaml_pitfalls import (
    grown_together,
    in_plain_words,
    not_text,
    not_utf8,
    odd_space,
    remark_after,
)
from consult.problems import Problem, Where, shortened
from consult.recall import recall

Steps = tuple[str | int, ...]
"""The way from the top of a file to a piece of it: names of a block, positions in a list."""

Texts = Mapping[Path, str]
"""Texts being edited, to be read in place of the files of these paths, saved or not."""

MAX_BYTES = 2_000_000
_MAX_DEPTH = 40

BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What YAML takes for the end of a line."""
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")
# The parser written in C gives the same marks as the one in Python, some ten times faster.
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


Spot = tuple[int, int]
"""Line and column, from 1."""


class _Spot(NamedTuple):
    at: Spot
    raw: str | None = None
    inner: int | None = None
    """Columns from there to the first character of a one-line text; None where it wraps."""
    hollow: str = ""
    """'#' where a comment, '>' where the beginning of a folded text stands in place of a value."""


@dataclass(frozen=True, slots=True)
class Marked:
    """What a file says, and where it says it."""

    file: str
    data: Any
    """Blocks as dict, lists as list, scalars as str, int, float, bool or None."""
    values: Mapping[Steps, _Spot]
    keys: Mapping[Steps, Spot]
    digest: str
    """Of the text; the same text, whatever the file is called, has the same."""

    def value(self, *steps: str | int) -> Where:
        """Where the value stands; for one that is not there, the nearest thing around it."""
        while steps not in self.values and steps:
            steps = steps[:-1]
        return Where(self.file, *self.values[steps].at)

    def key(self, *steps: str | int) -> Where:
        """Where the name of the value stands; list items have none and give their own place."""
        at = self.keys.get(steps)
        return Where(self.file, *at) if at else self.value(*steps)

    def raw(self, *steps: str | int) -> str | None:
        """The scalar's text as it reads, before any number or truth value is made of it."""
        spot = self.values.get(steps)
        return spot.raw if spot else None

    def hollow(self, *steps: str | int) -> str:
        """What stands in place of a value that is not there: '#', '>', or ''."""
        spot = self.values.get(steps)
        return spot.hollow if spot else ""

    def inside(self, steps: Steps, offset: int) -> Where:
        """Where a character of a text stands; the start of the text if it runs over lines."""
        spot = self.values.get(steps)
        if spot is None or spot.inner is None:
            return self.value(*steps)
        line, column = spot.at
        return Where(self.file, line, column + spot.inner + offset)


def load_marked(path: Path, texts: Texts | None = None) -> tuple[Marked | None, list[Problem]]:
    """Read one file. Whatever is wrong with it comes back as problems, never as an exception."""
    file = str(path)
    if texts is None or path not in texts:
        text = _read(path)
    elif len(texts[path].encode("utf-8", "replace")) > MAX_BYTES:
        text = _too_large(file)
    else:
        text = texts[path].removeprefix("\ufeff")
    if isinstance(text, Problem):
        return None, [text]
    marked, problems = _parsed(text, file)
    return marked, list(problems)


def is_there(path: Path, texts: Texts | None = None) -> bool:
    """Whether there is such a file, on disk or among the texts being edited."""
    return (texts is not None and path in texts) or path.is_file()


@lru_cache(maxsize=256)
def _parsed(text: str, file: str) -> tuple[Marked | None, tuple[Problem, ...]]:
    """Texts being edited are read again after every key, though one of them changed at most; and
    files by every tree of a folder that takes them in, and in every copy of it."""
    if sound := _sound.get(text):
        return replace(sound, file=file), ()
    marked, problems = parse_marked(text, file)
    if marked is not None and not problems:
        recall(_sound, text, 256, lambda: marked)
    return marked, tuple(problems)


_sound: dict[str, Marked] = {}
"""By its text, whatever the file is called."""


def parse_marked(text: str, file: str) -> tuple[Marked | None, list[Problem]]:
    """The same for text already read; ``file`` is the name said in problems."""
    problem = not_text(text, file)
    if problem is not None:
        return None, [problem]
    odd = _CONTROL.search(text)
    if odd:
        at = odd.start()
        where = Where(file, text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))
        message = "There is a control character here. The file must be plain text."
        return None, [Problem(where, message, "Delete it.", "control-character")]
    composer = _Composer(file, text.splitlines())
    try:
        data = composer.document(yaml.parse(text, Loader=LOADER))
    except yaml.YAMLError as error:
        problems = (*composer.problems, in_plain_words(error, text, file))
        return None, list(dict.fromkeys(problems))
    except _ReadingError:
        return None, composer.problems
    if composer.refused:
        return None, composer.problems
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return Marked(file, data, composer.values, composer.keys, digest), composer.problems


def _read(path: Path) -> str | Problem:
    where = Where(str(path), 1, 1)
    try:
        if path.exists() and not path.is_file():
            return Problem(where, "This is not a file.", "Name a YAML file.", "not-a-file")
        with path.open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
    except FileNotFoundError:
        message = "There is no such file."
        return Problem(where, message, "Check the name and the folder.", "missing-file")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not a file name"
        message = f"The file cannot be read: {reason}."
        return Problem(where, message, "Check that you are allowed to open it.", "unreadable-file")
    if len(content) > MAX_BYTES:
        return _too_large(str(path))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        problem = not_text(content[:8].decode("latin-1"), str(path))
        if problem is not None:
            return problem
        before = content[: error.start]
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace"))
        where = Where(str(path), before.count(b"\n") + 1, column + 1)
        return Problem(where, *not_utf8(content, error.start), "not-utf8")


def _too_large(file: str) -> Problem:
    message = "The file is larger than 2 MB."
    return Problem(Where(file, 1, 1), message, "Split it into smaller files.", "large-file")


class _ReadingError(Exception):
    """Reading cannot usefully go on; the reason is among the problems."""


class _Composer:
    """Builds the data from the parser's events, so that a limit stops it before memory does."""

    def __init__(self, file: str, lines: Sequence[str]) -> None:
        self.file = file
        self.lines = lines
        self.problems: list[Problem] = []
        self.values: dict[Steps, _Spot] = {}
        self.keys: dict[Steps, Spot] = {}
        self.refused = False

    def document(self, events: Iterator[yaml.Event]) -> Any:
        data: Any = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    message = (
                        "A second document starts here with ---, but a file can hold only one."
                    )
                    fix = "Delete the ---, or move the rest to another file."
                    self._refuse(event, message, fix, "several-documents")
                    raise _ReadingError
            elif not isinstance(
                event, (yaml.StreamStartEvent, yaml.StreamEndEvent, yaml.DocumentEndEvent)
            ):
                data = self._node(event, events, ())
        if not self.refused and data is None:
            where = Where(self.file, 1, 1)
            message = "The file is empty."
            self.problems.append(Problem(where, message, "Write the file.", "empty-file"))
            raise _ReadingError
        return data

    def _node(self, event: Any, events: Iterator[yaml.Event], steps: Steps) -> Any:
        at = self._at(event)
        if event.anchor is not None:
            message = "A text cannot start with & or *: YAML reads that as a reference."
            fix = "Put the text in quotes or after >- on the next line; write repeated parts out."
            self._refuse(event, message, fix, "no-references")
            if isinstance(event, yaml.AliasEvent):
                return None
        if event.tag is not None:
            message = "A text cannot start with !: YAML reads that as a type."
            fix = "Put the text in quotes, or delete the word that starts with !."
            self._refuse(event, message, fix, "no-tags")
        if len(steps) > _MAX_DEPTH:
            message = f"This is nested more than {_MAX_DEPTH} deep."
            self._refuse(event, message, "Move the block to a higher level.", "deep")
            raise _ReadingError
        if isinstance(event, yaml.ScalarEvent):
            plain = bool(event.implicit[0]) and event.style in (None, "")
            inner = 0 if plain else 1
            start: Any = event.start_mark
            end: Any = event.end_mark
            width = end.column - start.column - 2 * inner
            literal = start.line == end.line and width == len(event.value)
            hollow = "" if event.value else self._in_place_of(event)
            self.values[steps] = _Spot(at, event.value, inner if literal else None, hollow)
            if plain and event.value:
                self._look_at(event)
            return plain_value(event.value) if plain else event.value
        self.values[steps] = _Spot(at)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._list(events, steps)
        return self._block(events, steps)

    def _list(self, events: Iterator[yaml.Event], steps: Steps) -> list[Any]:
        items: list[Any] = []
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            items.append(self._node(event, events, (*steps, len(items))))
        return items

    def _block(self, events: Iterator[yaml.Event], steps: Steps) -> dict[str, Any]:
        block: dict[str, Any] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            if not isinstance(event, yaml.ScalarEvent):
                message = "A name is expected before the ':' here, not a list or block."
                self._refuse(event, message, "Put text with brackets in quotes.", "name-expected")
                raise _ReadingError
            name = self._without_odd_spaces(event)
            inside = (*steps, name)
            if name in block:
                first, _ = self.keys[inside]
                message = (
                    f"'{shortened(name)}' is here a second time. The first is on line {first}."
                )
                fix, code = "Delete one of the two or rename it.", "duplicate-name"
                where = self._where(event)
                last = next(reversed(block))
                if block[last] is None and steps:
                    message = f"'{shortened(last)}' is indented as if it belonged to '{steps[-1]}'."
                    fix = f"Indent it like '{steps[-1]}', if it is one of its own."
                    where, code = Where(self.file, *self.keys[(*steps, last)]), "indentation"
                if not any(problem.where == where for problem in self.problems):
                    self.problems.append(Problem(where, message, fix, code))
                self._drop(events)
                continue
            self.keys[inside] = self._at(event)
            if event.anchor is not None or event.tag is not None:
                self._node(event, events, inside)
            value: Any = next(events)
            block[name] = self._node(value, events, inside)
            dashed = isinstance(value, yaml.ScalarEvent) and value.value[:1] == "-"
            below = dashed and value.start_mark.line + 1 > self.keys[inside][0]
            if below and not value.style:
                # Below its name it was meant as a list.
                self._check_dash(value)
        return block

    def _without_odd_spaces(self, event: yaml.ScalarEvent) -> str:
        """A name as it was meant; what is wrong with it is noted."""
        name: str = event.value
        self._check_dash(event)
        if name.isascii() or not self._note(odd_space(name, self._where(event))):
            return name
        return "".join(filter(str.isprintable, name.strip()))

    def _look_at(self, event: yaml.ScalarEvent) -> None:
        """Note what a text without quotes begins or breaks off with unseen."""
        end = event.end_mark
        if not event.value[0].isascii():
            self._note(odd_space(event.value[0], self._where(event)))
        line = self.lines[end.line] if end is not None and end.line < len(self.lines) else ""
        if end is not None and end.column < len(line):
            self._note(remark_after(event.value, line, self.file, end))

    def _note(self, problem: Problem | None) -> bool:
        """Whether there is one."""
        if problem is not None:
            self.problems.append(problem)
        return problem is not None

    def _in_place_of(self, event: yaml.ScalarEvent) -> str:
        """What stands where a value should, though it says nothing."""
        if event.style in (">", "|"):
            return ">"
        start = event.start_mark
        line = self.lines[start.line] if start and start.line < len(self.lines) else ""
        after = line[start.column :].lstrip(" :") if start else ""
        return "#" if after.startswith("#") else ""

    def _check_dash(self, event: yaml.ScalarEvent) -> None:
        if event.value[:1] == "-" and event.value[1:2].isalpha():
            self.refused = True
            self.problems.append(grown_together(self._where(event)))

    def _drop(self, events: Iterator[yaml.Event]) -> None:
        depth = 0
        for event in events:
            if isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
                depth += 1
            elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                depth -= 1
            if depth == 0:
                return

    def _at(self, event: Any) -> Spot:
        """Events of a text that was parsed have their place."""
        mark = event.start_mark
        return mark.line + 1, mark.column + 1

    def _where(self, event: Any) -> Where:
        return Where(self.file, *self._at(event))

    def _refuse(self, event: yaml.Event, message: str, fix: str, rule: str) -> None:
        self.refused = True
        self.problems.append(Problem(self._where(event), message, fix, rule))
