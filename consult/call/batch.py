"""Many calls at once: a row of answers, each in a column named after its question, is a call.

Answers are read as at the desk. There a measure can only be held against those before it; here all
of a row are known, so each is held against all the others, and the order of the columns tells
nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, get_args

from consult.body.plausibility import TOGETHER
from consult.call.batch_columns import Column, letter, short
from consult.call.call import COUNTRY, Answer, Call
from consult.call.chosen_json import FACTS
from consult.call.private import without_health
from consult.call.route import outside
from consult.call.state import State, state_so_far, with_chair
from consult.call.understand import Understood, understand
from consult.problems import listed, nearest
from consult.units import System, Unclear

if TYPE_CHECKING:
    from datetime import date

    from consult.body.plausibility import Doubt
    from consult.call.basis import Basis
    from consult.tree.contacts import Contacts

HEALTH_UNCONSENTED = (
    "This answer is about health, and the row has no consent. Empty the cell, or put the "
    "person's own yes into the column consent."
)
HEALTH_UNCLEAR = (
    "This cannot be understood (not repeated here, because it is about health). Type the "
    "numbers or the first letters of the answers."
)


@dataclass(frozen=True, slots=True)
class Row:
    """One person's answers."""

    line: int
    """Where in the file the row begins, from 1."""
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Terms:
    """Units, country and other defaults of rows that name none."""

    today: date
    system: System = "metric"
    country: str = "GB"
    stand: bool = False
    """Odd measures are accepted as checked."""


@dataclass(frozen=True, slots=True)
class Bad:
    """One cell that keeps its row from being worked out."""

    place: int
    """Of its column, from 0."""
    heading: str
    say: str
    """What is wrong and what would be right."""


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """The result of a row."""

    line: int
    reference: str
    note: str
    system: System
    bad: tuple[Bad, ...] = ()
    """If there are any, nothing was worked out."""
    state: State | None = None
    """With its chair."""
    told: State | None = None
    """The same without any answer about health, and without its chair."""
    not_used: tuple[str, ...] = ()
    """Headings of answers to questions not asked on this route; never about health."""


def work(basis: Basis, columns: Sequence[Column], row: Row, terms: Terms) -> Worked:
    """Work out one row; no cell makes it fail."""
    # Nobody is asked, so no pool need look for what is worth it.
    basis = replace(basis, ask_pools=False)
    own = {one.own: _cell(row, one).strip() for one in columns if one.own}
    system, country, bad = _terms(own, columns, terms, basis.contacts)
    bad += _nameless(columns, row)
    asked = {
        one.question.name: (one, _cell(row, one))
        for one in columns
        if one.question is not None and _cell(row, one).strip()
    }
    heard, unclear, odd = _heard(asked, terms.today)
    bad += unclear if terms.stand else [*unclear, *odd]
    bad += _without_consent(asked, heard)
    worked = Worked(row.line, own.get("reference", ""), own.get("note", ""), system)
    if bad:
        return replace(worked, bad=tuple(bad))
    stood = {one.place for one in odd}
    answers = tuple(
        Answer(name, said, confirmed=column.place in stood)
        for name, (column, said) in asked.items()
    )
    if own.get("country"):
        answers = (*answers, Answer(COUNTRY, country))
    call = Call(terms.today, system, country, answers)
    now, doubts = _held_together(basis, call, stand=terms.stand)
    if doubts:
        measured = [column for column, _ in asked.values() if column.measures]
        return replace(worked, bad=tuple(_doubted(doubts, measured)))
    told = now
    if any(column.health for column, _ in asked.values()):
        told = state_so_far(basis, without_health(basis.tree, now.call))
    unused = [
        column.heading
        for name, (column, _) in asked.items()
        if not column.health and now.stopped is None and told.step(name) is None
    ]
    chosen = now if now.stopped else with_chair(basis, now)
    return replace(worked, state=chosen, told=told, not_used=tuple(unused))


def to_ask(basis: Basis, worked: Worked) -> tuple[str, ...]:
    """What to ask this person next, as headings: what the call cannot do without, then the
    answer that would make the choice surest. Never a question about health."""
    now, told = worked.state, worked.told
    if now is None or told is None or now.stopped is not None:
        return ()
    needed = [
        step.question.name
        for step in told.steps
        if step.status == "open"
        and not step.question.unknown_allowed
        and step.question.private != "health"
    ]
    best = now.chosen.worth_asking if now.chosen else None
    if best is not None and now.chosen and not now.chosen.settled:
        wanted = best.dimension
        asks = (q for q in basis.tree.questions.values() if wanted in (q.measures, q.sets))
        question = next(asks, None)
        if question is None or question.private != "health":
            label = FACTS.get(wanted) or basis.population.label(wanted)
            needed.append(question.name if question else label)
    return tuple(dict.fromkeys(needed))


