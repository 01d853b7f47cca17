"""``consult records document``: the documents of stored calls, as the call screen writes them."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.population import load_population
from consult.call.state import state
from consult.commands import clock
from consult.commands.outcome import Outcome, print_problems
from consult.commands.papers import paper_paths, write_papers
from consult.commands.reading import basis_named
from consult.records.call_trees import FirstCalls, led_with
from consult.retention import retention_set
from consult.summary.render import Writer

if TYPE_CHECKING:
    from consult.commands.records import Desk


def write_paper(desk: Desk, options: Namespace) -> Outcome:
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
            *(basis, now, None, kept.reference, kept.adviser, lines, retention_set()), strict=True
        )
        calls.append((kept.reference, writer))
        numbers[kept.reference] = kept.id
    made = write_papers(calls, options.form, options.paper, options.out)
    if made is Outcome.DONE and options.out is not None:
        for name, path in paper_paths(list(numbers), options.form, options.paper, options.out):
            desk.store.note_summary(numbers[name], Path(path), clock.now())
    return made
