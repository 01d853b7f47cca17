"""Everything asked of a draft before it goes live: checked, proven, compared, tried on callers."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from consult.body.population import load_population
from consult.call.basis import RANGE_FILE, Basis, load_basis
from consult.call.transcript import Transcript, transcripts_in
from consult.commands.check import problems_of_files, template_problems
from consult.commands.outcome import number_of
from consult.commands.workers import in_processes
from consult.content.begin import home_first
from consult.content.callers.simulation import (
    CallerSource,
    ForEach,
    Simulated,
    drawn,
    leans_on_pools,
)
from consult.content.effect.compared import effect
from consult.content.effect.result import Lost
from consult.content.library.files import read_files, touched_trees, with_version
from consult.content.library.lost import Weaker, compared
from consult.content.library.publish import Judged
from consult.content.prove.kept import digest_of_proof, proofs_of
from consult.content.prove.ways import of_all_trees
from consult.paths import demo_folder, proofs_folder
from consult.problems import Problem
from consult.summary.wording import template_files
from consult.tree import contacts, settings
from consult.tree.folder import main_trees
from consult.tree.shares import NO_SHARES, SHARES_FILE, Shares, load_shares

_SEED = 1
"""The same callers every time, so that results can be compared."""


def judged(
    live: Path,
    new: Path,
    *,
    count: int,
    today: date,
    said: Callable[[str], None] | None = None,
    each: ForEach = in_processes,
) -> Judged:
    """Every main tree is proven, then ``count`` simulated callers are run through both folders.

    Neither is done where the check finds errors. ``said`` hears what is being done; a terminal
    shows it where nobody does. ``each`` goes through the callers.
    """
    said = said or _shown
    said("Checking the trees and documents ...")
    problems = folder_problems(new, live)
    said("Comparing with the live version ...")
    comparison = compared(live, new)
    weaker = dict.fromkeys(comparison.weaker)
    if not any(problem.severity == "error" for problem in problems):
        population = load_population()
        bases = {path.name: load_basis(path, population)[0] for path in main_trees(new).values()}
        sound = {name: basis for name, basis in bases.items() if basis is not None}
        refuted, unproven = _proven(sound, said)
        problems = (*problems, *refuted)
        weaker.update(dict.fromkeys(unproven))
        if not refuted:
            lost = _lost_by_callers(live, new, sound, count, today, said, each)
            weaker.update(dict.fromkeys(lost))
    said("")
    return Judged(problems, comparison.changes, tuple(weaker))


def _shown(text: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{text}")
        sys.stderr.flush()


def _proven(
    bases: Mapping[str, Basis], show: Callable[[str], None]
) -> tuple[list[Problem], list[Weaker]]:
    """What is refuted, which nothing excuses, and what is left unproven, which needs a reason."""
    results = []
    for number, basis in enumerate(bases.values(), 1):
        what = f"Proving tree {number} of {len(bases)}, {basis.tree.name}"
        show(f"{what} ...")

        def progress(done: int, of: int, what: str = what) -> None:
            if done % 10 == 0:
                show(f"{what}: {done} of {of} pieces ...")

        results.append(proofs_of(basis, proofs_folder(), progress, witnesses=False))
    unproven = [
        Weaker(f"proof.{proofs.tree}", f"'{promise.name}' is not proven. {promise.reason}")
        for proofs in results
        for promise in proofs.properties
        if promise.standing == "not proven"
    ]
    return [problem for problem in of_all_trees(results) if problem.severity == "error"], unproven


def folder_problems(folder: Path, live: Path | None = None) -> tuple[Problem, ...]:
    """What the check finds in a folder of trees and its templates.

    Templates that are those of ``live`` to the byte are in use already, and not filled again.
    """
    files = [name for name in read_files(folder) if name.endswith(".yaml") and "/" not in name]
    problems = set(problems_of_files(*(folder / name for name in files)))
    if live is None or _wording(folder) != _wording(live):
        problems.update(template_problems(list(template_files(folder).values())))
    return tuple(sorted(problems, key=lambda problem: (problem.where, problem.message)))


def _wording(folder: Path) -> dict[str, bytes]:
    return {name: path.read_bytes() for name, path in template_files(folder).items()}


def _lost_by_callers(
    live: Path,
    new: Path,
    bases: Mapping[str, Basis],
    count: int,
    today: date,
    show: Callable[[str], None],
    run_all: ForEach,
) -> Iterator[Weaker]:
    population = load_population()
    shares = _shares(new).over(_shares(live))
    source = CallerSource(shares, population, _SEED, today)
    # Which question is worth its time then cannot take a caution away that the whole call has.
    thorough = asks_the_same(live, new)
    for name in touched_trees(read_files(live), read_files(new)):
        basis = bases.get(name)
        old = load_basis(live / name, population)[0] if (live / name).is_file() else None
        if old is None or basis is None:
            continue
        same = digest_of_proof(old) == digest_of_proof(basis)
        if same and (thorough or _pooled_words(old) == _pooled_words(basis)):
            continue  # who answers the same hears the same cautions: only words or prices differ
        callers = drawn(source, count)
        lost: dict[str, Lost] = {}
        if not same:
            demos = transcripts_in(demo_folder())
            for loss in _lost(old, basis, callers, demos, show, run_all, thorough=True):
                # Other limits of the range make one note of the same tree give way to another.
                if not (thorough and loss.level == "note" and loss.instead):
                    lost[loss.caution] = loss
        if not thorough:
            # What pools ask makes a difference to some callers only, and to no call whose answers
            # are given.
            sides = (old,) if same else (old, basis)
            leans = run_all(partial(_leans_on_pools, sides), callers)
            leaning = [caller for caller, does in zip(callers, leans, strict=True) if does]
            losts = _lost(old, basis, leaning, (), show, run_all, thorough=False) if leaning else ()
            for loss in losts:
                lost.setdefault(loss.caution, loss)
        for loss in lost.values():
            if loss.callers or loss.demos:
                yield Weaker(f"caution.{loss.caution}", _why(replace(loss, of=count)), loss.level)


def _leans_on_pools(sides: Sequence[Basis], caller: Simulated) -> bool:
    return any(leans_on_pools(basis, caller) for basis in sides)


def _lost(
    old: Basis,
    new: Basis,
    callers: Sequence[Simulated],
    demos: Sequence[Transcript],
    show: Callable[[str], None],
    run_all: ForEach,
    *,
    thorough: bool,
) -> tuple[Lost, ...]:
    of = len(callers)

    def progress(done: int) -> None:
        if done % 10 == 0 or done == of:
            caller = f"simulated caller {done} of {of}"
            show(f"Tree {old.tree.name}: {caller} run through both versions ...")

    impact = effect(
        old, new, callers, demos, progress, thorough=thorough, cautions_only=True, each=run_all
    )
    return impact.lost_cautions


def _pooled_words(basis: Basis) -> list[tuple[str, str]]:
    """What is said for the questions that are asked only while they are worth their time."""
    return [
        (question.ask, question.coach)
        for question in basis.tree.questions.values()
        if question.pool
    ]


def asks_the_same(live: Path, new: Path) -> bool:
    """Whether no question, caution or piece of advice differs, as where only the range is new.

    The order of the countries that a chair goes to may differ.
    """
    whom, _ = contacts.load_contacts(new / contacts.CONTACTS_FILE)
    country = settings.settings_of(new).country
    aside = (RANGE_FILE, settings.SETTINGS_FILE)

    def asked(folder: Path) -> dict[str, str]:
        texts = {}
        for name, content in with_version(read_files(folder), "").items():
            if name.endswith(".yaml") and "/" not in name and name not in aside:
                text = content.decode("utf-8", "replace")
                texts[name] = (whom and home_first(text, whom, country)) or text
        return texts

    return asked(live) == asked(new)


def _shares(folder: Path) -> Shares:
    file = folder / SHARES_FILE
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
