"""``consult practise --check-score``: whether the score ranks simulated advisers correctly."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.commands.installation import chosen_population
from consult.commands.outcome import Outcome, Progress, complain, print_problems
from consult.commands.practise import caller_named
from consult.practice.catalogue import callers_folder, choices_in, tree_of
from consult.practice.load import load_persona
from consult.practice.trial import (
    BY_THE_SCREEN,
    AdviserTrial,
    adviser_promise,
    adviser_summaries,
    passed_with_a_sign_missed,
    rank_correlation,
    trials,
)
from consult.visible import visible

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.catalogue import CallerChoice
    from consult.practice.model import Persona

DRAWN = "somebody_new"
"""The caller who is somebody else with every seed."""
_MOST = 1000


def run(options: Namespace) -> Outcome:
    """Print a row per simulated adviser, and the rank correlation of score and outcome."""
    if not 1 <= options.check_score <= _MOST:
        return complain(f"--check-score takes a number of callers from 1 to {_MOST}.")
    choices, problems = choices_in(callers_folder())
    print_problems(problems)
    choice = caller_named(options.caller or DRAWN, choices)
    if isinstance(choice, Outcome):
        return choice
    try:
        population = chosen_population(options.population)
    except ValueError as unknown:
        return complain(str(unknown))
    basis, problems = load_basis(tree_of(choice.listed), population)
    if basis is None:
        print_problems(problems)
        return Outcome.BAD_USE
    first = options.seed or 0
    progress = Progress(options.check_score, sys.stderr)
    drawn = _drawn(choice, basis, range(first, first + options.check_score))
    found = list(trials(basis, drawn, tell=progress.at))
    progress.clear()
    for line in _lines(found, options.check_score):
        print(visible(line))
    return Outcome.DONE


def _drawn(choice: CallerChoice, basis: Basis, seeds: range) -> Iterator[tuple[int, Persona]]:
    for seed in seeds:
        persona, _ = load_persona(choice.listed.path, basis.tree, basis.population, seed)
        if persona is not None:
            yield seed, persona


def _lines(found: list[AdviserTrial], callers: int) -> Iterator[str]:
    yield f"{callers} callers drawn by seed. Of 100 calls of each adviser:"
    yield ""
    heads = f"{'chair fits':>12}{'sign missed':>13}{'minutes':>9}"
    yield f"{'adviser':24}{'passed':>8}{'score':>7}{heads}"
    for row in adviser_summaries(found):
        fits, missed = (100 * one / row.calls for one in (row.fits, row.missed))
        yield (
            f"{row.adviser:24}{100 * row.passed / row.calls:8.1f}{row.score:7.1f}"
            f"{fits:12.1f}{missed:13.1f}{row.minutes:9.1f}"
        )
    yield ""
    yield "Score is the mean of 100 points, minutes the median. A chair fits if it and its seat"
    yield "height fit the true body, or if none was named to a caller who needs help first."
    together = rank_correlation(found)
    yield f"Rank correlation of score and outcome, over {len(found)} calls: {together:.2f}"
    yield f"Calls passed with a warning sign missed: {passed_with_a_sign_missed(found)}"
    yield ""
    kept = adviser_promise(found)
    as_good = 100 * kept.as_good / kept.chairs if kept.chairs else 0.0
    yield f"An adviser who only {BY_THE_SCREEN} and enters what is said:"
    yield f"  a chair as good as the best for the true body: {as_good:.1f} of 100 ({kept.chairs})"
    yield f"  questions asked, median: {kept.questions:g}"
    yield f"  warning signs missed: {kept.missed} of {kept.signs}"
