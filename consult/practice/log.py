"""A practice call as it went: acts, turns, events, and how long it took; as plain data and back.

A caller on the screen answers at once; a real one fetches a tape. So time is counted by what was
said and done: words at their usual speed, answers and tapes as at the call screen, and for a hint
the time that a caller would wait while the adviser asks somebody.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields
from datetime import datetime
from typing import Any

from consult.call.worth import TAPE_SECONDS, WORDS_A_SECOND, seconds_of, taped
from consult.practice.model import Guidance
from consult.tree.model import Level as CautionLevel
from consult.tree.model import Question


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
    level: CautionLevel
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
    """The question asked, coached or asked again; '' where none was."""
    shown: tuple[str, ...] = ()
    """Names of the behaviours that showed in this reply."""
    tells: Mapping[str, str] = field(default_factory=dict)
    """Question -> what a careful listener enters for it.

    Empty of the question asked where the reply gave no answer. An untrue remark (``contradicts``)
    and a wrong figure are in it as they were said.
    """
    true: Mapping[str, str] = field(default_factory=dict)
    """The same questions, and the one asked -> what is true."""


@dataclass(frozen=True, slots=True)
class Spoke:
    """The adviser did something and the caller answered."""

    turn: Turn
    at: datetime | None = None
    """None where no time was given."""


@dataclass(frozen=True, slots=True)
class Entered:
    """Something was typed into the answer line."""

    said: str
    """Exactly as typed."""
    question: str
    """The question meant; '' where none could be."""
    taken: bool
    tell: str
    """What the desk told the adviser."""
    at: datetime
    took: float | None = None
    """Seconds the question was before the adviser; None where nothing was taken."""
    confirmed: bool = False
    """It looked odd, and was entered once more to stand."""
    recorded: str = ""
    """The answer as the call recorded it; '' where nothing was."""


@dataclass(frozen=True, slots=True)
class Lifted:
    """A stop was lifted, or tried to be, for a reason."""

    reason: str
    taken: bool
    at: datetime


@dataclass(frozen=True, slots=True)
class Hinted:
    """A hint was taken."""

    text: str
    question: str
    """What it was about; '' where not one question."""
    cost: int


@dataclass(frozen=True, slots=True)
class Closed:
    """The call was ended."""

    at: datetime


Event = Spoke | Entered | Lifted | Hinted | Closed


@dataclass(frozen=True, slots=True)
class Log:
    """One exercise as it went; led again from the events it comes out the same."""

    persona: str
    tree: str
    """Name of the tree."""
    version: str
    """Of the tree."""
    seed: int
    level: Guidance
    began: datetime
    events: tuple[Event, ...] = ()

    @property
    def turns(self) -> tuple[Turn, ...]:
        """What was said by both."""
        return tuple(event.turn for event in self.events if isinstance(event, Spoke))

    @property
    def entries(self) -> tuple[Entered, ...]:
        return tuple(event for event in self.events if isinstance(event, Entered))

    @property
    def hints(self) -> tuple[Hinted, ...]:
        return tuple(event for event in self.events if isinstance(event, Hinted))

    def by_turn(self) -> Iterator[tuple[int, Event]]:
        """Every event, after the number of its turn, or else of the last turn; 0 before any."""
        number = 0
        for event in self.events:
            if isinstance(event, Spoke):
                number = event.turn.number
            yield number, event

    @property
    def recommended(self) -> Recommend | None:
        """The last recommendation; None where none was made."""
        recommends = [turn.act for turn in self.turns if isinstance(turn.act, Recommend)]
        return recommends[-1] if recommends else None

    @property
    def closed(self) -> datetime | None:
        """When the call was ended; None while it goes on."""
        return next((event.at for event in self.events if isinstance(event, Closed)), None)


def log_json(log: Log) -> dict[str, Any]:
    """A log as plain data, for ``json.dumps``."""
    return {field.name: _plain(getattr(log, field.name)) for field in fields(log)}


def _plain(value: Any) -> Any:
    """A piece of a log as plain data, an act or event with what it is."""
    match value:
        case datetime():
            return value.isoformat()
        case tuple():
            return [_plain(each) for each in value]
        case Mapping():
            return dict(value)
        case _ if isinstance(value, Turn | Act | Event):
            data = {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
            kind = "act" if isinstance(value, Act) else "event"
            return data if isinstance(value, Turn) else {kind: type(value).__name__.lower(), **data}
        case _:
            return value


HINT_SECONDS = 20.0
"""For which the caller waits while the adviser asks a colleague (common practice, no source)."""
SHORT_ANSWER_SECONDS = 4.0
"""What a caller says to anything that is no question, and to one left open (as above)."""


def call_minutes(log: Log, questions: Mapping[str, Question]) -> float:
    """Minutes of a call as it would have been on the telephone."""
    seconds = 0.0
    for event in log.events:
        if isinstance(event, Spoke):
            seconds += turn_seconds(event.turn, questions)
        elif isinstance(event, Hinted):
            seconds += HINT_SECONDS
    return seconds / 60


def turn_seconds(turn: Turn, questions: Mapping[str, Question]) -> float:
    """How long an act and its reply take."""
    question = questions.get(turn.about)
    if question is None:
        return len(turn.adviser.split()) / WORDS_A_SECOND + SHORT_ANSWER_SECONDS
    coaching = len(question.coach.split())
    read = coaching if isinstance(turn.act, Coach) else 0
    if turn.about not in turn.tells:
        return (len(question.ask.split()) + read) / WORDS_A_SECOND + SHORT_ANSWER_SECONDS
    tape = taped(question)
    # What stands for a taped question has its coaching in it, read out or not.
    seconds = seconds_of(question) + (read - (coaching if tape else 0)) / WORDS_A_SECOND
    if isinstance(turn.act, Again) and question.answer == "length" and not tape:
        # Known by heart the first time; once more means to the wall with a tape.
        seconds += TAPE_SECONDS
    return seconds
