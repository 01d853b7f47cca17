"""``consult sheet``: the measuring sheet of a tree, to send before a call."""

from __future__ import annotations

import sys
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.by_name import BY_NAME
from consult.call.call import Call
from consult.call.session import Session
from consult.call.to_measure import to_measure
from consult.commands import clock
from consult.commands.installation import tree_about, usual_units
from consult.commands.out_file import UnwritableError, write_out
from consult.commands.outcome import Outcome, complain, print_problems
from consult.paths import default_tree
from consult.summary.measuring_sheet import measuring_sheet
from consult.summary.render import write_sheet

if TYPE_CHECKING:
    from consult.units import System


def run(options: Namespace) -> Outcome:
    """Write the sheet of what is not known yet."""
    if options.units == "both":
        return complain("A tape shows one unit. Use --units metric or --units imperial.")
    tree = _tree_file(options.tree)
    if isinstance(tree, str):
        return complain(tree)
    basis, problems = load_basis(tree)
    if basis is None:
        print_problems(problems)
        return Outcome.BAD_USE
    system: System = options.units or usual_units()
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
        sys.stdout.flush()
        sys.stdout.buffer.write(written)
        sys.stdout.flush()
        return Outcome.DONE
    try:
        write_out(options.out, written)
    except UnwritableError as unwritable:
        return complain(str(unwritable))
    return Outcome.DONE


def _tree_file(named: str | None) -> Path | str:
    """The file that is meant, by its path or its name; else what to say instead."""
    if named is None:
        return default_tree()
    path = Path(named).expanduser()
    return path if path.is_file() else tree_about(named)
