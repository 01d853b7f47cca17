"""``consult records backup``, ``restore``, ``check`` and ``where``."""

from __future__ import annotations

import sys
from argparse import Namespace
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands import clock
from consult.commands.out_file import out_path
from consult.commands.outcome import Outcome, complain, number_of
from consult.commands.progress import Progress
from consult.commands.records_text import cut, is_there, local, typed
from consult.records import erase, keys
from consult.records.backup import SHARED, backup, integrity, restore
from consult.records.encryption import make_key, read_key, seal_of
from consult.records.files import home_path
from consult.records.keys import replace_lost_key
from consult.records.listing import count, unheard, version, waiting
from consult.records.merge import merge_spilled
from consult.records.trouble import RecordsTrouble
from consult.visible import visible

if TYPE_CHECKING:
    from consult.commands.records import Desk


def make_backup(desk: Desk, options: Namespace) -> Outcome:
    """A copy of the records of one moment."""
    if backup(desk.store, out_path(options.path)):
        print("Half a copy that an earlier backup had left there is removed.")
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
    progress = Progress(count(desk.store), sys.stderr)
    try:
        wrong = integrity(desk.store, progress.at)
    finally:
        progress.clear()
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
    key = "the key is here"
    if store.key_trouble:
        key = "another key is here" if store.seal.key else "the key is missing here"
    sealed = f"encrypted; {key}" if store.encrypted else "not encrypted"
    print(visible(f"Records         {address}"))
    print(f"Calls           {count(store)}")
    print(f"Health answers  {sealed}")
    print(f"Schema version  {version(store)}")
    if store.key_trouble:
        print(store.key_trouble)
    _tell_waiting(desk)
    return Outcome.DONE


def change_key(desk: Desk, options: Namespace) -> Outcome:
    """Encrypt the health answers with another key."""
    file, store = home_path(options.to), desk.store
    if options.old_lost:
        print("Health answers encrypted with the lost key can be read by nobody; they are erased.")
        if not options.yes and typed("To go on, type erase:").casefold() != "erase":
            return complain("Nothing was changed.")
    made = make_key(file)
    new = seal_of(read_key(file))
    if new.trouble:
        return complain(f"{file} holds no key. Name a file that is not there yet.")
    if options.old_lost:
        count = replace_lost_key(store.database, new, clock.now_utc())
        print(f"{number_of(count, 'health answer')} erased.")
    else:
        count = keys.change_key(store.database, store.seal, new)
        print(f"{number_of(count, 'health answer')} encrypted with the new key.")
    print(visible(f"The key is {'made' if made else 'the one'} in {file}. Set CONSULT_KEY_FILE"))
    print("to it at every desk; a desk with another key goes on without health answers.")
    if not options.old_lost and store.encrypted:
        print("Keep the old key: backups made before and waiting recovery files need it.")
    print("Store a copy of the key elsewhere: if it is lost, health answers are lost with it.")
    if not store.wipe():
        print(visible(erase.COPIES))
        return Outcome.FAILED
    return Outcome.DONE


def recover(desk: Desk, options: Namespace) -> Outcome:
    """Put waiting recovery files into the records."""
    others = [seal_of(read_key(home_path(file))) for file in options.key_file]
    for seal in others:
        if seal.trouble:
            return complain("A file given by --key-file holds no key.")
    done = merge_spilled(desk.store, desk.folders, clock.now_utc(), others)
    print(f"{number_of(done.calls, 'recovery file')} put into the records.")
    for sentence in done.told:
        print(visible(sentence))
    return Outcome.FAILED if done.told else Outcome.DONE


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
