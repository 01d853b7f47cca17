"""A call file with the tree it used, ready to be worked out, or the problems to print."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import Basis, load_basis
from consult.call.transcript import Transcript, load_transcript, unknown_questions
from consult.paths import trees_folder

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.problems import Problem

Read = tuple[Transcript, Basis]


def read_call(path: Path, population: Population) -> tuple[Read | None, list[Problem]]:
    """The call file and its basis; None where either cannot be used."""
    transcript, problems = load_transcript(path)
    if transcript is None:
        return None, problems
    basis, more = basis_named(transcript.tree, population)
    if basis is None:
        return None, [*problems, *more]
    strangers = unknown_questions(transcript, basis.tree.questions)
    return (transcript, basis), [*problems, *more, *strangers]


def basis_named(tree: str, population: Population) -> tuple[Basis | None, list[Problem]]:
    """What calls of a tree are worked out from; the problems say why it is None."""
    return _basis_in(trees_folder() / f"{tree}.yaml", population)


@cache
def _basis_in(file: Path, population: Population) -> tuple[Basis | None, list[Problem]]:
    return load_basis(file, population)
