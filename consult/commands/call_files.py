"""Call files with the tree they use; a maker's own demo calls, held to what came out then."""

from __future__ import annotations

import re
from argparse import Namespace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.population import Population, load_population
from consult.call.basis import Basis, load_basis
from consult.call.expectation import demo_call, disappointments
from consult.call.state import state
from consult.call.transcript import Transcript, load_transcript, unknown_questions
from consult.commands.outcome import Outcome, complain, tell
from consult.durable import write_whole
from consult.paths import demo_folder, is_own, own_demo_folder, trees_folder

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.problems import Problem
    from consult.records.store import Store

Read = tuple[Transcript, Basis]


def call_files(names: Iterable[str]) -> list[str]:
    """The call files named. Where none is here, those of the demonstration go by their folder's
    name, as the documents write them, also with a star that no shell has filled in.
    """
    files = []
    for name in names:
        folder, _, rest = name.partition("/")
        there = folder == demo_folder().name and not Path(name).exists()
        shipped = sorted(map(str, demo_folder().glob(rest))) if there and rest else []
        files += shipped or [name]
    return files


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


_basis_in = cache(load_basis)


# -- a maker's own demo calls, written from stored calls ------------------------------------------

_NAME = re.compile(r"[a-z0-9][a-z0-9_]{0,59}")


def write_demo(store: Store, options: Namespace) -> Outcome:
    """Write a stored call as a demo call of the maker's folder."""
    # The check runs demo calls without the records.
    from consult.records.search import read_without_health

    folder = own_demo_folder()
    if folder is None:
        return complain("No folder of a maker is in use. Begin one: consult begin FOLDER")
    if not _NAME.fullmatch(options.name):
        return complain(f"'{options.name}' is no name. Write small letters, digits and _.")
    path = folder / f"{options.name}.yaml"
    if path.exists():
        return complain(f"{path} is there already. Choose another name, or delete it.")
    kept = read_without_health(store, options.reference)
    basis, _ = basis_named(kept.versions.tree, load_population())
    if basis is None:
        return complain(f"The questions of this call, {kept.versions.tree}, cannot be read.")
    text, end = demo_call(basis, kept.call, options.name.replace("_", " ").capitalize())
    folder.mkdir(exist_ok=True)
    write_whole(path, text.encode(), mode=0o644)
    ended = f"to the question '{end.current.name}'" if end.current else "to its end"
    tell(f"{path}: a call {ended}. consult check runs it from now on.")
    return tell(
        "Names, contacts, free text, notes and answers about health are left out. Read it before "
        "you share it: an unusual mixture of choices may still be recognised."
    )


def demo_problems(trees: Path) -> list[Problem]:
    """Everything that a maker's own demo calls say of a folder of trees."""
    folder = own_demo_folder()
    if folder is None or not is_own(trees):
        return []
    load, population = cache(load_basis), load_population()
    all_problems: list[Problem] = []
    for path in sorted(folder.glob("*.yaml")):
        transcript, problems = load_transcript(path)
        all_problems += problems
        if transcript is None:
            continue
        basis, _ = load(trees / f"{transcript.tree}.yaml", population)
        if basis is not None:  # else its mistakes are told already
            all_problems += unknown_questions(transcript, basis.tree.questions)
            all_problems += disappointments(transcript, state(basis, transcript.call))
    return all_problems


def how_many() -> int:
    """The demo calls of the maker's folder in use."""
    folder = own_demo_folder()
    return len(list(folder.glob("*.yaml"))) if folder is not None else 0
