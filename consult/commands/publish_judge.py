"""Everything asked of a draft before it goes live: checked, proven, compared, tried on callers."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
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
from consult.content.library.lost import Weaker
from consult.content.library.publish import Judged
from consult.content.prove.kept import proofs_of
from consult.content.prove.merged import together
from consult.paths import demo_folder, proofs_folder
from consult.summary.wordings import template_files
from consult.tree.folder import main_trees

if TYPE_CHECKING:
    from consult.content.callers import Shares
    from consult.content.effect import Lost
    from consult.problems import Problem

SEED = 1
"""The same callers every time, so that results can be compared."""


def judged(
    live: Path, new: Path, *, count: int, today: date, said: Callable[[str], None] | None = None
) -> Judged:
    """Every main tree is proven, then ``count`` simulated callers are run through both folders.

    Neither is done where the check finds errors. ``said`` hears what is being done; a terminal
    shows it where nobody does.
    """
    said = said or _shown
    problems = _problems(new)
    found = compared(live, new)
    weaker = dict.fromkeys(found.weaker)
    if not _has_error(problems):
        more, unproven = _proven(new, said)
        problems = (*problems, *more)
        weaker.update(dict.fromkeys(unproven))
    if not _has_error(problems):
        said("Running simulated callers through both versions ...")
        weaker.update(dict.fromkeys(_lost_by_callers(live, new, count, today)))
    said("")
    return Judged(problems, found.changes, tuple(weaker))


def _has_error(problems: tuple[Problem, ...]) -> bool:
    return any(problem.severity == "error" for problem in problems)


def _shown(text: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{text}")
        sys.stderr.flush()


def _proven(folder: Path, said: Callable[[str], None]) -> tuple[list[Problem], list[Weaker]]:
    """What is refuted, which nothing excuses, and what is left unproven, which needs a reason."""
    found = []
    mains = main_trees(folder)
    for number, path in enumerate(mains.values(), 1):
        basis = load_basis(path, load_population())[0]
        if basis is not None:
            said(f"Proving tree {number} of {len(mains)}, {path.stem} ...")
            found.append(proofs_of(basis, proofs_folder()))
    unproven = [
        Weaker(f"proof.{one.tree}", f"'{each.name}' is not proven. {each.reason}")
        for one in found
        for each in one.properties
        if each.standing == "not proven"
    ]
    return [each for each in together(found) if each.severity == "error"], unproven


def _problems(folder: Path) -> tuple[Problem, ...]:
    files = [name for name in read_files(folder) if name.endswith(".yaml") and "/" not in name]
    found = set(problems_of(*(folder / name for name in files)))
    found.update(template_problems(list(template_files(folder).values())))
    return tuple(sorted(found, key=lambda one: (one.where, one.message)))


def _lost_by_callers(live: Path, new: Path, count: int, today: date) -> Iterator[Weaker]:
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
                yield Weaker(f"caution.{lost.caution}", _why(lost), lost.level)


def _shares(folder: Path) -> Shares:
    file = folder / FILE
    return (load_shares(file)[0] or NO_SHARES) if file.is_file() else NO_SHARES


def _why(lost: Lost) -> str:
    """Who loses it, and a call that shows it."""
    who = [f"{lost.callers} of {lost.of} simulated callers"] if lost.callers else []
    who += [f"the demo call “{title}”" for title in lost.demos[:1]]
    more = f" and {number_of(len(lost.demos) - 1, 'more demo call')}" if lost.demos[1:] else ""
    how = f"now hear it only as {lost.now}" if lost.now else "would no longer hear it"
    sample = lost.sample
    shown = f" For example {sample.who}: {'; '.join(sample.answers)}." if sample else ""
    whom = f"{' and '.join(who)}{more}"
    return f"{whom[0].upper()}{whom[1:]} {how}.{shown}"
