"""What finished calls left for later: their odds, and what came of their chairs."""

from __future__ import annotations

import gc
import json
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING, Any

from sqlalchemy import Integer, cast, delete, func, insert, select

from consult.call.call import CAME, ODDS
from consult.call.closing_lines import PastCall, read_odds, read_outcome, reference_said
from consult.records.appending import insert_plain
from consult.records.call_snapshot import Stored, StoredPiece
from consult.records.errors import NoSuchCall, RecordsTrouble
from consult.records.kept import utc
from consult.records.rows import call_number, call_row, elsewhere, read_pieces, rewrite_call
from consult.records.schema import answers, calls, meta, noted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.engine import Connection

    from consult.call.closing_lines import ChairOutcome, StatedOdds
    from consult.records.store import Store

_AGREED = "advisers_agreed"
"""The name in the records under which the advisers are who agreed to figures of their own."""

_LOT = 5_000
"""Rows fetched together: one by one takes twice as long."""


@contextmanager
def uncollected() -> Iterator[None]:
    """While many calls are read and counted: nothing of them refers to itself, and to look for
    such garbage, again and again among all of them, takes longer than the reading."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def past_calls(
    store: Store,
    since: datetime | None = None,
    until: datetime | None = None,
    stretch: Stretch | None = None,
) -> list[PastCall]:
    """Finished calls with a chair agreed on, the oldest first, begun within some time, or of a
    stretch.

    Only the two lines are read, and no answer of a caller. Of several outcomes of one chair the
    last counts.
    """
    with store.database.reading() as connection:
        own = _finished(connection, since, until, stretch)
        wanted = {reference for reference, _ in own.values()}
        lines = select(answers.c.call_id, answers.c.question, answers.c.said)
        # Call by call: a later call follows up later.
        both = lines.where(answers.c.question.in_((ODDS, CAME)))
        odds: dict[int, StatedOdds] = {}
        came: dict[str, ChairOutcome] = {}
        rows = connection.execute(both.order_by(answers.c.call_id, answers.c.seq))
        for call_id, question, said in chain.from_iterable(rows.partitions(_LOT)):
            if question == ODDS and call_id in own:
                stated = read_odds(said)
                if stated is not None:
                    odds[call_id] = stated
            elif question == CAME and reference_said(said) in wanted:
                outcome = read_outcome(said)
                if outcome is not None:
                    came[outcome.reference] = outcome
    return [
        PastCall(odds[call_id], came.get(reference), adviser)
        for call_id, (reference, adviser) in own.items()
        if call_id in odds
    ]


def _finished(
    connection: Connection,
    since: datetime | None,
    until: datetime | None,
    stretch: Stretch | None,
) -> dict[int, tuple[str, str]]:
    query = select(calls.c.id, calls.c.reference, calls.c.adviser)
    query = query.where(calls.c.status == "finished")
    if since is not None:
        query = query.where(calls.c.started_at >= utc(since))
    if until is not None:
        query = query.where(calls.c.started_at < utc(until))
    if stretch is not None:
        query = query.where(calls.c.id.in_(stretch.ids))
    rows = connection.execute(query.order_by(calls.c.id))
    # Few advisers lead many calls: one name each, not one a call.
    names: dict[str, str] = {}
    return {
        number: (reference, names.setdefault(adviser, adviser))
        for number, reference, adviser in chain.from_iterable(rows.partitions(_LOT))
    }


def count_finished(store: Store, tree: str) -> int:
    """How many calls led with a tree are finished."""
    own = (calls.c.status == "finished") & (calls.c.tree == tree)
    with store.database.reading() as connection:
        return connection.scalar(select(func.count()).select_from(calls).where(own)) or 0


@dataclass(frozen=True, slots=True)
class Stretch:
    """Finished calls of one tree, from one place in their order to before another."""

    tree: str
    first: int
    """0 for the oldest."""
    until: int

    @property
    def ids(self) -> Select[tuple[int]]:
        """Their numbers in the records."""
        own = (calls.c.status == "finished") & (calls.c.tree == self.tree)
        ordered = select(calls.c.id).where(own).order_by(calls.c.id)
        return ordered.offset(self.first).limit(self.until - self.first)


def said_with_consent(
    store: Store, stretch: Stretch, questions: Sequence[str], *, most: int
) -> list[dict[str, str]]:
    """What counts of the answers to some questions, call by call, of the first ``most`` calls of a
    stretch whose callers consented to answers being kept.

    No question may be about health, whose answers are not looked up.
    """
    with store.database.reading() as connection:
        agreed = select(calls.c.id).where(calls.c.id.in_(stretch.ids), calls.c.consent.is_(True))
        wanted = list(connection.scalars(agreed.order_by(calls.c.id).limit(most)))
        by_call: dict[int, dict[str, str]] = {number: {} for number in wanted}
        if wanted:
            rows = select(answers.c.call_id, answers.c.question, answers.c.said).where(
                answers.c.call_id.between(wanted[0], wanted[-1]),
                answers.c.question.in_(questions),
            )
            for number, question, said in connection.execute(
                rows.order_by(answers.c.call_id, answers.c.seq)
            ):
                if number in by_call:
                    by_call[number][question] = said
    return list(by_call.values())


def words_counted(
    store: Store, stretch: Stretch, questions: Sequence[str]
) -> dict[str, dict[str, int]]:
    """How often what was typed to some questions in a stretch: question -> words -> answers. No
    question may be about health."""
    return _counted(store, stretch, answers.c.said, answers.c.question.in_(questions))


def times_taken(
    store: Store, stretch: Stretch, *, shortest: float, longest: float, a_second: int
) -> dict[str, dict[int, int]]:
    """How long answers took in a stretch, those about health apart: question -> time in parts of a
    second (``a_second`` of them) -> answers."""
    part = cast(func.round(answers.c.took * a_second), Integer)
    return _counted(store, stretch, part, answers.c.took.between(shortest, longest))


def _counted(
    store: Store, stretch: Stretch, what: ColumnElement[Any], which: ColumnElement[bool]
) -> dict[str, dict[Any, int]]:
    """Answers by question and by something else."""
    counts: dict[str, dict[Any, int]] = {}
    of = answers.c
    with store.database.reading() as connection:
        if ids := list(connection.scalars(stretch.ids)):
            inside = of.call_id.between(ids[0], ids[-1]) & of.call_id.in_(stretch.ids)
            rows = select(of.question, what, func.count()).where(inside, which)
            for question, value, count in connection.execute(rows.group_by(of.question, what)):
                counts.setdefault(question, {})[value] = count
    return counts


def note_outcome(store: Store, outcome: ChairOutcome, at: datetime) -> None:
    """Store what came of a chair with the call that chose it, which must be finished."""
    with store.database.writing() as connection:
        row = call_row(connection, call_number(connection, outcome.reference), lock=True)
        if row is None:  # erased between the two
            raise NoSuchCall(f"Call {outcome.reference} is not stored here.")
        if row["open_by"] is not None:
            raise elsewhere(row)
        if row["status"] != "finished":
            raise RecordsTrouble(
                f"Call {row['reference']} is {row['status']}, so no chair came of it yet."
            )
        pieces = read_pieces(connection, row, store.seal)
        seq = max(row["floor"], pieces.end)
        piece = StoredPiece((CAME, outcome.text, False, "", utc(at), None))
        insert_plain(connection, answers, row["id"], [Stored(seq, piece)])
        count = row["answer_count"] + 1
        updated = max(utc(at), row["updated_at"])
        rewrite_call(connection, row, answer_count=count, updated_at=updated)


def advisers_agreed(store: Store) -> frozenset[str]:
    """The advisers who agreed to figures of their own."""
    with store.database.reading() as connection:
        return _agreed(connection)


def _agreed(connection: Connection) -> frozenset[str]:
    written = noted(connection, _AGREED)
    return frozenset(json.loads(written)) if written else frozenset()


def note_agreed(store: Store, adviser: str, *, agrees: bool) -> None:
    """Store that an adviser agrees to figures of their own, or no longer does."""
    with store.database.writing() as connection:
        before = _agreed(connection)
        now = before | {adviser} if agrees else before - {adviser}
        connection.execute(delete(meta).where(meta.c.name == _AGREED))
        if now:
            connection.execute(insert(meta).values(name=_AGREED, value=json.dumps(sorted(now))))
