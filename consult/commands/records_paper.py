"""``consult records paper``: the papers of kept calls, as the desk writes them."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.state import state
from consult.commands.outcome import Outcome, complain, print_problems
from consult.commands.papers import paper_paths, write_papers
from consult.paths import trees_folder
from consult.summary.render import Writer
from consult.ui.follow_up import FirstCalls

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.commands.records import Desk


def write_paper(desk: Desk, options: Namespace) -> Outcome:
    """One paper of each call named, made anew from its answers; the records note every file."""
    from consult.records.place import records_place

    firsts = FirstCalls(records_place(options.records))
    bases: dict[str, Basis] = {}
    calls: list[tuple[str, Writer]] = []
    numbers: dict[str, int] = {}
    for reference in options.references:
        kept = desk.store.read(reference)
        tree = kept.versions.tree
        if tree not in bases:
            file = trees_folder() / f"{tree}.yaml"
            if not file.is_file():
                return complain(f"The questions of call {kept.reference}, {tree}, are not here.")
            basis, problems = load_basis(file)
            if basis is None:
                print_problems(problems)
                return Outcome.BAD_USE
            bases[tree] = basis
        now = state(bases[tree], kept.call)
        lines = firsts.lines(now, bases[tree])
        writer = Writer(bases[tree], now, None, kept.reference, kept.adviser, lines)
        calls.append((kept.reference, writer))
        numbers[kept.reference] = kept.id
    made = write_papers(calls, options.form, options.paper, options.out)
    if made is Outcome.DONE and options.out is not None:
        for name, path in paper_paths(list(numbers), options.form, options.paper, options.out):
            desk.store.note_summary(numbers[name], Path(path), datetime.now())
    return made
