"""Everything asked of a draft before it goes live: checked, compared, and tried on callers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.population import load_population
from consult.call.basis import load_basis
from consult.call.transcript import transcripts_in
from consult.commands.check import problems_of, template_problems
from consult.commands.effect import led_through
from consult.commands.outcome import number_of
from consult.content.callers import FILE, NO_SHARES, Source, load_shares
from consult.content.library.files import read_files
from consult.content.library.judge import compared
from consult.content.library.lost import LostCaution
from consult.content.library.publish import Judged
from consult.paths import demo_folder
from consult.summary.wordings import template_files
from consult.tree.folder import main_trees

if TYPE_CHECKING:
    from consult.content.callers import Shares
    from consult.content.effect import Lost
    from consult.problems import Problem

SEED = 1
"""The same callers every time, so that a loss found once is found again."""


def judged(live: Path, new: Path, *, count: int, today: date) -> Judged:
    """``count`` simulated callers and every demo call are led through both folders.

    Callers are led only where neither folder has errors: there is nothing else to lead them with.
    """
    problems = _problems(new)
    found = compared(live, new)
    lost = dict.fromkeys(found.lost)
    if not any(problem.severity == "error" for problem in problems):
        lost.update(dict.fromkeys(_lost_by_callers(live, new, count, today)))
    return Judged(problems, found.changes, tuple(lost))


def _problems(folder: Path) -> tuple[Problem, ...]:
    files = [name for name in read_files(folder) if name.endswith(".yaml") and "/" not in name]
    found = set(problems_of(*(folder / name for name in files)))
    found.update(template_problems(list(template_files(folder).values())))
    return tuple(sorted(found, key=lambda one: (one.where, one.message)))


def _lost_by_callers(live: Path, new: Path, count: int, today: date) -> Iterator[LostCaution]:
    population = load_population()
    shares = _shares(new).over(_shares(live))
    source = Source(shares, population, SEED, today)
    demos = transcripts_in(demo_folder())
    for path in main_trees(live).values():
        now = new / path.name
        old = load_basis(path, population)[0]
        other = load_basis(now, population)[0] if now.is_file() else None
        if old is None or other is None:
            continue
        found = led_through(old, other, source, count, demos)
        for lost in found.lost_cautions:
            if lost.callers or lost.demos:
                yield LostCaution(lost.caution, lost.level, _why(lost))


def _shares(folder: Path) -> Shares:
    file = folder / FILE
    return (load_shares(file)[0] or NO_SHARES) if file.is_file() else NO_SHARES


def _why(lost: Lost) -> str:
    """Who loses it, and a call that shows it."""
    who = [f"{lost.callers} of {lost.of} simulated callers"] if lost.callers else []
    who += [f"the demo call “{title}”" for title in lost.demos[:1]]
    more = f" and {number_of(len(lost.demos) - 1, 'more demo call')}" if lost.demos[1:] else ""
    how = f"hear it as {lost.now} only" if lost.now else "would not hear it any more"
    sample = lost.sample
    shown = f" For example {sample.who}: {'; '.join(sample.answers)}." if sample else ""
    whom = f"{' and '.join(who)}{more}"
    return f"{whom[0].upper()}{whom[1:]} {how}.{shown}"
