"""``consult records report``: figures for the team lead, too coarse to point at anybody."""

from __future__ import annotations

from argparse import Namespace
from collections import Counter
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.understand import is_unknown, understand
from consult.commands.outcome import Outcome, complain, print_problems
from consult.commands.records_json import exact_json
from consult.commands.records_text import cut, number_of, stretch, table
from consult.paths import default_tree
from consult.records.report import FEW, OTHER, Report, report
from consult.tree.load import load_tree
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.commands.records import Desk
    from consult.tree.model import Tree

REASON = "reasons"
"""The question that says why people ring, in trees that count it."""
_FEWER = f"fewer than {FEW}"
_MORE = f"{FEW} or more"
_BETWEEN = "\n"
Told = int | str
"""A count, or words in place of one that is too small."""

_FIRST = datetime(1, 1, 2, tzinfo=UTC)
_LAST = datetime(9999, 12, 30, tzinfo=UTC)


def tell_figures(desk: Desk, options: Namespace) -> Outcome:
    """The figures of some days, or of all."""
    if options.since and options.until and options.since > options.until:
        return complain("The first day is after the last.")
    path = Path(options.tree) if options.tree else default_tree()
    if not path.is_file():
        return complain(f"There is no tree file {path}.")
    loaded = load_tree(path)
    if loaded.tree is None:
        print_problems(loaded.problems)
        return Outcome.BAD_USE
    since, until = stretch(options.since, options.until)
    tree = loaded.tree
    found = report(
        desk.store,
        since or _FIRST,
        until or _LAST,
        reason=REASON,
        read=lambda said: _choices(tree, said),
        unknown=is_unknown,
    )
    figures = _figures(found, tree)
    if options.json:
        days = {"from": _day(options.since), "to": _day(options.until)}
        print(exact_json({**days, **figures}))
    else:
        _print(figures, tree)
    return Outcome.DONE


def told_count(count: int) -> Told:
    """The count, unless it is so small that it points at people."""
    return _FEWER if 0 < count < FEW else count


def told_part(part: int, whole: int) -> Told:
    """A part of a whole; neither it nor what is left of the whole may point at people."""
    if 0 < part < FEW or not 0 < whole - part < FEW:
        return told_count(part)
    return f"all but {_FEWER}"


def told_shares(shares: Mapping[str, int]) -> dict[str, Told]:
    """Counts that make up a total which is told: a single small one could be worked out of it."""
    told = {name: told_count(count) for name, count in shares.items()}
    large = {name: count for name, count in shares.items() if count >= FEW}
    if large and _FEWER in told.values():
        told[min(large, key=lambda name: large[name])] = _MORE
    return told


def _figures(found: Report, tree: Tree) -> dict[str, object]:
    """What may be told; names that the tree does not have could be anything and have none."""
    reason = tree.questions.get(REASON)
    reasons: Counter[str] = Counter()
    for said, count in found.reasons.items():
        for one in said.split(_BETWEEN):
            reasons[one if reason and one in reason.choices else OTHER] += count
    cautions = {one.name for one in tree.cautions}
    questions = {
        name: _asked(asked.calls, asked.unknown, asked.seconds)
        for name, asked in found.questions.items()
        if name in tree.questions
    }
    return {
        "calls": told_count(found.calls),
        "by_status": told_shares(found.by_status),
        "reasons": _counted(reasons.items()),
        "questions": questions,
        "cautions": _counted(_named(found.cautions, cautions).items()),
        "stops_lifted": _counted(_named(found.lifted, cautions).items()),
        "left_out": list(found.told),
    }


def _asked(calls: int, unknown: int, seconds: float | None) -> dict[str, object]:
    missing = told_part(unknown, calls)
    exact = isinstance(missing, int) and calls >= FEW
    return {
        "calls": told_count(calls),
        "unknown": missing if calls >= FEW else None,
        "unknown_share": round(unknown / calls, 3) if exact else None,
        "seconds": None if seconds is None or calls < FEW else round(seconds, 1),
    }


def _named(counts: Mapping[str, int], known: set[str]) -> Counter[str]:
    named: Counter[str] = Counter()
    for name, count in counts.items():
        named[name if name in known else OTHER] += count
    return named


def _counted(counts: Iterable[tuple[str, int]]) -> dict[str, Told]:
    ordered = sorted(counts, key=lambda pair: (-pair[1], pair[0]))
    # What is small is in no order, which would tell which of two is smaller.
    large = [pair for pair in ordered if pair[1] >= FEW]
    small = sorted(pair for pair in ordered if pair[1] < FEW)
    return {name or "other": told_count(count) for name, count in (*large, *small)}


def _choices(tree: Tree, said: str) -> str | None:
    question = tree.questions.get(REASON)
    if question is None:
        return None
    try:
        value = understand(question, said, date.min).value
    except Unclear:
        return None
    if isinstance(value, frozenset):
        return _BETWEEN.join(sorted(value))
    return value if isinstance(value, str) else None


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _print(figures: Mapping[str, object], tree: Tree) -> None:
    calls = figures["calls"]
    if calls == 0:
        print("No calls were begun in that time.")
        return
    print(f"Calls: {calls}" if isinstance(calls, str) else number_of(int(str(calls)), "call"))
    reason = tree.questions.get(REASON)
    labels: Mapping[str, str] = reason.choices if reason else {}
    for title, name in {
        "How they stand": "by_status",
        "Why people rang": "reasons",
        "Cautions said": "cautions",
        "Stops lifted": "stops_lifted",
    }.items():
        counts = figures[name]
        assert isinstance(counts, dict)
        if counts:
            print(f"\n{title}")
            rows = [(cut(labels.get(one, one), 60), str(count)) for one, count in counts.items()]
            print("\n".join(f"  {line}" for line in table(("", "Calls"), rows)))
    questions = figures["questions"]
    assert isinstance(questions, dict)
    if questions:
        print("\nQuestions")
        print("\n".join(f"  {line}" for line in _question_table(questions)))
    if figures["stops_lifted"]:
        print("\nWhy a stop was lifted is told with the call alone: consult records show REF")
    left_out = figures["left_out"]
    assert isinstance(left_out, list)
    for sentence in left_out:
        print(f"\n{sentence}")


def _question_table(questions: Mapping[str, Mapping[str, object]]) -> list[str]:
    rows = []
    for name, asked in questions.items():
        share, seconds = asked["unknown_share"], asked["seconds"]
        unknown = "-" if asked["unknown"] is None else str(asked["unknown"])
        unknown += f" ({100 * share:.0f}%)" if isinstance(share, float) else ""
        time = f"{seconds:.0f} s" if isinstance(seconds, float) else "-"
        rows.append((cut(name, 40), str(asked["calls"]), unknown, time))
    return table(("Question", "Calls", "Not known", "Usual time"), rows)
