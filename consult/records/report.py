"""Figures for the team lead: counts and times, without personal data."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from statistics import median
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from consult.records.encryption import values_in
from consult.records.errors import NoKey
from consult.records.kept import utc
from consult.records.schema import answers, calls, handled, health

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence, Set
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.engine import Connection, Row

    from consult.records.store import Store

FEW_CALLS = 5
"""Cautions about health raised fewer times are counted as one: a small figure points at people."""
OTHER = ""
"""In place of a name that may not be shown."""
OTHERWISE = "other"
"""The choice by which a call went with other parts than those recommended."""


@dataclass(frozen=True, slots=True)
class Asks:
    """Questions whose answers are counted by choice; None where the tree has none."""

    reasons: str | None
    """Why people call."""
    agreed: str | None = None
    """Whether they went with the chair recommended."""
    because: str | None = None
    """Why they did not."""


@dataclass(frozen=True, slots=True)
class QuestionFigures:
    """The figures of one question."""

    calls: int
    """Calls in which it was answered."""
    unknown: int
    """Of those, where the answer that counts is that the caller does not know."""
    timed: Timed
    """How long an answer took."""


@dataclass(frozen=True, slots=True)
class Timed:
    """How long something took."""

    count: int
    """How often it was timed."""
    calls: int
    """In how many calls."""
    seconds: float | None
    """Median; None where it was never timed."""


@dataclass(frozen=True, slots=True)
class ChairsChosen:
    """What finished calls agreed on."""

    calls: int
    """Finished calls, answered or not."""
    agreed: Mapping[str, int]
    """Choice -> calls; OTHER where the words said are none. Calls that were not asked are not in
    it."""
    because: Mapping[str, int]
    """Reason for other parts than those recommended -> calls."""


@dataclass(frozen=True, slots=True)
class PeriodReport:
    """The figures of a period."""

    calls: int
    by_status: Mapping[str, int]
    length: Timed
    """Of finished calls: the answers timed in each, together."""
    reasons: Mapping[str, int]
    """Choice -> calls; OTHER where the words said are no choice."""
    chosen: ChairsChosen | None
    """None where the tree does not ask what was agreed."""
    questions: Mapping[str, QuestionFigures]
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
    asks: Asks,
    read: Callable[[str, str], tuple[str, ...]],
    unknown: Callable[[str], bool],
) -> PeriodReport:
    """Figures of the calls begun from ``since`` to before ``until``.

    ``read`` makes choices of a question and what was said to it, none where it is no choice, and
    ``unknown`` tells a "does not know"; what people said stays in here.
    """
    start, end = utc(since), utc(until)
    read, unknown = cache(read), cache(unknown)  # many say the same
    with store.database.reading() as connection:
        within = (calls.c.started_at >= start) & (calls.c.started_at < end)
        grouped = select(calls.c.status, func.count()).where(within).group_by(calls.c.status)
        status = {row[0]: row[1] for row in connection.execute(grouped)}
        ended = select(calls.c.id).where(within, calls.c.status == "finished")
        finished = frozenset(connection.scalars(ended))
        latest: dict[tuple[int, str], str] = {}
        took: defaultdict[str, list[tuple[int, float]]] = defaultdict(list)
        opened = _Opened(connection, store, within)
        for call_id, question, said, seconds in opened.answers():
            latest[call_id, question] = said
            if seconds is not None:
                took[question].append((call_id, seconds))
        counted: Counter[str] = Counter()
        missing: Counter[str] = Counter()
        for (_, question), said in latest.items():
            counted[question] += 1
            missing[question] += unknown(said)
        raised, lifted = opened.cautions()
    questions = {
        name: QuestionFigures(count, missing[name], _timed(took[name]))
        for name, count in sorted(counted.items())
    }
    said_of = _Said(latest, read)
    notes = (opened.trouble,) if opened.trouble else ()
    return PeriodReport(
        sum(status.values()),
        status,
        _lengths(took.values(), finished),
        said_of.counted(asks.reasons),
        _chosen(said_of, asks, finished),
        questions,
        raised,
        lifted,
        notes,
    )


def _timed(took: Sequence[tuple[int, float]]) -> Timed:
    """Of calls and seconds."""
    times = [seconds for _, seconds in took]
    return Timed(len(times), len({call for call, _ in took}), median(times) if times else None)


def _lengths(took: Iterable[Sequence[tuple[int, float]]], finished: Set[int]) -> Timed:
    together: defaultdict[int, float] = defaultdict(float)
    for call_id, seconds in (pair for answers_to in took for pair in answers_to):
        if call_id in finished:
            together[call_id] += seconds
    return _timed(list(together.items()))


def _chosen(said_of: _Said, asks: Asks, finished: Set[int]) -> ChairsChosen | None:
    if asks.agreed is None:
        return None
    # An answer may have been amended since the reason was given, which counts no longer then.
    otherwise = {
        call_id
        for (call_id, question), said in said_of.latest.items()
        if question == asks.agreed and said_of.read(question, said) == (OTHERWISE,)
    }
    return ChairsChosen(
        len(finished),
        said_of.counted(asks.agreed, finished),
        said_of.counted(asks.because, finished & otherwise),
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """The answers that count, by call and question, and how to read them."""

    latest: Mapping[tuple[int, str], str]
    read: Callable[[str, str], tuple[str, ...]]

    def counted(self, question: str | None, among: Set[int] | None = None) -> dict[str, int]:
        """Choice -> calls."""
        counter: Counter[str] = Counter()
        for (call_id, asked), said in self.latest.items():
            if asked == question and (among is None or call_id in among):
                counter.update(self.read(asked, said) or (OTHER,))
        return dict(counter)


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
        seen: set[tuple[int, int]] = set()
        for call_id, seq, caution, why in self.connection.execute(
            select(*shown).join(calls).where(self.within)
        ):
            seen.add((call_id, seq))
            (lifted if why else raised)[caution] += 1
        rows = [(row.call_id, row.seq, values) for row, values in self._health("handled")]
        # A stop, or the first of several, has a row anybody may read as well: counted there.
        stops = {str(values[1]) for call_id, seq, values in rows if (call_id, seq) in seen}
        names = (str(values[1]) for _, _, values in rows)
        telling = Counter(name for name in names if name not in stops)
        for caution, count in telling.items():
            raised[caution if count >= FEW_CALLS else OTHER] += count
        return dict(raised), dict(lifted)

    def _health(self, kind: str) -> Iterator[tuple[Row[Any], tuple[object, ...]]]:
        query = select(health).join(calls).where(self.within, health.c.kind == kind)
        for row in self.connection.execute(query.order_by(health.c.call_id, health.c.seq)):
            if row.body.strip(b"\0"):
                try:
                    yield row, values_in(self.store.seal.open(row.body))
                except NoKey as error:
                    self.trouble = str(error)
