"""``consult sheet``: the measuring sheet of a tree, to send before a call."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from consult.commands.options import RUNS, either_side, option
from consult.commands.outcome import Outcome, complain
from consult.paths import default_tree

if RUNS:
    from consult.call.ahead import to_measure
    from consult.call.by_name import BY_NAME
    from consult.call.call import Call
    from consult.call.session import Session
    from consult.commands import clock
    from consult.commands.installation import loaded_basis, tree_about, usual_units
    from consult.commands.out_file import write_out
    from consult.summary.measuring_sheet import measuring_sheet
    from consult.summary.render import write_sheet
    from consult.units import System


def arguments(parser: ArgumentParser) -> None:
    """What the command line may say."""
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


def run(options: Namespace) -> Outcome:
    """Write the sheet of what is not known yet."""
    if options.units == "both":
        return complain("A tape shows one unit. Use --units metric or --units imperial.")
    basis = loaded_basis(_tree_file(options.tree))
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
    write_out(options.out, written)
    return Outcome.DONE


def _tree_file(named: str | None) -> Path:
    """The file that is meant, by its path or its name."""
    if named is None:
        return default_tree()
    path = Path(named).expanduser()
    return path if path.is_file() else tree_about(named)
