"""``consult records list``, ``find`` and ``show``."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands.outcome import Outcome, complain, number_of
from consult.commands.records_json import exact_json, kept_json, listed_json
from consult.commands.records_text import cut, is_there, local, stretch, table, whole_text
from consult.records.search import listed

if TYPE_CHECKING:
    from consult.call.call import Answer, Handled
    from consult.commands.records import Desk
    from consult.records.kept import Kept, Listed

_CONSENT = {True: "given", False: "refused", None: "not asked, or not answered"}
_NAME, _ADVISER = 40, 20
"""Widths in a list."""


def list_calls(desk: Desk, options: Namespace) -> Outcome:
    """List the newest calls, filtered by days or status."""
    if options.since and options.until and options.since > options.until:
        return complain("The first day is after the last.")
    since, until = stretch(options.since, options.until)
    found = listed(
        desk.store, since=since, until=until, status=options.status, limit=options.limit + 1
    )
    return _print(found, options)


def find_calls(desk: Desk, options: Namespace) -> Outcome:
    """List calls by name or reference."""
    return _print(desk.store.find(options.text, options.limit + 1), options)


def _print(found: Sequence[Listed], options: Namespace) -> Outcome:
    shown = found[: options.limit]
    if options.json:
        print(exact_json([listed_json(one) for one in shown]))
        return Outcome.DONE
    if not shown:
        print("No calls found.")
        return Outcome.DONE
    rows = [
        (
            one.reference,
            local(one.started_at),
            one.status,
            cut(one.adviser, _ADVISER),
            # Last, because a name written from right to left moves what stands after it.
            cut(one.caller_name, _NAME) or "no name",
        )
        for one in shown
    ]
    print("\n".join(table(("Reference", "Begun", "Status", "Adviser", "Caller"), rows)))
    if len(found) > len(shown):
        print(f"The newest {number_of(len(shown), 'call')}; there are more (see --limit).")
    return Outcome.DONE


def show_call(desk: Desk, options: Namespace) -> Outcome:
    """Print everything stored of a call."""
    kept = desk.store.read(options.reference)
    print(exact_json(kept_json(kept)) if options.json else "\n".join(_account(kept)))
    return Outcome.DONE


def _account(kept: Kept) -> Iterator[str]:
    yield f"Call {kept.reference}"
    for title, text in _head(kept):
        first, *more = whole_text(text, "")
        yield f"  {title:<14}{first}"
        yield from (f"  {'':<14}{line}" for line in more)
    yield ""
    yield "Answers" if kept.call.answers else "No answers are stored."
    counts = {id(one) for one in kept.call.latest().values()}
    for number, one in enumerate(kept.call.answers, 1):
        yield from _answer(number, one, amended=id(one) not in counts)
    if kept.call.handled:
        yield ""
        yield "Cautions"
        for dealt in kept.call.handled:
            yield from _dealt_with(dealt)
    yield ""
    yield "Summaries written" if kept.summaries else "No summaries were written."
    for path in kept.summaries:
        yield from whole_text(path, "  ")
        if not is_there(Path(path)):
            yield "    (no longer there)"


def _head(kept: Kept) -> Iterator[tuple[str, str]]:
    used = kept.versions
    yield "Caller", kept.caller_name or "no name"
    yield "Adviser", kept.adviser or "no name"
    yield "Status", kept.status
    yield "Begun", local(kept.started_at)
    yield "Last changed", local(kept.updated_at)
    if kept.open_since is not None:
        yield "Open since", local(kept.open_since)
    yield "Day, country", f"{kept.call.today.isoformat()}, {kept.call.country}"
    yield "Units", kept.call.system
    yield "Tree", f"{used.tree} {used.tree_version}".strip()
    yield "Range", f"{used.range} {used.range_version}".strip() or "none"
    yield "Population", f"{used.population} {used.population_version}".strip() or "none"
    yield "Consent", _CONSENT[kept.consent]
    if kept.trouble:
        yield "Health", kept.trouble
    elif kept.consent is not True:
        yield "Health", "not stored, because the caller did not consent"


def _answer(number: int, one: Answer, *, amended: bool) -> Iterator[str]:
    about = [f"{one.at.astimezone():%H:%M:%S}"] if one.at else []
    about += [f"took {one.took:.0f} s"] if one.took is not None else []
    about += ["confirmed"] if one.confirmed else []
    about += ["amended later"] if amended else []
    question, *rest = whole_text(one.question, "")
    yield f"{number:>4}. {question}" + (f" ({', '.join(about)})" if about else "")
    yield from (f"      {line}" for line in rest)
    yield from whole_text(one.said, "      ")
    if one.note:
        first, *more = whole_text(one.note, "")
        yield f"      Note: {first}"
        yield from (f"            {line}" for line in more)


def _dealt_with(one: Handled) -> Iterator[str]:
    when = f", {one.at.astimezone():%H:%M:%S}" if one.at else ""
    named = one.caution or "a stop (name not stored)"
    first, *more = whole_text(named, "")
    what = "lifted" if one.lifted else "said to the caller"
    yield f"  {first}: {what} (after answer {one.after}{when})"
    yield from (f"      {line}" for line in more)
    if one.lifted:
        yield from whole_text(one.lifted, "      ")
