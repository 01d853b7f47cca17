"""``consult records backup``, ``restore``, ``check`` and ``where``."""

from __future__ import annotations

import sys
from argparse import Namespace
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands import clock
from consult.commands.out_file import out_path
from consult.commands.outcome import Outcome, Progress, complain, number_of
from consult.commands.records_text import cut, is_there, local, typed
from consult.records import erase, keys
from consult.records.backup import backup, integrity, nightly, restore, restore_shared
from consult.records.encryption import make_key, read_key, seal_of
from consult.records.errors import RecordsTrouble
from consult.records.keys import replace_lost_key
from consult.records.merge import merge_spilled
from consult.records.place import home_path
from consult.records.recovery_file import waiting
from consult.records.search import count, unheard, version
from consult.visible import visible

if TYPE_CHECKING:
    from consult.commands.records import OpenRecords


def make_backup(desk: OpenRecords, options: Namespace) -> Outcome:
    """Write a consistent copy of the records."""
    if backup(desk.store, out_path(options.path)):
        print("An unfinished copy from an earlier backup was deleted.")
    print(visible(f"The records were copied to {options.path}. Only you can read the copy."))
    print(
        "If you delete a call later, it stays in this copy. Delete the copy when it is no "
        "longer needed."
    )
    return Outcome.DONE


def make_nightly(desk: OpenRecords, options: Namespace) -> Outcome:
    """Write a dated copy, and delete the oldest copies."""
    folder = home_path(options.to).absolute()
    made, gone = nightly(desk.store, folder, clock.now(), max(1, options.keep))
    print(visible(f"The records were copied to {made}, and the copy was read again."))
    if gone:
        print(f"Older copies deleted: {gone}.")
    return Outcome.DONE


def restore_backup(place: str | Path, options: Namespace) -> Outcome:
    """Restore a backup, after a confirmation."""
    if not is_there(home_path(options.path)):
        return complain(f"There is no file {options.path}.")
    if isinstance(place, str):
        print(visible(f"This copies the calls of {options.path} into the database on the server,"))
        print("which must have no calls in it.")
    else:
        print(visible(f"This replaces the records at {place} with those in {options.path}."))
        print("The present records are moved to a file beside it. Close every call screen first.")
    if not options.yes and typed("To restore the backup, type restore:").casefold() != "restore":
        return complain("Nothing was changed.")
    aside = None
    if isinstance(place, str):
        restore_shared(Path(options.path), place)
    else:
        aside = restore(Path(options.path), place)
    print("The backup is restored.")
    if aside is not None:
        print(
            visible(
                f"The earlier records are now in {aside}. Delete that file when you no "
                "longer need it."
            )
        )
    print("Calls deleted since the backup was made are back. Delete them again.")
    return Outcome.DONE


def check_records(desk: OpenRecords, options: Namespace) -> Outcome:  # noqa: ARG001 - as every action
    """Read every call and check that it is complete and unchanged."""
    progress = Progress(count(desk.store), sys.stderr)
    try:
        wrong = integrity(desk.store, progress.at)
    finally:
        progress.clear()
    for sentence in wrong:
        print(visible(sentence))
    if not wrong:
        print(f"{number_of(count(desk.store), 'call')} checked, all intact.")
    _tell_waiting(desk)
    with suppress(RecordsTrouble):  # told above
        _tell_unheard(desk)
    return Outcome.FAILED if wrong else Outcome.DONE


def tell_where(desk: OpenRecords, options: Namespace) -> Outcome:  # noqa: ARG001 - as every action
    """Print which records are in use, without the password of their address."""
    store = desk.store
    address = store.database.path or store.database.engine.url.render_as_string(hide_password=True)
    key = "the key is set"
    if store.key_trouble:
        key = "a different key is set" if store.seal.key else "the key is missing"
    sealed = f"encrypted; {key}" if store.encrypted else "not encrypted"
    print(visible(f"Records         {address}"))
    print(f"Calls           {count(store)}")
    print(f"Health answers  {sealed}")
    print(f"Schema version  {version(store)}")
    if store.key_trouble:
        print(store.key_trouble)
    _tell_waiting(desk)
    return Outcome.DONE


def change_key(desk: OpenRecords, options: Namespace) -> Outcome:
    """Encrypt the health answers with another key."""
    file, store = home_path(options.to), desk.store
    if options.old_lost:
        print("Nobody can read health answers encrypted with the lost key. This deletes them.")
        if not options.yes and typed("To delete them, type delete:").casefold() != "delete":
            return complain("Nothing was changed.")
    made = make_key(file)
    new = seal_of(read_key(file))
    if new.trouble:
        return complain(f"{file} exists but has no key in it. Name a new file.")
    if options.old_lost:
        count = replace_lost_key(store.database, new, clock.now_utc())
        print(f"{number_of(count, 'health answer')} deleted.")
    else:
        count = keys.change_key(store.database, store.seal, new)
        print(f"{number_of(count, 'health answer')} encrypted with the new key.")
    print(visible(f"The key is {'made' if made else 'the one'} in {file}. Set CONSULT_KEY_FILE"))
    print("to it on every machine; a machine with another key works without health answers.")
    if not options.old_lost and store.encrypted:
        print("Keep the old key: older backups and waiting recovery files need it.")
    print("Store a copy of the key elsewhere. Without the key nobody can read the health answers.")
    if not store.wipe():
        print(visible(erase.copies(store)))
        return Outcome.FAILED
    return Outcome.DONE


def recover(desk: OpenRecords, options: Namespace) -> Outcome:
    """Add the waiting recovery files to the records."""
    others = [seal_of(read_key(home_path(file))) for file in options.key_file]
    for seal in others:
        if seal.trouble:
            return complain(
                "A file given by --key-file has no key in it. Name the file of the key."
            )
    done = merge_spilled(desk.store, desk.folders, clock.now_utc(), others)
    print(f"{number_of(done.calls, 'recovery file')} added to the records.")
    for sentence in done.told:
        print(visible(sentence))
    return Outcome.FAILED if done.told else Outcome.DONE


def _tell_unheard(desk: OpenRecords) -> None:
    """List calls still open although their computer stopped long ago."""
    for one in unheard(desk.store, clock.now_utc()):
        who = cut(one.adviser, 20) or "another screen"
        heard = f"{local(one.heard)} was its last response" if one.heard else "it has not responded"
        print(f"Call {one.reference} is open with {who}, but {heard}. Anyone can continue it.")


def _tell_waiting(desk: OpenRecords) -> None:
    files = waiting(desk.folders)
    if files:
        print(
            f"{number_of(len(files), 'recovery file')} not in the records yet. consult adds them "
            "at the next start."
        )
    for path in files:
        print(visible(f"  {path}"))
