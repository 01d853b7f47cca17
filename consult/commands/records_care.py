"""``consult records`` to back up, restore, check, encrypt and recover, and to delete for good."""

from __future__ import annotations

import os
from argparse import Namespace
from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path

from consult.commands import clock
from consult.commands.installation import out_path
from consult.commands.options import whole
from consult.commands.outcome import Outcome, Progress, complain, number_of, tell
from consult.commands.records_text import confirm, cut, local, records_exist, reference_named, typed
from consult.problems import CannotDoError
from consult.records import erase, keys
from consult.records.backup import backup, integrity, nightly, restore, restore_shared
from consult.records.encryption import make_key, read_key, seal_of
from consult.records.errors import Damaged, NoSuchCall, RecordsTrouble
from consult.records.kept import as_reference
from consult.records.keys import replace_lost_key
from consult.records.merge import merge_spilled
from consult.records.place import home_path
from consult.records.recovery_file import files_in, spilt_in
from consult.records.search import count, files_of_call, unheard, version
from consult.records.store import Store
from consult.retention import CALLS, HEALTH, Retention
from consult.visible import visible


def make_backup(store: Store, options: Namespace) -> Outcome:
    """Write a consistent copy of the records."""
    if backup(store, out_path(options.path)):
        print("An unfinished copy from an earlier backup was deleted.")
    return tell(
        f"The records were copied to {options.path}. Only you can read the copy.",
        "If you delete a call later, it stays in this copy. Delete the copy when it is no longer "
        "needed.",
    )


def make_nightly(store: Store, options: Namespace) -> Outcome:
    """Write a dated copy, and delete the oldest copies."""
    folder = home_path(options.to).absolute()
    made, gone = nightly(store, folder, clock.now(), max(1, options.keep))
    tell(f"The records were copied to {made}, and the copy was read again.")
    if gone:
        print(f"Older copies deleted: {gone}.")
    return Outcome.DONE


def restore_backup(place: str | Path, options: Namespace) -> Outcome:
    """Restore a backup, after a confirmation."""
    if not records_exist(home_path(options.path)):
        return complain(f"There is no file {options.path}.")
    if isinstance(place, str):
        tell(
            f"This copies the calls of {options.path} into the database on the server,",
            "which must have no calls in it.",
        )
    else:
        tell(
            f"This replaces the records at {place} with those in {options.path}.",
            "The present records are moved to a file beside it. Close every call screen first.",
        )
    confirm(options, "To restore the backup", "restore")
    aside = None
    if isinstance(place, str):
        restore_shared(Path(options.path), place)
    else:
        aside = restore(Path(options.path), place)
    print("The backup is restored.")
    if aside is not None:
        tell(
            f"The earlier records are now in {aside}. Delete that file when you no longer need it."
        )
    return tell("Calls deleted since the backup was made are back. Delete them again.")


def check_records(store: Store, options: Namespace) -> Outcome:  # noqa: ARG001 - as every action
    """Read every call and check that it is complete and unchanged."""
    with Progress(count(store)) as progress:
        wrong = integrity(store, progress.at)
    tell(*wrong)
    if not wrong:
        print(f"{number_of(count(store), 'call')} checked, all intact.")
    _tell_waiting(store)
    with suppress(RecordsTrouble):  # told above
        for call in unheard(store, clock.now_utc()):
            who = cut(call.adviser, 20) or "another screen"
            last = f"{local(call.heard)} was its last response" if call.heard else ""
            heard = last or "it has not responded"
            print(f"Call {call.reference} is open with {who}, but {heard}. Anyone can continue it.")
    return Outcome.FAILED if wrong else Outcome.DONE


def tell_where(store: Store, options: Namespace) -> Outcome:  # noqa: ARG001 - as every action
    """Print which records are in use, without the password of their address."""
    address = store.database.path or store.database.engine.url.render_as_string(hide_password=True)
    key = "the key is set"
    if store.seal.trouble:
        key = "the key cannot be used"
    elif store.key_trouble:
        key = "a different key is set" if store.seal.key else "the key is missing"
    sealed = f"encrypted; {key}" if store.encrypted else "not encrypted"
    tell(
        f"Records         {address}",
        f"Calls           {count(store)}",
        f"Health answers  {sealed}",
        f"Schema version  {version(store)}",
        *filter(None, [store.key_trouble]),
    )
    _tell_waiting(store)
    return Outcome.DONE


