"""Writing papers where the user says, to the terminal, a file, or a folder: those of calls, and the
measuring sheet before one."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, cast

from consult.commands.options import RUNS, either_side, option
from consult.commands.outcome import Outcome, Progress, complain, number_of, sound, tell
from consult.paths import default_tree
from consult.problems import CannotDoError

if RUNS:
    from consult.body.population import load_population
    from consult.call.ahead import to_measure
    from consult.call.by_name import BY_NAME
    from consult.call.call import Call
    from consult.call.session import Session
    from consult.call.state import state, with_chair
    from consult.commands import clock, installation
    from consult.commands.call_files import basis_named
    from consult.durable import write_whole
    from consult.records.call_trees import FirstCalls, led_with
    from consult.retention import retention_set
    from consult.summary import ENDINGS, Form, Paper
    from consult.summary.measuring_sheet import measuring_sheet
    from consult.summary.model import summarise
    from consult.summary.order import is_order, order_csv, order_text, waits_for
    from consult.summary.render import Writer, write_sheet
    from consult.summary.wording import BrokenWordingError
    from consult.units import System

if TYPE_CHECKING:
    from consult.records.store import Store

_MANY = 10
"""Calls from which a line says how far it has come."""


def write_papers(
    calls: Sequence[tuple[str, Writer]], form: str, paper: str, out: str | None
) -> Outcome:
    """One paper of each call, by a name for its file; several go into a folder.

    A folder is told by its being one, or by a slash at its end.
    """
    if out is None:
        return _print([_paper(writer, form, paper, "Not") for _, writer in calls], form)
    paths = [_path(name, form, paper, out) for name, _ in calls]
    if len(set(paths)) < len(calls):
        return complain(f"There are {len(calls)} documents. Name a folder for them: --out {out}/")
    with Progress(len(calls), quiet=len(calls) < _MANY) as progress:
        for done, (path, (_, writer)) in enumerate(zip(paths, calls, strict=True)):
            progress.at(done)
            installation.write_out(path, _paper(writer, form, paper, f"{path} was not"))
    return Outcome.DONE


def _paper(writer: Writer, form: str, paper: str, not_: str) -> bytes:
    try:
        return writer.write(cast("Form", form), cast("Paper", paper))
    except BrokenWordingError as broken:
        raise CannotDoError(problems=[broken.problem]) from broken
    except ValueError as error:
        raise CannotDoError(f"{not_} written: {error}.") from error


def _path(name: str, form: str, paper: str, out: str) -> Path:
    """Where the paper of a call goes."""
    if not (out.endswith("/") or Path(out).is_dir()):
        return Path(out)
    return Path(out) / f"{name}-{paper}{ENDINGS[cast('Form', form)]}"


def _print(papers: Sequence[bytes], form: str) -> Outcome:
    if form in ("pdf", "png") and sys.stdout.isatty():
        return complain(f"This form cannot be shown in a terminal. Name a file: --out paper.{form}")
    if form in ("pdf", "eml", "png", "ics"):
        _print_bytes(*papers)
    else:
        for paper in papers:
            print(paper.decode())
    return Outcome.DONE


def _print_bytes(*papers: bytes) -> None:
    sys.stdout.flush()
    for paper in papers:
        sys.stdout.buffer.write(paper)
    sys.stdout.flush()


# -- records paper --------------------------------------------------------------------------------
# ``consult records document``: the documents of stored calls, as the call screen writes them.


def write_paper(store: Store, options: Namespace) -> Outcome:
    """Write one document per call, from its answers; every file is noted in the records."""
    from consult.records.place import records_place

    population = load_population()
    firsts = FirstCalls(records_place(options.records))
    calls: list[tuple[str, Writer]] = []
    numbers: dict[str, int] = {}
    for kept in map(store.read, options.references):
        basis = led_with(kept.versions, sound(*basis_named(kept.versions.tree, population)))
        now = state(basis, kept.call)
        # As of its last change: of two calendar files of one call, the later one counts.
        of = (basis, now, kept.updated_at, kept.reference, kept.adviser)
        writer = Writer(*of, firsts.lines(now, basis), retention_set(), strict=True)
        calls.append((kept.reference, writer))
        numbers[kept.reference] = kept.id
    made = write_papers(calls, options.form, options.paper, options.out)
    if made is Outcome.DONE and options.out is not None:
        for name, number in numbers.items():
            path = _path(name, options.form, options.paper, options.out)
            store.note_summary(number, path, clock.now())
    return made


# -- ``consult records orders``: write each agreed order once to a folder that others watch -------

_MOST = 1_000_000
_READABLE = 0o640
"""By the group of the folder too, as another system reads it; orders hold names and addresses."""


def write_orders(store: Store, options: Namespace) -> Outcome:
    """Write the new orders of finished calls, each atomically, as a file named by its reference.

    An order on hold, or without the fabric that the range asks for, is skipped until it has it.
    """
    folder = installation.out_folder(options.to).resolve()
    since = clock.now().astimezone() - timedelta(days=options.days)
    population = load_population()
    written, held = [], []
    for listed in reversed(store.latest(_MOST)):
        file = folder / f"{listed.reference}.{options.form}"
        if listed.status != "finished" or listed.started_at < since:
            continue
        kept = store.read(listed.id)
        # The records note what was written, so that a file taken away does not come back.
        if str(file) in kept.summaries:
            continue
        basis, _ = basis_named(kept.versions.tree, population)
        if basis is None:
            return complain(f"{kept.reference}: the questions of this call cannot be read.")
        basis = led_with(kept.versions, basis)
        now = with_chair(basis, state(basis, kept.call))
        # What the order team may see of a call.
        summary = summarise(
            basis, now, reader="order", reference=kept.reference, adviser=kept.adviser
        )
        if not is_order(summary):
            continue
        if wanted := waits_for(summary):
            held.append(f"{kept.reference} ({wanted})")
            continue
        # Written before it is noted: an order is never lost, whatever breaks off in between.
        text = order_text(summary) if options.form == "json" else order_csv(summary)
        write_whole(file, text.encode(), mode=_READABLE)
        store.note_summary(kept.id, file, clock.now())
        written.append(kept.reference)
    tell(*(f"{name} -> {folder / f'{name}.{options.form}'}" for name in written))
    return tell(f"{number_of(len(written), 'new order')}. Waiting: {', '.join(held) or 'none'}.")


# -- ``consult sheet``: the measuring sheet of a tree, to send before a call -----------------------


def sheet_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Write one page that shows how to measure everything a call may ask for, "
        "with a blank for each figure. In the call, enter the figures in one line: /leg 41, "
        "thigh 47, desk 73."
    )
    parser.epilog = "example: consult sheet --units imperial --form pdf --out sheet.pdf"
    either_side(parser, "--tree TREE", "tree file, or its name (seating)")
    either_side(parser, "--units", "metric if left out", choices=("metric", "imperial"))
    option(
        parser, "--form", "text if left out", choices=("text", "html", "pdf", "eml"), default="text"
    )
    option(parser, "--paper", "A4 if left out", choices=("A4", "Letter"), default="A4")
    option(
        parser,
        "--known FACTS",
        'what is already known, in one line as in a call: "height 165, desk type fixed"',
        default="",
    )
    option(parser, "--out FILE", "write it there")


def write_measuring_sheet(options: Namespace) -> Outcome:
    """Write the sheet of what is not known yet."""
    if options.units == "both":
        return complain("A tape shows one unit. Use --units metric or --units imperial.")
    named = options.tree
    path = Path(named).expanduser() if named else default_tree()
    basis = installation.loaded_basis(
        path if path.is_file() or not named else installation.tree_about(named)
    )
    system: System = options.units or installation.usual_units()
    session = Session(basis, Call(clock.today(), system), clock.now())
    if options.known.strip():
        reply = session.offer(BY_NAME + options.known.strip().lstrip(BY_NAME), clock.now())
        if not reply.taken:
            return complain(f"--known: {reply.tell}")
        if not session.now.call.answers:
            return complain(f"--known: there is no answer after “{options.known.strip()}”.")
    sheet = measuring_sheet(basis.tree, to_measure(basis, session.now), system)
    if not sheet.measures:
        return complain(f"“{basis.tree.title}” has nothing left to measure with a tape.")
    if options.form == "pdf" and options.out is None and sys.stdout.isatty():
        return complain("This form cannot be shown in a terminal. Name a file: --out sheet.pdf")
    written = write_sheet(basis, sheet, options.form, clock.now().astimezone(), options.paper)
    if options.out is None:
        _print_bytes(written)
    else:
        installation.write_out(options.out, written)
    return Outcome.DONE
