"""Everything that happened in an exercise, in order; as plain data and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from consult.practice.acts import Recommend, Turn, turn_json, turn_of
from consult.practice.levels import Level, level_of


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
    """The answer as the call recorded it; '' where nothing was, and in logs of before."""


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

_NAMES: dict[str, type[Event]] = {
    "spoke": Spoke,
    "entered": Entered,
    "lifted": Lifted,
    "hinted": Hinted,
    "closed": Closed,
}


@dataclass(frozen=True, slots=True)
class Log:
    """One exercise as it went; led again from the events it comes out the same."""

    persona: str
    tree: str
    """Name of the tree."""
    version: str
    """Of the tree."""
    seed: int
    level: Level
    began: datetime
    events: tuple[Event, ...] = ()

    @property
    def turns(self) -> tuple[Turn, ...]:
        """What was said by both."""
        return tuple(one.turn for one in self.events if isinstance(one, Spoke))

    @property
    def entries(self) -> tuple[Entered, ...]:
        """What was typed."""
        return tuple(one for one in self.events if isinstance(one, Entered))

    @property
    def hints(self) -> tuple[Hinted, ...]:
        """The hints taken."""
        return tuple(one for one in self.events if isinstance(one, Hinted))

    @property
    def recommended(self) -> Recommend | None:
        """The last recommendation; None where none was made."""
        found = [turn.act for turn in self.turns if isinstance(turn.act, Recommend)]
        return found[-1] if found else None

    @property
    def closed(self) -> datetime | None:
        """When the call was ended; None while it goes on."""
        return next((one.at for one in self.events if isinstance(one, Closed)), None)


def log_json(log: Log) -> dict[str, Any]:
    """A log as plain data, for ``json.dumps``."""
    return {
        "persona": log.persona,
        "tree": log.tree,
        "version": log.version,
        "seed": log.seed,
        "level": log.level,
        "began": log.began.isoformat(),
        "events": [_event_json(one) for one in log.events],
    }


def log_of(data: Mapping[str, Any]) -> Log:
    """The log of plain data; ValueError in words where it is none."""
    try:
        return Log(
            persona=str(data["persona"]),
            tree=str(data["tree"]),
            version=str(data["version"]),
            seed=int(data["seed"]),
            level=level_of(data["level"]),
            began=datetime.fromisoformat(data["began"]),
            events=tuple(_event_of(one) for one in data["events"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ValueError("This is not the log of an exercise, or it is damaged.") from error


def _event_json(event: Event) -> dict[str, Any]:
    kind = next(name for name, each in _NAMES.items() if type(event) is each)
    if isinstance(event, Spoke):
        return {"event": kind, "turn": turn_json(event.turn), "at": _written(event.at)}
    fields = {name: getattr(event, name) for name in type(event).__slots__}
    if "at" in fields:
        fields["at"] = _written(fields["at"])
    return {"event": kind, **fields}


def _event_of(data: Mapping[str, Any]) -> Event:
    rest = {name: value for name, value in data.items() if name != "event"}
    if rest.get("at") is not None:
        rest["at"] = datetime.fromisoformat(rest["at"])
    if data["event"] == "spoke":
        return Spoke(turn_of(data["turn"]), rest["at"])
    return _NAMES[data["event"]](**rest)


def _written(at: datetime | None) -> str | None:
    return at.isoformat() if at is not None else None
