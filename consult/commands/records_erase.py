"""``consult records delete`` and ``purge``: delete calls and their files for good."""

from __future__ import annotations

import os
from argparse import Namespace
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands import clock
from consult.commands.options import whole
from consult.commands.outcome import Outcome, complain, number_of
from consult.commands.records_text import cut, is_there, local, reference_in, typed
from consult.records import erase
from consult.records.errors import Damaged, NoSuchCall
from consult.records.kept import as_reference
from consult.records.recovery_file import spilt_in
from consult.records.search import files_of
from consult.retention import CALLS, HEALTH, Retention
from consult.visible import visible

if TYPE_CHECKING:
    from consult.commands.records import OpenRecords

_USUAL = Retention()
_DAYS = {"days": (CALLS, _USUAL.days), "health_days": (HEALTH, _USUAL.health_days)}


def erase_call(desk: OpenRecords, options: Namespace) -> Outcome:
    """Print what will be deleted, ask for the reference again, and delete it."""
    reference = reference_in(options.reference)
    spilt = [one for one in spilt_in(desk.folders) if one.reference == reference]
    told = (*files_of(desk.store, reference), *(path for one in spilt for path in one.summaries))
    written = tuple(dict.fromkeys(told))
    for line in _what_goes(desk, reference, written, [one.path for one in spilt]):
        print(line)
    if not options.yes and as_reference(typed(f"To delete it, type {reference} again:")) != (
        reference
    ):
        return complain("Nothing was deleted.")
    absent = {path for path in written if not is_there(path)}
    done = erase.erase(desk.store, reference, clock.now_utc(), desk.folders)
    print(f"Call {reference} is deleted.")
    return _tell(done, absent)


def _what_goes(
    desk: OpenRecords, reference: str, written: Sequence[Path], spilt: Sequence[Path]
) -> Iterator[str]:
    try:
        kept = desk.store.read(reference)
    except Damaged:
        yield f"Call {reference} is damaged, but you can still delete it."
    except NoSuchCall:
        if not spilt:
            raise
        yield f"Call {reference} is only in a recovery file, not in the records."
    else:
        yield (
            f"Call {reference} of {local(kept.started_at)}, {kept.status}, "
            f"{cut(kept.caller_name, 40) or 'no name'}: "
            f"{number_of(len(kept.call.answers), 'answer')}."
        )
        if kept.trouble:
            yield f"Its health answers are deleted too. {kept.trouble}"
        if kept.open_since is not None:
            who = cut(kept.adviser, 20) or "another screen"
            yield f"It has been open with {who} since {local(kept.open_since)}."
    for path in written:
        yield visible(f"Summary: {path}")
    for path in spilt:
        yield visible(f"Recovery file: {path}")


def purge_calls(desk: OpenRecords, options: Namespace) -> Outcome:
    """Delete calls unchanged for the given days, and health answers sooner."""
    try:
        days, health_days = (_chosen(options, name) for name in _DAYS)
    except ValueError as error:
        return complain(str(error))
    now = clock.now_utc()

    def purged(*, dry_run: bool) -> erase.Erased:
        return erase.purge(
            desk.store,
            now,
            retention_days=days,
            health_days=health_days,
            dry_run=dry_run,
            folders=desk.folders,
        )

    planned = purged(dry_run=True)
    doubt = erase.doubt(planned, now)
    if doubt and not (options.dry_run or options.yes):
        print(doubt)
        if typed("To delete them, type purge:").casefold() != "purge":
            return complain("Nothing was deleted. If the clock is right, use --yes.")
    absent = {one.path for one in planned.files if not is_there(one.path)}
    done = planned if options.dry_run else purged(dry_run=False)
    verb = "Would delete" if options.dry_run else "Deleted"
    print(
        f"{verb} {number_of(done.calls, 'call')} older than {number_of(days, 'day')}, and "
        f"{number_of(done.health, 'health answer')} older than {number_of(health_days, 'day')} "
        "of other calls."
    )
    if not options.dry_run:
        return _tell(done, absent)
    for one in done.files:
        why = f" ({one.left})" if one.left else ""
        print(visible(f"{'Would not delete' if one.left else 'Would delete'}: {one.path}{why}"))
    for one in done.bared:
        print(visible(f"Would remove health answers from: {one.path}"))
    if doubt:
        print(f"You will be asked to confirm: {doubt}")
    return Outcome.DONE


def _chosen(options: Namespace, name: str) -> int:
    variable, usual = _DAYS[name]
    given: int | None = getattr(options, name)
    if given is not None:
        return given
    setting = os.environ.get(variable)
    if not setting:
        return usual
    try:
        return whole(setting)
    except ValueError as error:
        raise ValueError(f"{variable}: {error}") from None


def _tell(done: erase.Erased, absent: set[Path]) -> Outcome:
    """Print the result for each file; a file that is still there is a failure."""
    for one in done.files:
        if one.left:
            line = f"Not deleted: {one.path} ({one.left})"
        else:
            line = f"{'Not found' if one.path in absent else 'Deleted'}: {one.path}"
        print(visible(line))
    for one in done.bared:
        if one.left:
            print(visible(f"Health answers not removed from: {one.path} ({one.left})"))
        else:
            print(visible(f"Health answers removed from: {one.path}"))
    for sentence in done.told:
        print(visible(sentence))
    left = any(one.left for one in (*done.files, *done.bared))
    incomplete = left or not erase.REMAIN.isdisjoint(done.told)
    return Outcome.FAILED if incomplete else Outcome.DONE
