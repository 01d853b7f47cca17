"""What an adviser does in a practice call, and the turn that comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Level = Literal["stop", "refer", "note"]


@dataclass(frozen=True, slots=True)
class Ask:
    """Ask a question as the tree words it. Asked a second time it counts as ``Again``."""

    question: str


@dataclass(frozen=True, slots=True)
class Coach:
    """Read the coaching out, then ask."""

    question: str


@dataclass(frozen=True, slots=True)
class Again:
    """Have it measured, or said, once more."""

    question: str


@dataclass(frozen=True, slots=True)
class Say:
    """Say a caution to the caller."""

    caution: str
    level: Level
    words: str
    """The exact words, blanks filled."""


@dataclass(frozen=True, slots=True)
class Recommend:
    """Name the chair and how to set it."""

    parts: tuple[str, ...]
    """Codes of the parts; empty where no chair could be named."""
    seat_height: float | None
    """mm; None where it could not be worked out."""
    words: str = ""
    """As read to the caller."""


@dataclass(frozen=True, slots=True)
class Close:
    """End the call."""


Act = Ask | Coach | Again | Say | Recommend | Close

_NAMES: dict[str, type[Act]] = {
    "ask": Ask,
    "coach": Coach,
    "again": Again,
    "say": Say,
    "recommend": Recommend,
    "close": Close,
}


@dataclass(frozen=True, slots=True)
class Turn:
    """One exchange: what the adviser did and said, what the caller answered, what it meant."""

    number: int
    """From 1, the opening; its place among the turns of the exercise."""
    act: Act | None
    """None for the opening."""
    adviser: str
    caller: str
    about: str = ""
    """The question asked; '' where none was."""
    shown: tuple[str, ...] = ()
    """Names of the behaviours that showed in this reply."""
    tells: Mapping[str, str] = field(default_factory=dict)
    """Question -> what a careful listener enters for it.

    Empty of the question asked where the reply gave no answer. An untrue remark (``contradicts``)
    and a wrong figure are in it as they were said.
    """
    true: Mapping[str, str] = field(default_factory=dict)
    """The same questions, and the one asked -> what is true."""


def act_json(act: Act | None) -> dict[str, Any] | None:
    """An act as plain data; None for the opening."""
    match act:
        case None:
            return None
        case Ask(question) | Coach(question) | Again(question):
            return {"act": _name(act), "question": question}
        case Say(caution, level, words):
            return {"act": "say", "caution": caution, "level": level, "words": words}
        case Recommend(parts, seat_height, words):
            return {
                "act": "recommend",
                "parts": list(parts),
                "seat_height": seat_height,
                "words": words,
            }
        case Close():
            return {"act": "close"}


def act_of(data: Mapping[str, Any] | None) -> Act | None:
    """The act of plain data; KeyError, TypeError or ValueError where it is none."""
    if data is None:
        return None
    rest = {name: value for name, value in data.items() if name != "act"}
    if data["act"] == "recommend":
        rest["parts"] = tuple(rest["parts"])
    return _NAMES[data["act"]](**rest)


def turn_json(turn: Turn) -> dict[str, Any]:
    """A turn as plain data."""
    return {
        "number": turn.number,
        "act": act_json(turn.act),
        "adviser": turn.adviser,
        "caller": turn.caller,
        "about": turn.about,
        "shown": list(turn.shown),
        "tells": dict(turn.tells),
        "true": dict(turn.true),
    }


def turn_of(data: Mapping[str, Any]) -> Turn:
    """The turn of plain data; KeyError, TypeError or ValueError where it is none."""
    rest = {name: value for name, value in data.items() if name not in ("act", "shown")}
    return Turn(act=act_of(data["act"]), shown=tuple(data["shown"]), **rest)


def _name(act: Act) -> str:
    return next(name for name, kind in _NAMES.items() if type(act) is kind)