def _terms(
    own: Mapping[str, str], columns: Sequence[Column], terms: Terms, contacts: Contacts
) -> tuple[System, str, list[Bad]]:
    """The units and the country of a row."""
    bad: list[Bad] = []
    at = {one.own: one for one in columns if one.own}
    system, country = terms.system, terms.country
    if said := own.get("units", "").casefold():
        systems: tuple[System, ...] = get_args(System)
        found = next((one for one in systems if one == said), None)
        if found is None:
            hint = nearest(said[:60], systems) or f"Type {listed(systems)}."
            bad.append(_bad(at["units"], f"“{short(said)}” is not a system of units. {hint}"))
        system = found or system
    if said := own.get("country", ""):
        code = contacts.find(said)
        if code is None:
            say = f"“{short(said)}” is not a known country. Type its two letters, e.g. GB or IE."
            bad.append(_bad(at["country"], say))
        country = code or country
    return system, country, bad


def _nameless(columns: Sequence[Column], row: Row) -> list[Bad]:
    """Cells that stand under no heading: most likely a comma too many before them."""
    named = {one.place for one in columns}
    for place, cell in enumerate(row.cells):
        if place not in named and cell.strip():
            say = f"“{short(cell)}” has no heading. Put a cell with separators in quotes."
            return [Bad(place, f"column {letter(place)}", say)]
    return []


def _heard(
    asked: Mapping[str, tuple[Column, str]], today: date
) -> tuple[dict[str, Understood], list[Bad], list[Bad]]:
    """What was understood; the cells that cannot be; the cells outside what is usual."""
    heard: dict[str, Understood] = {}
    unclear: list[Bad] = []
    odd: list[Bad] = []
    for name, (column, said) in asked.items():
        assert column.question is not None
        try:
            heard[name] = understand(column.question, said, today)
        except Unclear as asks:
            say = HEALTH_UNCLEAR if column.health else str(asks)
            unclear.append(_bad(column, say))
            continue
        if why := outside(column.question, heard[name]):
            odd.append(_bad(column, HEALTH_UNCLEAR if column.health else why))
    return heard, unclear, odd


def _without_consent(
    asked: Mapping[str, tuple[Column, str]], heard: Mapping[str, Understood]
) -> list[Bad]:
    consented = any(
        column.question is not None
        and column.question.sets == "consent"
        and name in heard
        and heard[name].value is True
        for name, (column, _) in asked.items()
    )
    health = [column for column, _ in asked.values() if column.health]
    return [] if consented else [_bad(column, HEALTH_UNCONSENTED) for column in health]


def _held_together(basis: Basis, call: Call, *, stand: bool) -> tuple[State, tuple[Doubt, ...]]:
    """The state, and the measures at odds with the others that nobody stands by."""
    now = state_so_far(basis, call)
    # Every round at least one more measure is stood by.
    while True:
        doubts = tuple(one for one in now.doubts if not one.confirmed)
        if not doubts or not stand:
            return now, doubts
        in_doubt = {one.dimension for one in doubts}
        answers = []
        for answer in call.answers:
            question = basis.tree.questions.get(answer.question)
            measures = question.measures if question else None
            stood = measures is not None and (measures in in_doubt or TOGETHER in in_doubt)
            answers.append(replace(answer, confirmed=answer.confirmed or stood))
        call = replace(call, answers=tuple(answers))
        now = state_so_far(basis, call)


def _doubted(doubts: Sequence[Doubt], measured: Sequence[Column]) -> Iterator[Bad]:
    for doubt in doubts:
        about = [column for column in measured if column.measures == doubt.dimension]
        for column in about or measured[:1]:
            yield _bad(column, doubt.message)


def _cell(row: Row, column: Column) -> str:
    """A row may end early: programs leave out the empty cells at its end."""
    return row.cells[column.place] if column.place < len(row.cells) else ""


def _bad(column: Column, say: str) -> Bad:
    return Bad(column.place, column.heading, say)
