"""``consult records``: list, show, export, delete, count and back up the stored calls."""

from __future__ import annotations

import gc
from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands.outcome import Outcome, complain, number_of, tell
from consult.commands.records_text import (
    cut,
    kept_json,
    listed_json,
    local,
    print_exact,
    records_exist,
    stretch,
    table,
    whole_text,
)
from consult.records.errors import RecordsTrouble
from consult.records.search import listed_calls
from consult.visible import harmless

if TYPE_CHECKING:
    from consult.call.call import Answer, Handled
    from consult.records.kept import Kept, ListedCall
    from consult.records.store import Store


def run(options: Namespace) -> Outcome:
    """Open the records and run one action; an error is one sentence and exit code 2."""
    from consult.records.place import no_records, records_place

    try:
        place = records_place(options.records)
        if options.action == "restore":
            from consult.commands import records_care

            return records_care.restore_backup(place, options)
        missing = no_records(place)
        if missing and not _begins(options.action, place):
            # The store would make them, and calls that are gone would look like none at all.
            return complain(missing)
        return _with_store(place, options, f"New records were begun at {place}." * bool(missing))
    except RecordsTrouble as trouble:
        return complain(harmless(str(trouble)))
    except OSError as error:
        named = f"{error.filename}: " if error.filename else ""
        return complain(harmless(f"{named}{error.strerror or error}."))


def _begins(action: str, place: str | Path) -> bool:
    """Whether an action has something to store where there are no records yet."""
    from consult.records.recovery_file import files_in, spill_folders

    return action == "change-key" or (action == "recover" and bool(files_in(spill_folders(place))))


def _with_store(place: str | Path, options: Namespace, anew: str) -> Outcome:
    from consult.records.store import open_store

    act = _action(options.action)
    with closing(open_store(place)) as store:
        # What is loaded stays: among many calls the collector would look through it each time.
        gc.freeze()
        for notice in store.notices or filter(None, (anew,)):
            complain(harmless(notice))
        return act(store, options)


_ACTIONS = {
    "list": "records.list_calls",
    "find": "records.find_calls",
    "show": "records.show_call",
    "document": "papers.write_paper",
    "orders": "papers.write_orders",
    "demo": "call_files.write_demo",
    "export": "records_export.export_calls",
    "report": "records_report.tell_figures",
    "outcomes": "records_outcomes.tell_outcomes",
    "outcome": "records_outcomes.note",
    "learn": "records_learn.learn",
    "own-figures": "records_outcomes.own_figures",
    "delete": "records_care.erase_call",
    "purge": "records_care.purge_calls",
    "backup": "records_care.make_backup",
    "nightly": "records_care.make_nightly",
    "check": "records_care.check_records",
    "where": "records_care.tell_where",
    "change-key": "records_care.change_records_key",
    "recover": "records_care.recover",
}
"""Action -> its module and function."""


def _action(name: str) -> Callable[[Store, Namespace], Outcome]:
    """Loaded when it is asked for: with NumPy and the templates, all of them take twice as long
    to start as ``list`` does."""
    module, _, function = _ACTIONS[name].partition(".")
    act: Callable[[Store, Namespace], Outcome] = getattr(
        import_module(f"consult.commands.{module}"), function
    )
    return act


# -- ``consult records list``, ``find`` and ``show`` ----------------------------------------------

_CONSENT = {True: "given", False: "refused", None: "not asked, or not answered"}
_NAME, _ADVISER = 40, 20
"""Widths in a list."""


def list_calls(store: Store, options: Namespace) -> Outcome:
    """List the newest calls, filtered by days or status."""
    since, until = stretch(options.since, options.until)
    calls = listed_calls(
        store, since=since, until=until, status=options.status, limit=options.limit + 1
    )
    return _print(calls, options)


def find_calls(store: Store, options: Namespace) -> Outcome:
    """List calls by name or reference."""
    return _print(store.find(options.text, options.limit + 1), options)


def _print(calls: Sequence[ListedCall], options: Namespace) -> Outcome:
    shown = calls[: options.limit]
    if options.json:
        return print_exact([listed_json(call) for call in shown])
    if not shown:
        return tell("No calls found.")
    rows = [
        (
            call.reference,
            local(call.started_at),
            call.status,
            cut(call.adviser, _ADVISER),
            # Last, because a name written from right to left moves what stands after it.
            cut(call.caller_name, _NAME) or "no name",
        )
        for call in shown
    ]
    tell(*table(("Reference", "Begun", "Status", "Adviser", "Caller"), rows))
    if len(calls) > len(shown):
        print(f"The newest {number_of(len(shown), 'call')}; there are more (see --limit).")
    return Outcome.DONE


def show_call(store: Store, options: Namespace) -> Outcome:
    """Print everything stored of a call."""
    kept = store.read(options.reference)
    return print_exact(kept_json(kept)) if options.json else tell(*_account(kept))


def _account(kept: Kept) -> Iterator[str]:
    yield f"Call {kept.reference}"
    for title, text in _head(kept):
        yield from _hung(f"  {title:<14}", text, " " * 16)
    yield ""
    yield "Answers" if kept.call.answers else "No answers are stored."
    counts = {id(answer) for answer in kept.call.latest().values()}
    for number, answer in enumerate(kept.call.answers, 1):
        yield from _answer(number, answer, amended=id(answer) not in counts)
    if kept.call.handled:
        yield ""
        yield "Cautions"
        for dealt in kept.call.handled:
            yield from _dealt_with(dealt)
    yield ""
    yield "Summaries written" if kept.summaries else "No summaries were written."
    for path in kept.summaries:
        yield from whole_text(path, "  ")
        if not records_exist(Path(path)):
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


def _answer(number: int, answer: Answer, *, amended: bool) -> Iterator[str]:
    about = [f"{answer.at.astimezone():%H:%M:%S}"] if answer.at else []
    about += [f"took {answer.took:.0f} s"] if answer.took is not None else []
    about += ["confirmed"] if answer.confirmed else []
    about += ["amended later"] if amended else []
    remarks = f" ({', '.join(about)})" if about else ""
    yield from _hung(f"{number:>4}. ", answer.question, " " * 6, remarks)
    yield from whole_text(answer.said, " " * 6)
    if answer.note:
        yield from _hung("      Note: ", answer.note, " " * 12)


def _dealt_with(handled: Handled) -> Iterator[str]:
    when = f", {handled.at.astimezone():%H:%M:%S}" if handled.at else ""
    named = handled.caution or "a stop (name not stored)"
    what = "lifted" if handled.lifted else "said to the caller"
    yield from _hung("  ", named, " " * 6, f": {what} (after answer {handled.after}{when})")
    if handled.lifted:
        yield from whole_text(handled.lifted, " " * 6)


def _hung(label: str, text: str, indent: str, after: str = "") -> Iterator[str]:
    """A whole text after its label, with what stands after its first line."""
    first, *more = whole_text(text, "")
    yield f"{label}{first}{after}"
    yield from (f"{indent}{line}" for line in more)
