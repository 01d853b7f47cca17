"""A caller's file as values, taken as following its schema; nothing is judged here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, cast

from consult.marked.marks import Marked, Steps
from consult.marked.schema import load_schema, schema_problems
from consult.practice.model import Behaviour, BehaviourKind, Manner, Units
from consult.practice.ways import phrases_at
from consult.problems import Problem
from consult.tree.shares import Amount, amount

CALLER_SCHEMA = Path(__file__).with_name("caller.schema.json")
FOLDER = "practice"
"""Of a folder of trees, where its practice callers stand."""
CALLER_KEY = "practice"
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
    return CallerParts(
        opening=phrases_at(marked, ("opening",)),
        truth=listed_truth(marked),
        says=own_words(marked),
        manner=manner(marked),
        behaviours=behaviours(marked),
    )


def piece(marked: Marked, data: Mapping[str, Any], what: str) -> Marked:
    """A part of a file, to be held against the schema; the digest tells it from the whole file."""
    return replace(marked, data=dict(data), digest=f"{marked.digest} {what}")


def draws(marked: Marked) -> dict[str, str]:
    """Group of traits -> how many of them: "2", "1 to 3", or "40 in 100"."""
    return {name: marked.raw("draws", name) or "0" for name in marked.data.get("draws") or {}}


def file_problems(marked: Marked) -> list[Problem]:
    """What the file says that no caller's file may say."""
    return schema_problems(marked, load_schema(CALLER_SCHEMA))


def bands(marked: Marked) -> dict[str, Amount]:
    """Dimension -> where it lies, mm or kg."""
    said = {name: amount(marked.raw("body", name)) for name in marked.data.get("body") or {}}
    return {name: one for name, one in said.items() if one is not None}


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
    return tuple(_behaviour(marked, ("behaviours", at), block) for at, block in enumerate(blocks))


def _behaviour(marked: Marked, steps: Steps, block: Mapping[str, Any]) -> Behaviour:
    off, off_to = _off(marked.raw(*steps, "off"))
    return Behaviour(
        name=block["name"],
        kind=cast("BehaviourKind", block["kind"]),
        at=block.get("at", ""),
        says=phrases_at(marked, (*steps, "says")),
        explain=marked.raw(*steps, "explain") or "",
        off=off or 0.0,
        off_to=off_to,
        about=block.get("about", ""),
        answer=marked.raw(*steps, "answer") or "",
        mends=phrases_at(marked, (*steps, "mends")),
        because=marked.raw(*steps, "because") or "",
        denied_first=block.get("denied_first") == "yes",
    )


def _off(raw: str | None) -> tuple[float | None, float | None]:
    """ "-2 cm" in mm and "3 kg" in kg; "3 to 9 cm" is drawn between. None for what is not said."""
    span, _, unit = (raw or "").rpartition(" ")
    low, _, high = span.partition(" to ")
    ends = [(end, amount(f"{end.removeprefix('-')} {unit}")) for end in (low, high)]
    first, last = (
        one.low * (-1 if end.startswith("-") else 1) if one else None for end, one in ends
    )
    return first, last


_TEXT = """\
# A practice caller. Keep the file beside the other callers (trees/practice), called as on the next
# line. Check it with: consult check {name}.yaml. All mistakes are reported at once.
# CALLERS.md in the folder trees/practice explains every key.
practice: {name}
# Shown before the call, so it gives nothing away. turns_out is shown after it.
title: A chair for the office
turns_out: The tape ended under the drawer.
tree: seating
# Of the one who will sit: female, male, or either (then the seed decides).
sex: either
# easy, middling or hard; leave it out, and it goes by how much there is to notice.
difficulty: easy
# The first words. One of them is said, by the seed.
opening:
  - Hello, it's about a chair for my desk.
  - Good morning. Could you help me find an office chair?
# Any measure of the body as a figure or a span. What is left out is drawn from the survey.
body:
  stature: 160 to 175 cm
# What is true, by the name of the question. What is left out gets a believable answer, no sign.
truth:
  who_sits: caller
  reasons: [chair_worn]
  consent: yes
  pain_sites: [none]
  desk_kind: fixed
  desk_height: 74 cm
# The caller's own words for an answer; else those of words.yaml.
says:
  reasons:
    chair_worn:
      - The old one is worn out.
# How they speak. units: metric, imperial or mixed; way: one of words.yaml; vague: of 100 answers.
manner: {{units: metric, way: plain, vague: 5}}
# Traits by the seed (traits.yaml): a number, a span, or a share.
draws:
  remark: 40 in 100
# What the adviser has to notice. kinds: wrong_tape, shoes_on, rounds (a figure is off); vague,
# hurry, interrupted, for_somebody_else (no answer yet); presses (at a question about warning signs,
# or at: stop); mixes_units, refuses_consent; and, about another question, volunteers, contradicts,
# sign_in_passing (about: and answer:).
behaviours:
  - name: up_to_the_drawer
    kind: wrong_tape
    at: desk_height
    off: -10 to -6 cm
    says:
      - I measured up to the drawer.
      - From the floor to the drawer, that's where it ends.
    mends:
      - Oh, up to the top. That's more.
    explain: >-
      The tape ended under the drawer. Ask where it ends, and have it measured again.
"""


def caller_template(name: str) -> str:
    """The file of a new caller, to be changed; ``name`` is that of the file."""
    return _TEXT.format(name=name)
