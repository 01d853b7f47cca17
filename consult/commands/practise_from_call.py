"""``consult practise --from-call``: make a practice caller from a stored call."""

from __future__ import annotations

import secrets
from argparse import Namespace
from datetime import date, datetime
from pathlib import Path

from consult.commands import clock
from consult.commands.call_files import basis_named
from consult.commands.installation import chosen_population
from consult.commands.out_file import out_path, write_out
from consult.commands.outcome import Outcome, complain, print_problems
from consult.practice.from_call import ExerciseRefused, exercise_from_call
from consult.practice.load import practice_problems
from consult.records.appending import note_audit
from consult.records.call_trees import FirstCalls, led_with
from consult.records.errors import RecordsTrouble
from consult.records.kept import Kept, check_of
from consult.records.place import home_path, records_place
from consult.records.store import open_store
from consult.visible import visible

_ENDED = ("finished", "stopped")


def run(options: Namespace) -> Outcome:
    """Write the caller's file, and print what to do next."""
    if not options.out:
        return complain("Name the file for the new caller: --out quiet_caller.yaml")
    path = home_path(options.out)
    if path.suffix != ".yaml":
        return complain("--out takes the name of a file that ends in .yaml.")
    if path.exists():
        return complain(f"{options.out} exists already. Choose another name.")
    try:
        kept = FirstCalls(records_place(options.records)).kept(options.from_call)
    except RecordsTrouble as trouble:
        return complain(str(trouble))
    population = chosen_population(options.population)
    if isinstance(kept, str):
        return complain(kept)
    if kept.status not in _ENDED:
        return complain(f"Call {kept.reference} is not finished yet. Finish it first.")
    if not kept.versions.tree.isidentifier():
        return complain(
            f"Call {kept.reference} names no tree that can be used, so no caller can be made of it."
        )
    basis, problems = basis_named(kept.versions.tree, population)
    if basis is None:
        print_problems(problems)
        return complain(
            f"The questions of that call, {kept.versions.tree}, cannot be read. Check the tree "
            "with: consult check"
        )
    try:
        agreed = date.fromisoformat(options.caller_agreed) if options.caller_agreed else None
    except ValueError:
        return complain("--caller-agreed takes a day, such as 2026-11-25.")
    try:
        text = exercise_from_call(
            kept.call,
            led_with(kept.versions, basis),
            name=path.stem,
            # Where the moves could be worked out from a seed, so could the figures.
            seed=options.seed if options.seed is not None else secrets.randbelow(2**31),
            caller_agreed=agreed,
            agreed_by=options.agreed_by or "",
            health=not options.without_health,
        )
        out_path(path)
        if agreed is not None:
            note_practice_use(
                records_place(options.records),
                kept,
                path,
                agreed,
                options.agreed_by,
                clock.now_utc(),
            )
        write_out(path, text)
    except (ExerciseRefused, RecordsTrouble) as trouble:
        return complain(str(trouble))
    print(visible(f"Wrote {path}. Names, contacts, dates, notes and free text are not in it."))
    print("Read the file before anybody uses it. Make sure nobody could recognise the caller.")
    print(
        "If the caller withdraws consent, delete the call and this file with: consult records "
        f"delete {kept.reference}"
    )
    print(visible(f"To try it: consult practise {options.out}"))
    found = [one for one in practice_problems(path) if one.rule != "no-tree"]
    print_problems(found)
    return Outcome.DONE


# -- practice use ---------------------------------------------------------------------------------
# A call used for training: the caller's agreement is recorded, the file goes with the call.


def note_practice_use(
    place: str | Path, kept: Kept, path: Path, agreed: date, trainer: str, at: datetime
) -> None:
    """Record that the caller agreed on a day, and to whom, before the practice caller is written.

    The audit line names the call by the mark that an erased call leaves (``schema.erased``):
    anyone with the reference can prove the agreement, and nobody else learns whose it was.
    ``path`` is noted like a summary, so that erasing the call deletes it.
    """
    store = open_store(place)
    try:
        what = (
            f"practice caller made of call {check_of(kept.reference)}: the caller agreed on "
            f"{agreed.isoformat()}, trainer {trainer}"
        )
        with store.database.writing() as connection:
            note_audit(connection, at, what, 1)
        store.note_summary(kept.id, path, at)
    finally:
        store.close()
