"""``consult call``: a call in the terminal."""

from __future__ import annotations

import getpass
import os
import sys
from argparse import Namespace
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from consult.call.basis import load_basis
from consult.call.call import Call
from consult.call.transcript import load_transcript, unknown_questions
from consult.commands.outcome import Outcome, complain, print_problems
from consult.commands.population import chosen_population
from consult.paths import default_tree, trees_folder
from consult.records.desk_calls import DeskCalls
from consult.records.place import records_place
from consult.records.proven_file import keep_proven, recall_proven


def run(options: Namespace) -> Outcome:
    """Hold a call; at the end say where it was kept."""
    started = datetime.now()
    country = options.country or os.environ.get("CONSULT_COUNTRY") or "GB"
    call = Call(started.date(), options.units or "metric", country.upper())
    tree = Path(options.tree) if options.tree else default_tree()
    if options.start:
        transcript, problems = load_transcript(Path(options.start))
        if transcript is None:
            print_problems(problems)
            return Outcome.BAD_USE
        tree = Path(options.tree) if options.tree else trees_folder() / f"{transcript.tree}.yaml"
        call = transcript.call
        if options.units:
            call = replace(call, system=options.units)
        if options.country:
            call = replace(call, country=country.upper())
    if not tree.is_file():
        return complain(f"There is no tree file {tree}.")
    try:
        population = chosen_population(options.population)
    except ValueError as unknown:
        return complain(str(unknown))
    recall_proven()
    basis, problems = load_basis(tree, population)
    keep_proven()
    if basis is not None and options.start and transcript is not None:
        problems = [*problems, *unknown_questions(transcript, basis.tree.questions)]
    if basis is None or any(problem.severity == "error" for problem in problems):
        print_problems(problems)
        return Outcome.BAD_USE
    in_browser = "TEXTUAL_DRIVER" in os.environ
    if not in_browser and not (sys.stdin.isatty() and sys.stdout.isatty()):
        return complain("A call needs a terminal. For call files use: consult replay FILE")

    from consult.ui.app import ConsultApp

    adviser = options.adviser or os.environ.get("CONSULT_ADVISER") or _user()
    kept = DeskCalls(basis, records_place(options.records), adviser, datetime.now)
    app = ConsultApp(basis, call, kept, open_first=options.open or "")
    app.run()
    if not in_browser:
        for desk in app.calls.values():
            if desk.now.call.answers:
                how = "finished" if desk.now.finished else "not finished"
                ref = desk.reference
                print(f"Kept as {ref}, {how}. Go on with it: consult call --open {ref}")
    return Outcome.DONE


def _user() -> str:
    """Who is at this desk, as the machine knows them."""
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""
