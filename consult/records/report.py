"""Figures for the team lead: how many and how long, never who and never in whose words."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from consult.records.bodies import values_of
from consult.records.kept import utc
from consult.records.schema import answers, calls, handled, health
from consult.records.trouble import NoKey

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.engine import Connection, Row

    from consult.records.store import Store

FEW = 5
"""Cautions about health raised fewer times are counted as one: a small figure points at people."""
OTHER = ""
"""Stands for whatever has no name that may be told."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What became of one question."""

    calls: int
    """Calls in which it was answered."""
    unknown: int
    """Of those, where the answer that counts is that the caller does not know."""
    seconds: float | None
    """Median of how long an answer took; None where it was never timed."""


@dataclass(frozen=True, slots=True)
class Report:
    """Figures over a stretch of time."""

    calls: int
    by_status: Mapping[str, int]
    reasons: Mapping[str, int]
    """Choice -> calls; OTHER where the words said are no choice."""
    questions: Mapping[str, Asked]
    cautions: Mapping[str, int]
    """Caution -> how often it was said to a caller; OTHER where its name would tell of health."""
    lifted: Mapping[str, int]
    """Stop -> how often it was lifted. The reasons are free text, so they are only counted."""
    told: tuple[str, ...]
    """What the figures leave out."""


def report(
    store: Store,
    since: datetime,
    until: datetime,
    *,
    reason: str,
    read: Callable[[str], str | None],
    unknown: Callable[[str], bool],
) -> Report:
    """Figures of the calls begun from ``since`` to before ``until``.

    ``reason`` names the question that says why people ring, ``read`` makes a choice of what was
    said to it and ``unknown`` tells a "does not know"; what people said stays in here.
    """
    start, end = utc(since), utc(until)
    with store.database.reading() as connection:
        within = (calls.c.started_at >= start) & (calls.c.started_at < end)
        grouped = select(calls.c.status, func.count()).where(within).group_by(calls.c.status)
        status = {row[0]: row[1] for row in connection.execute(grouped)}
        reasons: Counter[str] = Counter()
        latest: dict[tuple[int, str], str] = {}
        took: defaultdict[str, list[float]] = defaultdict(list)
        opened = _Opened(connection, store, within)
        for call_id, question, said, seconds in opened.answers():
            latest[call_id, question] = said
            if seconds is not None:
                took[question].append(seconds)
        counted: Counter[str] = Counter()
        missing: Counter[str] = Counter()
        for (_, question), said in latest.items():
            counted[question] += 1
            missing[question] += unknown(said)
            if question == reason:
                reasons[read(said) or OTHER] += 1
        raised, lifted = opened.cautions()
    questions = {
        name: Asked(count, missing[name], median(took[name]) if took[name] else None)
        for name, count in sorted(counted.items())
    }
    told = (opened.trouble,) if opened.trouble else ()
    return Report(sum(status.values()), status, reasons, questions, raised, lifted, told)


class _Opened:
    """The answers of a stretch of time, those about health too where they can be opened."""

    def __init__(self, connection: Connection, store: Store, within: ColumnElement[bool]) -> None:
        self.connection, self.store, self.within = connection, store, within
        self.trouble = ""

    def answers(self) -> Iterator[tuple[int, str, str, float | None]]:
        shown = (answers.c.call_id, answers.c.question, answers.c.said, answers.c.took)
        query = select(*shown).join(calls).where(self.within)
        ordered = query.order_by(answers.c.call_id, answers.c.seq)
        for call_id, question, said, took in self.connection.execute(ordered):
            yield call_id, question, said, took
        for row, values in self._health("answer"):
            took = values[5]
            yield (
                row.call_id,
                str(values[0]),
                str(values[1]),
                took if isinstance(took, float) else None,
            )

    def cautions(self) -> tuple[dict[str, int], dict[str, int]]:
        raised: Counter[str] = Counter()
        lifted: Counter[str] = Counter()
        shown = (handled.c.call_id, handled.c.seq, handled.c.caution, handled.c.lifted)
        seen = set()
        for call_id, seq, caution, why in self.connection.execute(
            select(*shown).join(calls).where(self.within)
        ):
            seen.add((call_id, seq))
            (lifted if why else raised)[caution] += 1
        telling: Counter[str] = Counter()
        for row, values in self._health("handled"):
            # A stop has a row anybody may read as well, and was counted there.
            if (row.call_id, row.seq) not in seen:
                telling[str(values[1])] += 1
        for caution, count in telling.items():
            raised[caution if count >= FEW else OTHER] += count
        return dict(raised), dict(lifted)

    def _health(self, kind: str) -> Iterator[tuple[Row[Any], tuple[object, ...]]]:
        query = select(health).join(calls).where(self.within, health.c.kind == kind)
        for one in self.connection.execute(query.order_by(health.c.call_id, health.c.seq)):
            if one.body.strip(b"\0"):
                try:
                    yield one, values_of(self.store.seal.open(one.body))
                except NoKey as error:
                    self.trouble = str(error)
