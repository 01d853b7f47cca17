"""A maker's own demo calls: written from stored calls, and held to what came out then."""

from __future__ import annotations

import re
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.population import load_population
from consult.call.basis import load_basis
from consult.call.expectation import demo_call, disappointments
from consult.call.state import state
from consult.call.transcript import load_transcript, unknown_questions
from consult.commands.outcome import Outcome, complain
from consult.commands.reading import basis_named
from consult.durable import write_whole
from consult.paths import demo_folder, home_folder, own_demo_folder, shipped_trees
from consult.visible import visible

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.commands.records import OpenRecords
    from consult.problems import Problem

_NAME = re.compile(r"[a-z0-9][a-z0-9_]{0,59}")


def write_demo(desk: OpenRecords, options: Namespace) -> Outcome:
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
    kept = read_without_health(desk.store, options.reference)
    basis, _ = basis_named(kept.versions.tree, load_population())
    if basis is None:
        return complain(f"The questions of this call, {kept.versions.tree}, cannot be read.")
    text, end = demo_call(basis, kept.call, options.name.replace("_", " ").capitalize())
    folder.mkdir(exist_ok=True)
    write_whole(path, text.encode(), mode=0o644)
    ended = f"to the question '{end.current.name}'" if end.current else "to its end"
    print(visible(f"{path}: a call {ended}. consult check runs it from now on."))
    print(
        "Names, contacts, free text, notes and answers about health are left out. Read it before "
        "you share it: an unusual mixture of choices may still be recognised."
    )
    return Outcome.DONE


def demo_problems(trees: Path) -> list[Problem]:
    """Everything that a maker's own demo calls say of a folder of trees."""
    folder = own_demo_folder()
    if folder is None or not is_own(trees):
        return []
    population, bases = load_population(), dict[str, "Basis | None"]()
    found: list[Problem] = []
    for path in sorted(folder.glob("*.yaml")):
        transcript, problems = load_transcript(path)
        found += problems
        if transcript is None:
            continue
        tree = transcript.tree
        if tree not in bases:
            bases[tree] = load_basis(trees / f"{tree}.yaml", population)[0]
        basis = bases[tree]
        if basis is not None:  # else its mistakes are told already
            found += unknown_questions(transcript, basis.tree.questions)
            found += disappointments(transcript, state(basis, transcript.call))
    return found


def is_own(trees: Path) -> bool:
    """Whether a folder of trees is in the maker's folder in use."""
    home = home_folder()
    return home is not None and trees.resolve().is_relative_to(home.resolve())


def demo_calls_of(trees: Path) -> Path | None:
    """The folder of the demo calls that are held with a folder of trees."""
    if is_own(trees):
        return own_demo_folder()
    return demo_folder() if trees.resolve() == shipped_trees().resolve() else None


def how_many() -> int:
    """The demo calls of the maker's folder in use."""
    folder = own_demo_folder()
    return len(list(folder.glob("*.yaml"))) if folder is not None else 0