def change_records_key(store: Store, options: Namespace) -> Outcome:
    """Encrypt the health answers with another key."""
    file = home_path(options.to)
    if options.old_lost:
        print("Nobody can read health answers encrypted with the lost key. This deletes them.")
        confirm(options, "To delete them", "delete")
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
    tell(f"The key is {'made' if made else 'the one'} in {file}. Set CONSULT_KEY_FILE")
    print("to it on every machine; a machine with another key works without health answers.")
    if not options.old_lost and store.encrypted:
        print("Keep the old key: older backups and waiting recovery files need it.")
    print("Store a copy of the key elsewhere. Without the key nobody can read the health answers.")
    if not store.wipe():
        tell(erase.copies(store))
        return Outcome.FAILED
    return Outcome.DONE


def recover(store: Store, options: Namespace) -> Outcome:
    """Add the waiting recovery files to the records."""
    others = [seal_of(read_key(home_path(file))) for file in options.key_file]
    if any(seal.trouble for seal in others):
        return complain("A file given by --key-file has no key in it. Name the file of the key.")
    done = merge_spilled(store, store.recovery_folders, clock.now_utc(), others)
    print(f"{number_of(done.calls, 'recovery file')} added to the records.")
    tell(*done.told)
    return Outcome.FAILED if done.told else Outcome.DONE


def _tell_waiting(store: Store) -> None:
    files = files_in(store.recovery_folders)
    if files:
        print(
            f"{number_of(len(files), 'recovery file')} not in the records yet. consult adds them "
            "at the next start."
        )
    tell(*(f"  {path}" for path in files))


# -- ``consult records delete`` and ``purge``: delete calls and their files for good ---------------

_USUAL = Retention()
_DAYS = {"days": (CALLS, _USUAL.days), "health_days": (HEALTH, _USUAL.health_days)}


def erase_call(store: Store, options: Namespace) -> Outcome:
    """Print what will be deleted, ask for the reference again, and delete it."""
    reference = reference_named(options.reference)
    spilt = [file for file in spilt_in(store.recovery_folders) if file.reference == reference]
    paths = (*files_of_call(store, reference), *(path for file in spilt for path in file.summaries))
    written = tuple(dict.fromkeys(paths))
    print(*_what_goes(store, reference, written, [file.path for file in spilt]), sep="\n")
    if not options.yes:
        again = typed(f"To delete it, type {reference} again:")
        if as_reference(again) != reference:
            return complain("Nothing was deleted.")
    absent = {path for path in written if not records_exist(path)}
    done = erase.erase(store, reference, clock.now_utc(), store.recovery_folders)
    print(f"Call {reference} is deleted.")
    return _tell(done, absent)


def _what_goes(
    store: Store, reference: str, written: Sequence[Path], spilt: Sequence[Path]
) -> Iterator[str]:
    try:
        kept = store.read(reference)
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


def purge_calls(store: Store, options: Namespace) -> Outcome:
    """Delete calls unchanged for the given days, and health answers sooner."""
    days, health_days = (_chosen(options, name) for name in _DAYS)
    now = clock.now_utc()
    folders = store.recovery_folders
    purge = partial(erase.purge, retention_days=days, health_days=health_days, folders=folders)
    planned = purge(store, now, dry_run=True)
    doubt = erase.doubt(planned, now)
    if doubt and not (options.dry_run or options.yes):
        print(doubt)
        refusal = "Nothing was deleted. If the clock is right, use --yes."
        confirm(options, "To delete them", "purge", refusal)
    absent = {file.path for file in planned.files if not records_exist(file.path)}
    done = planned if options.dry_run else purge(store, now, dry_run=False)
    verb = "Would delete" if options.dry_run else "Deleted"
    print(
        f"{verb} {number_of(done.calls, 'call')} older than {number_of(days, 'day')}, and "
        f"{number_of(done.health, 'health answer')} older than {number_of(health_days, 'day')} "
        "of other calls."
    )
    if not options.dry_run:
        return _tell(done, absent)
    tell(*(_line(file, "Would delete", "Would not delete") for file in done.files))
    tell(*(f"Would remove health answers from: {erased_file.path}" for erased_file in done.bared))
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
        raise CannotDoError(f"{variable}: {error}") from None


def _tell(done: erase.Erased, absent: set[Path]) -> Outcome:
    """Print the result for each file; a file that is still there is a failure."""
    for file in done.files:
        tell(_line(file, "Not found" if file.path in absent else "Deleted", "Not deleted"))
    removed, kept = "Health answers removed from", "Health answers not removed from"
    tell(*(_line(erased_file, removed, kept) for erased_file in done.bared), *done.told)
    left = any(erased_file.left for erased_file in (*done.files, *done.bared))
    incomplete = left or not erase.REMAIN.isdisjoint(done.told)
    return Outcome.FAILED if incomplete else Outcome.DONE


def _line(erased_file: erase.ErasedFile, gone: str, left: str) -> str:
    return (
        f"{left}: {erased_file.path} ({erased_file.left})"
        if erased_file.left
        else f"{gone}: {erased_file.path}"
    )
