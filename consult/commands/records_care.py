"""``consult records backup``, ``restore``, ``check`` and ``where``."""

from __future__ import annotations

from argparse import Namespace
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands import clock
from consult.commands.outcome import Outcome, complain, number_of
from consult.commands.records_text import cut, is_there, local, typed
from consult.records.backup import SHARED, backup, integrity, restore
from consult.records.files import home_path
from consult.records.listing import count, unheard, version, waiting
from consult.records.trouble import RecordsTrouble
from consult.visible import visible

if TYPE_CHECKING:
    from consult.commands.records import Desk


def make_backup(desk: Desk, options: Namespace) -> Outcome:
    """A copy of the records of one moment."""
    backup(desk.store, Path(options.path))
    print(visible(f"The records are copied to {options.path}, readable by you alone."))
    print("Erasing a call later does not reach the copy: keep it no longer than it is needed.")
    return Outcome.DONE


def restore_backup(place: str | Path, options: Namespace) -> Outcome:
    """Put a backup in place, after asking."""
    if not isinstance(place, Path):
        file = place.startswith("sqlite")
        return complain("Name the file of the records by its path." if file else SHARED)
    if not is_there(home_path(options.path)):
        return complain(f"There is no file {options.path}.")
    print(visible(f"The records at {place} will be those of {options.path}."))
    print("What is kept there now is set aside. No desk may have the records open.")
    if not options.yes and typed("To go on, type restore:").casefold() != "restore":
        return complain("Nothing was changed.")
    aside = restore(Path(options.path), place)
    print("The backup is in place.")
    if aside is not None:
        print(visible(f"What was kept before is set aside as {aside}; remove it once not needed."))
    print("Calls erased since the backup was made are back: erase them again.")
    return Outcome.DONE


def check_records(desk: Desk, options: Namespace) -> Outcome:  # noqa: ARG001 - as every action
    """Every call read and proved."""
    wrong = integrity(desk.store)
    for sentence in wrong:
        print(visible(sentence))
    if not wrong:
        print(f"{number_of(count(desk.store), 'call')} checked: all as written.")
    _tell_waiting(desk)
    with suppress(RecordsTrouble):  # told above
        _tell_unheard(desk)
    return Outcome.FAILED if wrong else Outcome.DONE


def tell_where(desk: Desk, options: Namespace) -> Outcome:  # noqa: ARG001 - as every action
    """Which records these are; a password in their address is not shown."""
    store = desk.store
    address = store.database.path or store.database.engine.url.render_as_string(hide_password=True)
    key = "the key is here" if store.writes_health else "the key is missing here"
    sealed = f"encrypted; {key}" if store.encrypted else "not encrypted"
    print(visible(f"Records         {address}"))
    print(f"Calls           {count(store)}")
    print(f"Health answers  {sealed}")
    print(f"Schema version  {version(store)}")
    _tell_waiting(desk)
    return Outcome.DONE


def _tell_unheard(desk: Desk) -> None:
    """Calls nobody will put aside: their desk went down long ago."""
    for one in unheard(desk.store, clock.now_utc()):
        who = cut(one.adviser, 20) or "another desk"
        heard = f"{local(one.heard)} was the last sign of it" if one.heard else "it gave no sign"
        print(f"Call {one.reference} is open with {who}, but {heard}; any desk can go on with it.")


def _tell_waiting(desk: Desk) -> None:
    files = waiting(desk.folders)
    if files:
        print(
            f"{number_of(len(files), 'recovery file')} not in the records yet; "
            "the desk puts them back when it starts."
        )
    for path in files:
        print(visible(f"  {path}"))
