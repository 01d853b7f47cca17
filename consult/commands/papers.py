"""Writing the papers of calls where the user says: to the terminal, a file, or a folder."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, cast

from consult.body.population import load_population
from consult.call.state import state, with_chair
from consult.commands import clock
from consult.commands.call_files import basis_named
from consult.commands.out_file import out_folder, write_out
from consult.commands.outcome import (
    CannotDoError,
    Outcome,
    Progress,
    complain,
    number_of,
    print_problems,
)
from consult.durable import write_whole
from consult.records.call_trees import FirstCalls, led_with
from consult.retention import retention_set
from consult.summary import ENDINGS, Form, Paper
from consult.summary.model import Summary, summarise
from consult.summary.order import is_order, order_csv, order_text, waits_for
from consult.summary.render import Writer
from consult.summary.wording import BrokenWordingError
from consult.visible import visible

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.commands.records import OpenRecords

MANY = 10
"""Calls from which a line says how far it has come."""


def write_papers(
    calls: Sequence[tuple[str, Writer]], form: str, paper: str, out: str | None
) -> Outcome:
    """One paper of each call, by a name for its file; several go into a folder.

    A folder is told by its being one, or by a slash at its end.
    """
    kind, whose = cast("Form", form), cast("Paper", paper)
    if out is None:
        try:
            return _print([writer.write(kind, whose) for _, writer in calls], form)
        except BrokenWordingError as broken:
            return _broken(broken)
        except ValueError as error:
            return complain(f"Not written: {error}.")
    paths = paper_paths([name for name, _ in calls], form, paper, out)
    if len({path for _, path in paths}) < len(calls):
        return complain(f"There are {len(calls)} documents. Name a folder for them: --out {out}/")
    progress = Progress(len(calls), sys.stderr, quiet=len(calls) < MANY)
    for done, ((_, path), (_, writer)) in enumerate(zip(paths, calls, strict=True)):
        progress.at(done)
        try:
            write_out(path, writer.write(kind, whose))
        except CannotDoError:
            progress.clear()
            raise
        except BrokenWordingError as broken:
            progress.clear()
            return _broken(broken)
        except ValueError as error:
            progress.clear()
            return complain(f"{path} was not written: {error}.")
    progress.clear()
    return Outcome.DONE


def _broken(wording: BrokenWordingError) -> Outcome:
    print_problems([wording.problem])
    return Outcome.BAD_USE


def paper_paths(names: Sequence[str], form: str, paper: str, out: str) -> list[tuple[str, Path]]:
    """Where the paper of each call goes."""
    if not (out.endswith("/") or Path(out).is_dir()):
        return [(name, Path(out)) for name in names]
    ending = ENDINGS[cast("Form", form)]
    return [(name, Path(out) / f"{name}-{paper}{ending}") for name in names]


def _print(papers: Sequence[bytes], form: str) -> Outcome:
    if form in ("pdf", "png") and sys.stdout.isatty():
        return complain(f"This form cannot be shown in a terminal. Name a file: --out paper.{form}")
    if form in ("pdf", "eml", "png", "ics"):
        for paper in papers:
            sys.stdout.buffer.write(paper)
        sys.stdout.flush()
    else:
        for paper in papers:
            print(paper.decode())
    return Outcome.DONE


# -- records paper --------------------------------------------------------------------------------
# ``consult records document``: the documents of stored calls, as the call screen writes them.


def write_paper(desk: OpenRecords, options: Namespace) -> Outcome:
    """Write one document per call, from its answers; every file is noted in the records."""
    from consult.records.place import records_place

    population = load_population()
    firsts = FirstCalls(records_place(options.records))
    calls: list[tuple[str, Writer]] = []
    numbers: dict[str, int] = {}
    for reference in options.references:
        kept = desk.store.read(reference)
        basis, problems = basis_named(kept.versions.tree, population)
        if basis is None:
            print_problems(problems)
            return Outcome.BAD_USE
        basis = led_with(kept.versions, basis)
        now = state(basis, kept.call)
        lines = firsts.lines(now, basis)
        writer = Writer(
            # As of its last change: of two calendar files of one call, the later one counts.
            *(basis, now, kept.updated_at, kept.reference, kept.adviser, lines, retention_set()),
            strict=True,
        )
        calls.append((kept.reference, writer))
        numbers[kept.reference] = kept.id
    made = write_papers(calls, options.form, options.paper, options.out)
    if made is Outcome.DONE and options.out is not None:
        for name, path in paper_paths(list(numbers), options.form, options.paper, options.out):
            desk.store.note_summary(numbers[name], Path(path), clock.now())
    return made


# -- ``consult records orders``: write each agreed order once to a folder that others watch -------

_MOST = 1_000_000
_READABLE = 0o640
"""By the group of the folder too, as another system reads it; orders hold names and addresses."""
_WRITERS = {"json": order_text, "csv": order_csv}


def write_orders(desk: OpenRecords, options: Namespace) -> Outcome:
    """Write the new orders of finished calls, each atomically, as a file named by its reference.

    An order on hold, or without the fabric that the range asks for, is skipped until it has it.
    """
    folder = out_folder(options.to).resolve()
    since = clock.now().astimezone() - timedelta(days=options.days)
    population = load_population()
    bases: dict[str, Basis] = {}
    written, held = [], []
    for listed in reversed(desk.store.latest(_MOST)):
        file = folder / f"{listed.reference}.{options.form}"
        if listed.status != "finished" or listed.started_at < since:
            continue
        kept = desk.store.read(listed.id)
        # The records note what was written, so that a file taken away does not come back.
        if str(file) in kept.summaries:
            continue
        basis = bases.get(kept.versions.tree) or basis_named(kept.versions.tree, population)[0]
        if basis is None:
            return complain(f"{kept.reference}: the questions of this call cannot be read.")
        bases[kept.versions.tree] = basis
        basis = led_with(kept.versions, basis)
        summary = _order(basis, kept.call, kept.reference, kept.adviser)
        if not is_order(summary):
            continue
        if wanted := waits_for(summary):
            held.append(f"{kept.reference} ({wanted})")
            continue
        # Written before it is noted: an order is never lost, whatever breaks off in between.
        write_whole(file, _WRITERS[options.form](summary).encode(), mode=_READABLE)
        desk.store.note_summary(kept.id, file, clock.now())
        written.append(kept.reference)
    for reference in written:
        print(visible(f"{reference} -> {folder / f'{reference}.{options.form}'}"))
    print(f"{number_of(len(written), 'new order')}. Waiting: {', '.join(held) or 'none'}.")
    return Outcome.DONE


def _order(basis: Basis, call: Call, reference: str, adviser: str) -> Summary:
    """What the order team may see of a call."""
    now = with_chair(basis, state(basis, call))
    return summarise(basis, now, reader="order", reference=reference, adviser=adviser)
