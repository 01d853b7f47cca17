"""Whether a behaviour that no mark speaks of was noticed, by what the adviser did after it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.call.understand import understand
from consult.practice.log import Entered, Spoke
from consult.practice.model import MEASUREMENT, WITHHOLDS
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.practice.acts import Turn
    from consult.practice.log import Event, Log
    from consult.practice.model import Behaviour, Persona

_SAME = 1.0
"""mm or kg between two ways of saying one figure."""


def noticed(one: Behaviour, persona: Persona, log: Log) -> bool | None:
    """None where it never showed, or where nothing the adviser does would tell."""
    showed = [(turn, log.events[at + 1 :]) for at, turn in _spoken(log) if one.name in turn.shown]
    if not showed:
        return None
    if one.kind in MEASUREMENT | WITHHOLDS:
        # Fetching the tape, or the one who will sit, mends it for every question after.
        return any(_asked(turn.about, later) for turn, later in showed)
    if one.kind == "contradicts":
        return any(_asked(one.about, later) or _asked(turn.about, later) for turn, later in showed)
    if one.kind in ("volunteers", "sign_in_passing"):
        return any(_entered(one.about, later) for _, later in showed)
    if one.kind == "mixes_units":
        return all(_meant(turn, persona, log) for turn, _ in showed)
    return None


def _spoken(log: Log) -> Iterator[tuple[int, Turn]]:
    for at, event in enumerate(log.events):
        if isinstance(event, Spoke):
            yield at, event.turn


def _asked(question: str, later: tuple[Event, ...]) -> bool:
    return any(isinstance(each, Spoke) and each.turn.about == question for each in later)


def _entered(question: str, later: tuple[Event, ...]) -> bool:
    return any(
        isinstance(each, Entered) and each.taken and each.question == question for each in later
    )


def _meant(turn: Turn, persona: Persona, log: Log) -> bool:
    """Whether the figure entered in the end is the one that the caller meant."""
    told = turn.tells.get(turn.about)
    entries = [one.said for one in log.entries if one.taken and one.question == turn.about]
    if told is None or not entries:
        return told is None
    meant, entered = (_figure(persona, log, turn.about, said) for said in (told, entries[-1]))
    return meant is not None and entered is not None and abs(meant - entered) <= _SAME


def _figure(persona: Persona, log: Log, question: str, said: str) -> float | None:
    """What an entry means, mm or kg; of one by name, without the name before it."""
    words = said.lstrip("/").replace(":", " ").split()
    for at in range(len(words) if said.startswith("/") else 1):
        try:
            heard = understand(persona.questions[question], " ".join(words[at:]), log.began.date())
        except (Unclear, KeyError):
            continue
        return heard.value if isinstance(heard.value, float) else None
    return None
