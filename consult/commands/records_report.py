"""``consult records report``: figures for the team lead, too coarse to identify anybody."""

from __future__ import annotations

from argparse import Namespace
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime

from consult.call.understand import is_unknown, understand
from consult.call.worth import minutes
from consult.commands.outcome import Outcome, complain, number_of, sound
from consult.commands.records_text import cut, print_exact, stretch, table
from consult.paths import default_tree
from consult.records.place import home_path
from consult.records.report import FEW_CALLS, OTHER, Asks, ChairsChosen, PeriodReport, Timed, report
from consult.records.store import Store
from consult.tree.load import load_tree
from consult.tree.model import Tree
from consult.units import Unclear

REASON = "reasons"
"""The question that says why people ring, in trees that do not name it by what it sets."""
_FEWER = f"fewer than {FEW_CALLS}"
_MORE = f"{FEW_CALLS} or more"
CountOrWords = int | str
"""A count, or words in place of one that is too small."""
UNCLEAR = "no clear answer"
UNASKED = "not asked"
"""Finished calls that were not asked what was agreed, or were before the tree asked it."""

_FIRST = datetime(1, 1, 2, tzinfo=UTC)
_LAST = datetime(9999, 12, 30, tzinfo=UTC)


def tell_figures(store: Store, options: Namespace) -> Outcome:
    """Print the figures of a period."""
    since, until = stretch(options.since, options.until)
    path = home_path(options.tree) if options.tree else default_tree()
    if not path.is_file():
        return complain(f"There is no tree file {path}.")
    tree = sound(*load_tree(path))
    # The questions counted by choice, found by the fact that they set.
    named = {question.sets: name for name, question in tree.questions.items() if question.sets}
    reasons = named.get("reasons") or (REASON if REASON in tree.questions else None)
    asks = Asks(reasons, named.get("agreed"), named.get("agreed_because"))
    period_report = report(
        store,
        since or _FIRST,
        until or _LAST,
        asks=asks,
        read=lambda question, said: _choices(tree, question, said),
        unknown=is_unknown,
    )
    figures = _figures(period_report, tree)
    if options.json:
        return print_exact({**days_json(options), **figures})
    print_figures(figures, tree, asks)
    return Outcome.DONE


def told_count(count: int) -> CountOrWords:
    """The count, or "fewer than 5" if it could identify people."""
    return _FEWER if 0 < count < FEW_CALLS else count


def told_part(part: int, whole: int) -> CountOrWords:
    """A part of a whole; coarse if it or the remainder could identify people."""
    if 0 < part < FEW_CALLS or not 0 < whole - part < FEW_CALLS:
        return told_count(part)
    return f"all but {_FEWER}"


def told_shares(shares: Mapping[str, int]) -> dict[str, CountOrWords]:
    """Counts whose total is shown; one small count alone could be derived, so another is hidden."""
    shown = {name: told_count(count) for name, count in shares.items()}
    if _FEWER in shown.values():
        _blur(shown, shares)
    return shown


def told_within(shares: Mapping[str, int], whole: CountOrWords) -> dict[str, CountOrWords]:
    """Counts whose total may be hidden (a str); then they must not add up to it."""
    shown = told_shares(shares)
    if isinstance(whole, str) and _MORE not in shown.values():
        _blur(shown, shares)
    return shown


def _blur(shown: dict[str, CountOrWords], shares: Mapping[str, int]) -> None:
    """Hide the smallest of the counts that could be told."""
    large = {name: count for name, count in shares.items() if count >= FEW_CALLS}
    if large:
        shown[min(large, key=lambda name: large[name])] = _MORE


def _figures(period_report: PeriodReport, tree: Tree) -> dict[str, object]:
    """The figures that may be shown; names that are not in the tree are left out."""
    by_status = told_shares(period_report.by_status)
    finished = by_status.get("finished", 0)
    chosen = {"chosen": _chosen(period_report.chosen, finished)} if period_report.chosen else {}
    cautions = {caution.name for caution in tree.cautions}
    questions = {
        name: _asked(asked.calls, asked.unknown, asked.timed)
        for name, asked in period_report.questions.items()
        if name in tree.questions
    }
    timed = period_report.length.calls
    # Nothing may reveal the number of finished calls where that is hidden.
    coarse = _MORE if timed >= FEW_CALLS else told_count(timed)
    shown = told_part(timed, finished) if isinstance(finished, int) else coarse
    return {
        "calls": told_count(period_report.calls),
        "by_status": by_status,
        "length": {"timed": shown, "seconds": _seconds(period_report.length)},
        "reasons": _counted(period_report.reasons.items()),
        **chosen,
        "questions": questions,
        "cautions": _counted(_named(period_report.cautions, cautions).items()),
        "stops_lifted": _counted(_named(period_report.lifted, cautions).items()),
        "left_out": list(period_report.told),
    }


