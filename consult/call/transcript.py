"""A recorded or invented call as a file: what was said, and what must come out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import yaml

from consult.call.call import IN_NO_TREE, Answer, Call, Handled
from consult.marked.schema import load_followed
from consult.problems import Problem, Where, nearest
from consult.tree.model import Question, plain_name

if TYPE_CHECKING:
    from consult.marked.marks import Marked
    from consult.units import System

TRANSCRIPT_VERSION = 1
"""Of a call file: raised when a key changes its meaning or goes."""
_SCHEMA = Path(__file__).with_name("transcript.schema.json")
_ODD_BREAKS = frozenset("\x85\u2028\u2029")
_BEGIN_NUMBERS = frozenset("0123456789+-.")
_TIME = re.compile(r"[0-9][0-9T:.+-]{0,38}")
_KEY = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,38}")
_WIDTH, _SHORT = 96, 40
"""Where the writer breaks a line; two texts this short and what stands before them reach no end."""


class _Writer(yaml.SafeDumper):
    """Quotes texts so that what is read back is what was said, to the character."""


def _text(writer: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    # Half a character pair cannot stand in UTF-8, so no file can keep it.
    whole = text.encode("utf-8", "replace").decode("utf-8")
    # Outside double quotes a reader turns rare line breaks into ordinary ones.
    # What begins like a number may be read as one, by rules stricter or looser than the writer's;
    # what begins with a space that is none is taken for a slip of somebody who writes by hand.
    first = whole[:1]
    unseen = not first.isascii() and not first.isalnum()
    quoted = _ODD_BREAKS.intersection(whole) or first in _BEGIN_NUMBERS or unseen
    style = '"' if whole and quoted else None
    return writer.represent_scalar("tag:yaml.org,2002:str", whole, style=style)


_Writer.add_representer(str, _text)


@dataclass(frozen=True, slots=True)
class Transcript:
    """One call file."""

    path: Path
    title: str
    tree: str
    call: Call
    expect: Mapping[str, object] = field(default_factory=dict)
    """What must come out, as written; see ``consult.call.expectation``."""
    expect_at: Mapping[str, Where] = field(default_factory=dict)
    answers_at: Mapping[str, Where] = field(default_factory=dict)
    """Where each question is first answered."""


def load_transcript(path: Path) -> tuple[Transcript | None, list[Problem]]:
    """Read a call file; None where it has errors, which stand among the problems."""
    marked, problems = load_followed(path, _SCHEMA)
    if marked is None or problems:
        return None, problems
    data = cast("dict[str, Any]", marked.data)
    raw_day = marked.raw("today") or ""
    try:
        today = date.fromisoformat(raw_day)
    except ValueError:
        why = f"'{raw_day}' is not a date."
        return None, [Problem(marked.value("today"), why, "Write it as 2026-11-25.", "bad-date")]
    when = _Times(marked)
    answers: list[Answer] = []
    places: dict[str, Where] = {}
    for at, entry in enumerate(data["answers"]):
        for question, answer in entry.items():
            places.setdefault(question, marked.key("answers", at, question))
            if isinstance(answer, dict):
                words = marked.raw("answers", at, question, "said") or ""
                note = marked.raw("answers", at, question, "note") or ""
                confirmed = _is_yes(answer.get("confirmed"))
                at_time = when.read("answers", at, question, "at")
                took = answer.get("took")
                seconds = None if took is None else float(took)
                answers.append(Answer(question, words, confirmed, note, at_time, seconds))
            else:
                answers.append(Answer(question, marked.raw("answers", at, question) or ""))
    handled = [
        Handled(
            marked.raw("handled", at, "caution") or "",
            row["after"],
            marked.raw("handled", at, "lifted") or "",
            when.read("handled", at, "at"),
        )
        for at, row in enumerate(data.get("handled") or [])
    ]
    if when.problems:
        return None, when.problems
    system = cast("System", data.get("units", "metric"))
    call = Call(today, system, str(data.get("country", "GB")), tuple(answers), tuple(handled))
    expect = data.get("expect") or {}
    return Transcript(
        path=path,
        title=str(data["transcript"]),
        tree=str(data["tree"]),
        call=call,
        expect=expect,
        expect_at={name: marked.key("expect", name) for name in expect},
        answers_at=places,
    ), problems


def transcripts_in(folder: Path) -> list[Transcript]:
    """The call files of a folder, by name; those with errors left out."""
    read = (load_transcript(path)[0] for path in sorted(folder.glob("*.yaml")))
    return [transcript for transcript in read if transcript is not None]


class _Times:
    """Reads times of day, gathering what is wrong with them."""

    def __init__(self, marked: Marked) -> None:
        self.marked = marked
        self.problems: list[Problem] = []

    def read(self, *path: str | int) -> datetime | None:
        """The time at a place; None where there is none."""
        raw = self.marked.raw(*path)
        if raw is None:
            return None
        try:
            return datetime.fromisoformat(raw)
        except ValueError:
            message, right = f"'{raw}' is not a time.", "Write it as 2026-11-25T10:15:00."
            self.problems.append(Problem(self.marked.value(*path), message, right, "bad-time"))
            return None


def unknown_questions(transcript: Transcript, questions: Mapping[str, Question]) -> list[Problem]:
    """Answers to questions the tree does not have, by no name."""
    known = {name for question in questions.values() for name in question.names}
    return [
        Problem(
            where,
            f"The tree '{transcript.tree}' has no question '{name}'.",
            nearest(name, questions),
            "unknown-question",
        )
        for name, where in transcript.answers_at.items()
        if plain_name(name) not in known and name not in IN_NO_TREE
    ]


def write_transcript(
    call: Call, tree: str, title: str, expect: Mapping[str, object] | None = None
) -> str:
    """The text of a call file that replays to the same state; ``expect`` is what must come out.

    Every character of an answer comes back as it was, but for lone surrogates, which become "?".
    """

    def entry(answer: Answer) -> dict[str, Any]:
        if not (answer.confirmed or answer.note or answer.at or answer.took is not None):
            return {answer.question: answer.said}
        details: dict[str, Any] = {"said": answer.said}
        if answer.confirmed:
            details["confirmed"] = "yes"
        if answer.note:
            details["note"] = answer.note
        if answer.at:
            details["at"] = answer.at.isoformat()
        if answer.took is not None:
            details["took"] = round(answer.took, 1)
        return {answer.question: details}

    def dealt_with(handled: Handled) -> dict[str, Any]:
        details: dict[str, Any] = {"caution": handled.caution, "after": handled.after}
        if handled.lifted:
            details["lifted"] = handled.lifted
        if handled.at:
            details["at"] = handled.at.isoformat()
        return details

    content: dict[str, Any] = {
        "transcript": title,
        "format": TRANSCRIPT_VERSION,
        "tree": tree,
        "today": call.today.isoformat(),
        "units": call.system,
        "country": call.country,
        "answers": [entry(answer) for answer in call.answers],
    }
    if call.handled:
        content["handled"] = [dealt_with(handled) for handled in call.handled]
    if expect:
        content["expect"] = dict(expect)
    return "".join(_written(content))


def _written(content: Mapping[str, Any]) -> Iterator[str]:
    """What ``_dumped`` gives, in a twentieth of the time: exports hold thousands of calls."""
    for key, value in content.items():
        if value and key in ("answers", "handled"):
            yield f"{key}:\n"
            for entry in value:
                lines = _lines(entry)
                yield "- " + "\n  ".join(lines) + "\n" if lines else _dumped([entry])
        else:
            lines = _lines({key: value}) if isinstance(value, (str, int)) else []
            yield f"{lines[0]}\n" if lines else _dumped({key: value})


def _lines(entry: Mapping[str, Any]) -> list[str]:
    """An entry whose texts are short and take a line each; else nothing."""
    lines = []
    for key, value in entry.items():
        within = _lines(value) if isinstance(value, dict) else []
        # Apart by how they are written, since 1, 1.0 and True are equal, and 0.0 and -0.0.
        message = "" if isinstance(value, dict) else _on_a_line(repr(value), value)
        name = _on_a_line(repr(key), key) if _KEY.fullmatch(key) else ""
        if not name or not (within or message):
            return []
        lines += (
            [f"{name}: {message}"] if message else [f"{name}:", *(f"  {line}" for line in within)]
        )
    return lines


@lru_cache(maxsize=4096)
def _on_a_line(apart: str, value: str | float) -> str:  # noqa: ARG001
    """A value as it stands on a line of its own; '' where it takes more than one, or much of it."""
    if isinstance(value, str) and _TIME.fullmatch(value):
        return f'"{value}"'
    line, *others = _dumped([value]).removesuffix("\n").split("\n")
    return "" if others or len(line) > _SHORT else line.removeprefix("- ")


def _dumped(content: object) -> str:
    written: str = yaml.dump(
        content, Dumper=_Writer, allow_unicode=True, sort_keys=False, width=_WIDTH
    )
    return written


def _is_yes(value: object) -> bool:
    return value is True or str(value).lower() in ("yes", "true")
