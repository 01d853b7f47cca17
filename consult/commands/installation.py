"""What a command uses where nothing is said: trees, country, units, population and settings."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands.outcome import CannotDoError
from consult.paths import (
    DRAFT,
    VERSIONS,
    home_folder,
    is_unpublished,
    library_folder,
    shipped_trees,
    trees_folder,
)
from consult.problems import Problem, listed, nearest
from consult.tree.settings import settings_file, settings_of

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.units import System


def tree_about(said: str) -> Path:
    """The tree file that a name stands for, however it is written."""
    # Here and below: a call asks its first question before it needs either, a quarter sooner.
    from consult.content.library.files import main_tree_names, read_files

    folder = trees_folder()
    try:
        names = sorted(Path(file).stem for file in main_tree_names(read_files(folder)))
    except OSError as trouble:
        raise CannotDoError(f"The trees in {folder} cannot be read ({trouble.strerror}).") from None
    name = "_".join(said.lower().replace("-", " ").replace("_", " ").split())
    if name in names:
        return folder / f"{name}.yaml"
    known = f"The kinds are {listed(names)}." if names else f"There is no tree in {folder}."
    first = f"consult has no kind of call called '{said}'."
    raise CannotDoError(" ".join(filter(None, (first, nearest(name, names), known))))


def loaded_basis(tree: Path, population: Population | None = None) -> Basis:
    """What calls of the tree in a file are worked out from."""
    basis, problems = checked_basis(tree, population)
    if basis is None:
        raise CannotDoError(problems=problems)
    return basis


def checked_basis(
    tree: Path, population: Population | None = None
) -> tuple[Basis | None, list[Problem]]:
    """The same with its problems; what an earlier run found sound is not checked again. None
    where there are errors."""
    from consult.call.basis import load_basis
    from consult.records.validation_cache import read_validated, write_validated

    if not tree.is_file():
        raise CannotDoError(f"There is no tree file {tree}.")
    read_validated()
    found = load_basis(tree, population)
    write_validated()
    return found


# -- country --------------------------------------------------------------------------------------
# The country and the units of a call: of the command line, else of the environment, else of the
# settings.


def chosen_country(said: str | None, basis: Basis) -> str:
    """The code of the country named, else of CONSULT_COUNTRY, else of the settings, else the
    contacts' default."""
    contacts = basis.contacts
    country = said or os.environ.get("CONSULT_COUNTRY") or basis.settings.country
    code = contacts.find(country) if country else contacts.default
    if code is None:
        names = listed([contacts.name(one) for one in contacts.countries])
        raise CannotDoError(f"No country is called “{country}” here. Known are {names}.")
    return code


def usual_units() -> System:
    """The units that callers are taken to measure in: CONSULT_UNITS, else those of the settings."""
    match os.environ.get("CONSULT_UNITS"):
        case "metric":
            return "metric"
        case "imperial":
            return "imperial"
        case _:
            return settings_of(trees_folder()).units


# -- which population this installation estimates callers from ------------------------------------


def chosen_population(named: str | None) -> Population:
    """The one named, else that of CONSULT_POPULATION, else the default."""
    from consult.body.population_file import DEFAULT_ID, load_named

    try:
        return load_named(named or os.environ.get("CONSULT_POPULATION") or DEFAULT_ID)
    except ValueError as unknown:
        raise CannotDoError(str(unknown)) from None


# -- which trees and which settings a command used, in a line each --------------------------------

UNPUBLISHED = (
    "Nothing is published in {} yet, so there are no questions to lead a call with. "
    "Run consult check, then consult publish --reason 'Our own range'."
)


def used_lines(folder: Path) -> list[str]:
    """What a folder of trees is, and whose settings hold for it."""
    file = settings_file(folder)
    maker = settings_of(folder).maker
    whose = f"{file} ({maker or 'it has mistakes'})" if file else "none: no maker is named"
    return [f"Trees: {folder} ({_what(folder)})", f"Settings: {whose}"]


def _what(folder: Path) -> str:
    library = library_folder()
    if folder == library / DRAFT:
        return "the draft; nothing is published yet" if is_unpublished() else "the draft"
    if folder.parent == library / VERSIONS:
        return "live" if folder == trees_folder() else "a published version"
    if folder == shipped_trees():
        return "the demonstration that comes with consult"
    named = os.environ.get("CONSULT_TREES")
    return "named by CONSULT_TREES" if named and Path(named) == folder else "named here"


def not_checked(folder: Path) -> str:
    """The draft, where another folder was checked; '' where there is none."""
    draft = library_folder() / DRAFT
    if folder == draft or not draft.is_dir():
        return ""
    return f"Not checked: the draft. To check it: consult check {draft}"


def unpublished() -> str:
    """Why no call can be led, where that is so; '' else."""
    return UNPUBLISHED.format(home_folder()) if is_unpublished() else ""
