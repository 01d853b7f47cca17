"""A call file with the tree it used, ready to be worked out, or the problems to print."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import Basis, load_basis
from consult.call.transcript import Transcript, load_transcript, unknown_questions
from consult.paths import demo_folder, trees_folder

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.body.population import Population
    from consult.problems import Problem

Read = tuple[Transcript, Basis]


def call_files(names: Iterable[str]) -> list[str]:
    """The call files named. Where none is here, those of the demonstration go by their folder's
    name, as the documents write them, also with a star that no shell has filled in.
    """
    found = []
    for name in names:
        folder, _, rest = name.partition("/")
        there = folder == demo_folder().name and not Path(name).exists()
        shipped = sorted(map(str, demo_folder().glob(rest))) if there and rest else []
        found += shipped or [name]
    return found


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
