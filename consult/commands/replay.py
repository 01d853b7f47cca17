"""``consult replay``: call files run again, compared with what they say must come out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import Basis, load_basis
from consult.call.expectation import disappointments
from consult.call.state import state
from consult.call.transcript import load_transcript, unknown_questions
from consult.commands.outcome import Outcome, print_json, print_problems
from consult.paths import trees_folder
from consult.summary.model import summarise
from consult.summary.render import render
from consult.visible import visible

if TYPE_CHECKING:
    from consult.problems import Problem


def run(files: Sequence[str], *, as_json: bool, summary: str | None) -> Outcome:
    """Replay each file and print what came out; one bad file does not stop the rest."""
    outcome = Outcome.DONE
    results: list[dict[str, object]] = []
    for name in files:
        path = Path(name)
        transcript, problems = load_transcript(path)
        basis: Basis | None = None
        if transcript is not None:
            basis, tree_problems = _basis(transcript.tree)
            problems = problems + tree_problems
            if basis is not None:
                problems += unknown_questions(transcript, basis.tree.questions)
        if transcript is None or basis is None:
            print_problems(problems)
            outcome = max(outcome, Outcome.BAD_USE)
            continue
        now = state(basis, transcript.call)
        unmet = disappointments(transcript, now)
        made = summarise(basis, now)
        failed = bool(unmet) or any(problem.severity == "error" for problem in problems)
        print_problems([*problems, *unmet])
        if failed:
            outcome = max(outcome, Outcome.FAILED)
        if as_json:
            results.append({"file": name, "as_expected": not failed, **made.as_json()})
        elif summary:
            print(render(made, "md" if summary == "md" else "text", transcript.call.system))
        else:
            print(_line(transcript.title, failed))
    if as_json:
        print_json(results[0] if len(files) == 1 and results else results)
    return outcome


@cache
def _basis(tree: str) -> tuple[Basis | None, list[Problem]]:
    return load_basis(trees_folder() / f"{tree}.yaml")


def _line(title: str, failed: bool) -> str:
    verdict = "NOT as expected" if failed else "as expected"
    return visible(f"{verdict:<16} {title}")
