"""Many calls at once: a row of answers, each in a column named after its question, is a call.

Answers are read as at the desk. There a measure can only be held against those before it; here all
of a row are known, so each is held against all the others, and the order of the columns tells
nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, get_args

from consult.body.plausibility import TOGETHER, Doubt
from consult.call.call import COUNTRY, Answer, Call, without_health
from consult.call.fit_json import FACT_WORDS
from consult.call.route import outside
from consult.call.state import State, state_so_far, with_chair
from consult.call.understand import Understood, understand
from consult.problems import Problem, Where, listed, nearest
from consult.tree.model import Question, Tree, plain_name
from consult.units import System, Unclear

if TYPE_CHECKING:
    from datetime import date

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
class PersonRow:
    """One person's answers."""

    line: int
    """Where in the file the row begins, from 1."""
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RowDefaults:
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


def work(
    basis: Basis, columns: Sequence[BatchColumn], row: PersonRow, terms: RowDefaults
) -> Worked:
    """Work out one row; no cell makes it fail."""
    # Nobody is asked, so no pool need look for what is worth it.
    basis = replace(basis, ask_pools=False)
    own = {column.own: _cell(row, column).strip() for column in columns if column.own}
    system, country, bad = _terms(own, columns, terms, basis.contacts)
    bad += _nameless(columns, row)
    asked = {
        column.question.name: (column, _cell(row, column))
        for column in columns
        if column.question is not None and _cell(row, column).strip()
    }
    heard, unclear, odd = _heard(asked, terms.today)
    bad += unclear if terms.stand else [*unclear, *odd]
    bad += _without_consent(asked, heard)
    worked = Worked(row.line, own.get("reference", ""), own.get("note", ""), system)
    if bad:
        return replace(worked, bad=tuple(bad))
    stood = {problem.place for problem in odd}
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
            label = FACT_WORDS.get(wanted) or basis.population.label(wanted)
            needed.append(question.name if question else label)
    return tuple(dict.fromkeys(needed))


def _terms(
    own: Mapping[str, str], columns: Sequence[BatchColumn], terms: RowDefaults, contacts: Contacts
) -> tuple[System, str, list[Bad]]:
    """The units and the country of a row."""
    bad: list[Bad] = []
    at = {column.own: column for column in columns if column.own}
    system, country = terms.system, terms.country
    if said := own.get("units", "").casefold():
        systems: tuple[System, ...] = get_args(System)
        found = next((known for known in systems if known == said), None)
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


def _nameless(columns: Sequence[BatchColumn], row: PersonRow) -> list[Bad]:
    """Cells that stand under no heading: most likely a comma too many before them."""
    named = {column.place for column in columns}
    for place, cell in enumerate(row.cells):
        if place not in named and cell.strip():
            say = f"“{short(cell)}” has no heading. Put a cell with separators in quotes."
            return [Bad(place, f"column {letter(place)}", say)]
    return []


def _heard(
    asked: Mapping[str, tuple[BatchColumn, str]], today: date
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
    asked: Mapping[str, tuple[BatchColumn, str]], heard: Mapping[str, Understood]
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
        doubts = tuple(doubt for doubt in now.doubts if not doubt.confirmed)
        if not doubts or not stand:
            return now, doubts
        in_doubt = {doubt.dimension for doubt in doubts}
        answers = []
        for answer in call.answers:
            question = basis.tree.questions.get(answer.question)
            measures = question.measures if question else None
            stood = measures is not None and (measures in in_doubt or TOGETHER in in_doubt)
            answers.append(replace(answer, confirmed=answer.confirmed or stood))
        call = replace(call, answers=tuple(answers))
        now = state_so_far(basis, call)


def _doubted(doubts: Sequence[Doubt], measured: Sequence[BatchColumn]) -> Iterator[Bad]:
    for doubt in doubts:
        about = [column for column in measured if column.measures == doubt.dimension]
        for column in about or measured[:1]:
            yield _bad(column, doubt.message)


def _cell(row: PersonRow, column: BatchColumn) -> str:
    """A row may end early: programs leave out the empty cells at its end."""
    return row.cells[column.place] if column.place < len(row.cells) else ""


def _bad(column: BatchColumn, say: str) -> Bad:
    return Bad(column.place, column.heading, say)


# -- batch columns --------------------------------------------------------------------------------
# The columns of a file of answers: each is a question, or says something else about the person.

OWN = {"reference": "reference", "id": "reference", "note": "note"} | {
    "units": "units",
    "country": "country",
}
"""Headings that are no questions -> what they hold. They come before a question of that name:
``country`` is whom a caution says to ring, not where the chair goes."""

_HEALTH = "asks about health. A buyer of chairs may not collect this, so the column is not read."
_TAKE_OUT = (
    "Delete the column; those people can call us themselves. If each person has consented "
    "(column consent), use --with-health."
)


@dataclass(frozen=True, slots=True)
class BatchColumn:
    """The heading and meaning of one column."""

    place: int
    """From 0."""
    heading: str
    """As the file has it."""
    own: str = ""
    """One of the values of ``OWN``; '' for a question."""
    question: Question | None = None

    @property
    def measures(self) -> str | None:
        """The body dimension it measures."""
        return self.question.measures if self.question else None

    @property
    def health(self) -> bool:
        """Whether it is about health."""
        return self.question is not None and self.question.private == "health"

    @property
    def _means(self) -> tuple[str, str]:
        return self.own, self.question.name if self.question else ""


def letter(place: int) -> str:
    """How a spreadsheet names the column at a place from 0: A, Z, AA."""
    before, last = divmod(place, 26)
    return (letter(before - 1) if before else "") + chr(ord("A") + last)


def columns_of(
    tree: Tree, headings: Sequence[str], file: str, *, with_health: bool = False
) -> tuple[tuple[BatchColumn, ...], list[Problem]]:
    """The columns of a file in the order of the tree, and what is wrong with its first line.

    A column without a heading is left out; a row that has something in it will be bad.
    """
    known = tree.question_named
    columns: dict[tuple[str, str], BatchColumn] = {}
    problems: list[Problem] = []
    for place, heading in enumerate(headings):
        if not heading.strip():
            continue
        column = _column(tree, known, place, heading)
        twin = columns.get(column._means)
        if not any(column._means):
            hint = nearest(plain_name(heading)[:60], [*known, *OWN])
            wrong = "is not the name of a question.", hint or "Delete or rename it."
        elif twin is not None:
            wrong = f"means the same as column {letter(twin.place)}.", "Delete one of the two."
        elif column.health and not with_health:
            wrong = _HEALTH, _TAKE_OUT
        else:
            columns[column._means] = column
            continue
        message = f"Column {letter(place)}, “{short(heading)}”, {wrong[0]}"
        problems.append(Problem(Where(file, 1, place + 1), message, wrong[1], "column"))
    own = [column for column in columns.values() if column.own]
    asked = [columns["", name] for name in tree.questions if ("", name) in columns]
    return (*own, *asked), problems


def short(text: str) -> str:
    """The beginning of a text on one line, to quote it."""
    return " ".join(text[:200].split())[:40]


def _column(tree: Tree, known: Mapping[str, str], place: int, heading: str) -> BatchColumn:
    name = plain_name(heading)
    own = OWN.get(name, "")
    question = None if own else tree.questions.get(known.get(name, ""))
    return BatchColumn(place, heading.strip(), own, question)