def _seconds(timed: Timed) -> float | None:
    """The median in seconds; None for fewer than five calls."""
    return None if timed.seconds is None or timed.calls < FEW_CALLS else round(timed.seconds, 1)


def _chosen(chosen: ChairsChosen, finished: CountOrWords) -> dict[str, object]:
    unasked = chosen.calls - sum(chosen.agreed.values())
    shares = {**chosen.agreed, UNASKED: unasked} if unasked else chosen.agreed
    agreed = told_within(shares, finished)
    return {
        "agreed": {name or UNCLEAR: count for name, count in agreed.items()},
        "because": _counted(chosen.because.items()),
    }


def _asked(calls: int, unknown: int, timed: Timed) -> dict[str, object]:
    missing = told_part(unknown, calls)
    exact = isinstance(missing, int) and calls >= FEW_CALLS
    return {
        "calls": told_count(calls),
        "unknown": missing if calls >= FEW_CALLS else None,
        "unknown_share": round(unknown / calls, 3) if exact else None,
        "timed": told_count(timed.count) if timed.calls >= FEW_CALLS or not timed.calls else _FEWER,
        "seconds": _seconds(timed),
    }


def _named(counts: Mapping[str, int], known: set[str]) -> Counter[str]:
    named: Counter[str] = Counter()
    for name, count in counts.items():
        named[name if name in known else OTHER] += count
    return named


def _counted(counts: Iterable[tuple[str, int]]) -> dict[str, CountOrWords]:
    ordered = sorted(counts, key=lambda pair: (-pair[1], pair[0]))
    # What is small is in no order, which would tell which of two is smaller.
    large = [pair for pair in ordered if pair[1] >= FEW_CALLS]
    small = sorted(pair for pair in ordered if pair[1] < FEW_CALLS)
    return {name or "other": told_count(count) for name, count in (*large, *small)}


def _choices(tree: Tree, asked: str, said: str) -> tuple[str, ...]:
    """Only names of choices, so that no free text of a caller is shown."""
    question = tree.questions[asked]
    try:
        value = understand(question, said, date.min).value
    except Unclear:
        return ()
    if isinstance(value, frozenset):
        return tuple(sorted(value & question.choices.keys()))
    return (value,) if isinstance(value, str) and value in question.choices else ()


def days_json(options: Namespace) -> dict[str, str | None]:
    """The days that were asked for."""
    days = {"from": options.since, "to": options.until}
    return {name: day.isoformat() if day else None for name, day in days.items()}


# -- the figures of ``consult records report`` as lines of a terminal -----------------------------

JsonObject = Mapping[str, object]


def print_figures(figures: JsonObject, tree: Tree, asks: Asks) -> None:
    """Print the figures; empty ones are left out."""
    calls, length, chosen = figures["calls"], _of(figures, "length"), _of(figures, "chosen")
    if calls == 0:
        print("No calls were started in that time.")
        return
    print(f"Calls: {calls}" if isinstance(calls, str) else number_of(int(str(calls)), "call"))
    if isinstance(seconds := length["seconds"], float):
        print(f"A finished call usually takes {minutes(seconds)} ({length['timed']} timed).")
    for title, counts, asked in (
        ("Status", _of(figures, "by_status"), None),
        ("Why people called", _of(figures, "reasons"), asks.reasons),
        ("What finished calls agreed on", _of(chosen, "agreed"), asks.agreed),
        ("Why they chose other parts", _of(chosen, "because"), asks.because),
        ("Cautions said", _of(figures, "cautions"), None),
        ("Stops lifted", _of(figures, "stops_lifted"), None),
    ):
        labels: Mapping[str, str] = tree.questions[asked].choices if asked else {}
        rows = [(cut(labels.get(key, key), 60), str(count)) for key, count in counts.items()]
        _print_table(title, ("", "Calls"), rows)
    questions = _of(figures, "questions")
    titles = ("Question", "Calls", "Not known", "Usual time", "Answers timed")
    _print_table(
        "Questions", titles, [_asked_row(name, _of(questions, name)) for name in questions]
    )
    if figures["stops_lifted"]:
        print("\nTo see why a stop was lifted: consult records show REF")
    left_out = figures["left_out"]
    assert isinstance(left_out, list)
    for sentence in left_out:
        print(f"\n{sentence}")


def _of(figures: JsonObject, name: str) -> dict[str, object]:
    group = figures.get(name, {})
    assert isinstance(group, dict)
    return group


def _print_table(title: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    if rows:
        print("\n".join([f"\n{title}", *(f"  {line}" for line in table(head, rows))]))


def _asked_row(name: str, asked: JsonObject) -> tuple[str, ...]:
    share, seconds = asked["unknown_share"], asked["seconds"]
    unknown = "-" if asked["unknown"] is None else str(asked["unknown"])
    unknown += f" ({100 * share:.0f}%)" if isinstance(share, float) else ""
    time = f"{seconds:.0f} s" if isinstance(seconds, float) else "-"
    return cut(name, 40), str(asked["calls"]), unknown, time, str(asked["timed"])
