"""A caller's file as values, taken as following its schema; nothing is judged here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, cast

from consult.marked.schema import load_schema, schema_problems
from consult.practice.bodies import Band
from consult.practice.model import Behaviour, Kind, Manner, Units
from consult.practice.ways import phrases_at
from consult.tree.shares import amount

if TYPE_CHECKING:
    from typing import Any

    from consult.marked.marks import Marked, Steps
    from consult.problems import Problem

SCHEMA = Path(__file__).with_name("caller.schema.json")
KEY = "practice"
"""The name at the top that makes a file a practice caller's."""
PLAIN = Manner()
"""How somebody speaks of whom a file says nothing."""


@dataclass(frozen=True, slots=True)
class CallerParts:
    """What a caller's file and a trait both may say of a caller."""

    opening: tuple[str, ...]
    truth: Mapping[str, str]
    says: Mapping[str, Mapping[str, tuple[str, ...]]]
    manner: Manner
    behaviours: tuple[Behaviour, ...]


def parts(marked: Marked) -> CallerParts:
    """All of it at once."""
    return CallerParts(
        opening=phrases_at(marked, ("opening",)),
        truth=listed_truth(marked),
        says=own_words(marked),
        manner=manner(marked),
        behaviours=behaviours(marked),
    )


def draws(marked: Marked) -> dict[str, str]:
    """Group of traits -> how many of them: "2", "1 to 3", or "40 in 100"."""
    return {name: marked.raw("draws", name) or "0" for name in marked.data.get("draws") or {}}


def file_problems(marked: Marked) -> list[Problem]:
    """What the file says that no caller's file may say."""
    return schema_problems(marked, load_schema(SCHEMA))


def bands(marked: Marked) -> dict[str, Band]:
    """Dimension -> where it lies, mm or kg."""
    found = {}
    for name in marked.data.get("body") or {}:
        said = amount(marked.raw("body", name))
        if said is not None:
            found[name] = Band(said.low, said.high)
    return found


def listed_truth(marked: Marked) -> dict[str, str]:
    """Question -> what the file says is true; several choices with commas between."""
    return {
        name: ", ".join(phrases_at(marked, ("truth", name)))
        for name in marked.data.get("truth") or {}
    }


def own_words(marked: Marked) -> dict[str, Mapping[str, tuple[str, ...]]]:
    """Question -> choice -> the caller's own words."""
    return {
        name: {choice: phrases_at(marked, ("says", name, choice)) for choice in block}
        for name, block in (marked.data.get("says") or {}).items()
    }


def manner(marked: Marked) -> Manner:
    """How the caller speaks."""
    block = marked.data.get("manner") or {}
    return Manner(
        units=cast("Units", block.get("units", "metric")),
        chatty=block.get("chatty") == "yes",
        hurry=block.get("hurry") == "yes",
        vague=float(block.get("vague", 0)) / 100,
        rounds=block.get("rounds") == "yes",
        way=block.get("way", "plain"),
    )


def behaviours(marked: Marked) -> tuple[Behaviour, ...]:
    """What goes wrong on the way, in the order of the file."""
    blocks = marked.data.get("behaviours") or []
    return tuple(_behaviour(marked, ("behaviours", at), one) for at, one in enumerate(blocks))


def _behaviour(marked: Marked, steps: Steps, block: Mapping[str, Any]) -> Behaviour:
    return Behaviour(
        name=block["name"],
        kind=cast("Kind", block["kind"]),
        at=block.get("at", ""),
        says=phrases_at(marked, (*steps, "says")),
        explain=marked.raw(*steps, "explain") or "",
        off=_off(marked.raw(*steps, "off"))[0],
        off_to=_off(marked.raw(*steps, "off"))[1],
        about=block.get("about", ""),
        answer=marked.raw(*steps, "answer") or "",
        mends=phrases_at(marked, (*steps, "mends")),
        denied_first=block.get("denied_first") == "yes",
    )


def _off(raw: str | None) -> tuple[float, float | None]:
    """ "-2 cm" in mm and "3 kg" in kg; nothing said is 0. "3 to 9 cm" is drawn between."""
    span, _, unit = (raw or "").rpartition(" ")
    low, _, high = span.partition(" to ")
    return _signed(low, unit) or 0.0, _signed(high, unit)


def _signed(figure: str, unit: str) -> float | None:
    found = amount(f"{figure.removeprefix('-')} {unit}") if figure else None
    if found is None:
        return None
    return -found.low if figure.startswith("-") else found.low
