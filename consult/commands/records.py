"""``consult records``: list, show, export, delete, count and back up the stored calls."""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands.out_file import UnwritableError
from consult.commands.outcome import Outcome, complain
from consult.records.errors import RecordsTrouble
from consult.summary.harmless import harmless

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.records.store import Store


@dataclass(frozen=True, slots=True)
class Desk:
    """The open records, and the folders where recovery files may be."""

    store: Store
    folders: tuple[Path, ...]


def run(options: Namespace) -> Outcome:
    """Open the records and run one action; an error is one sentence and exit code 2."""
    from consult.records.place import home_path, records_place

    try:
        place = records_place(options.records)
        if options.action == "restore":
            from consult.commands import records_care

            return records_care.restore_backup(place, options)
        if options.records and isinstance(place, Path) and not home_path(place).exists():
            # The store would make it, and a name mistyped would look like records without calls.
            return complain(f"There are no records at {place}.")
        return _with_store(place, options)
    except (RecordsTrouble, UnwritableError) as trouble:
        return complain(harmless(str(trouble)))
    except OSError as error:
        named = f"{error.filename}: " if error.filename else ""
        return complain(harmless(f"{named}{error.strerror or error}."))


def _with_store(place: str | Path, options: Namespace) -> Outcome:
    from consult.records.recovery_file import spill_folders
    from consult.records.store import open_store

    act = _action(options.action)
    store = open_store(place)
    for notice in store.notices:
        print(f"consult: {harmless(notice)}", file=sys.stderr)
    try:
        return act(Desk(store, spill_folders(store.database.path or place)), options)
    finally:
        store.close()


def _action(name: str) -> Callable[[Desk, Namespace], Outcome]:
    from consult.commands import (
        own_demos,
        records_care,
        records_erase,
        records_export,
        records_learn,
        records_orders,
        records_outcome,
        records_outcomes,
        records_paper,
        records_report,
        records_show,
    )

    return {
        "list": records_show.list_calls,
        "find": records_show.find_calls,
        "show": records_show.show_call,
        "document": records_paper.write_paper,
        "orders": records_orders.write_orders,
        "demo": own_demos.write_demo,
        "export": records_export.export_calls,
        "report": records_report.tell_figures,
        "outcomes": records_outcomes.tell_outcomes,
        "outcome": records_outcome.note,
        "learn": records_learn.learn,
        "own-figures": records_outcome.own_figures,
        "delete": records_erase.erase_call,
        "purge": records_erase.purge_calls,
        "backup": records_care.make_backup,
        "nightly": records_care.make_nightly,
        "check": records_care.check_records,
        "where": records_care.tell_where,
        "change-key": records_care.change_key,
        "recover": records_care.recover,
    }[name]
