"""What a command takes from its user and their machine: trees, country, units, population and
settings where nothing is said, and the files that they name."""

from __future__ import annotations

import getpass
import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from consult import durable
from consult.paths import (
    DRAFT,
    VERSIONS,
    home_folder,
    is_unpublished,
    library_folder,
    shipped_trees,
    trees_folder,
)
from consult.problems import CannotDoError, Problem, listed, nearest
from consult.records.errors import disk_trouble
from consult.records.place import home_path
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
    loaded = load_basis(tree, population)
    write_validated()
    return loaded


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
        names = listed([contacts.name(country_code) for country_code in contacts.countries])
        raise CannotDoError(f"No country is called “{country}” here. Known are {names}.")
    return code


def usual_units() -> System:
    """The units that callers are taken to measure in: CONSULT_UNITS, else those of the settings."""
    known: dict[str, System] = {"metric": "metric", "imperial": "imperial"}
    return known.get(os.environ.get("CONSULT_UNITS", "")) or settings_of(trees_folder()).units


def this_adviser(said: str | None) -> str:
    """Who is at work: as said, else CONSULT_ADVISER, else the user of this computer; '' where the
    machine does not know them."""
    try:
        return said or os.environ.get("CONSULT_ADVISER") or getpass.getuser()
    except (OSError, KeyError):
        return ""


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


# -- files that commands write where the user says: whole or not at all, for this user alone ------


def out_path(named: str | Path) -> Path:
    """Where a file will be written: an existing file or a new one in a folder that is there.

    A link is followed. A device, pipe, socket or folder is never replaced by a file.
    """
    path = home_path(named)
    try:
        target = path.resolve()
        if target.is_dir():
            raise CannotDoError(f"{path} is a folder. Name a file.")
        if target.exists() and not target.is_file():
            raise CannotDoError(f"{path} is a device or a pipe. Name a file.")
        if not target.parent.is_dir():
            raise CannotDoError(f"There is no folder {target.parent}. Make it first.")
    except (OSError, RuntimeError, ValueError) as error:
        raise CannotDoError(why_unwritable(Path(named), error)) from error
    return target


def out_folder(named: str | Path) -> Path:
    """A folder that files will be written in; it must be there."""
    path = home_path(named)
    if not path.is_dir():
        raise CannotDoError(f"There is no folder {path}. Make it first.")
    return path


def write_out(
    named: str | Path,
    content: str | bytes | Iterable[str],
    *,
    force: bool = True,
    later: bool = False,
) -> None:
    """Put a file in place in one step. Without ``force`` one that is there stays.

    One of many may be put on the disk ``later``, by ``durable.settle_all``.
    """
    path = out_path(named)
    chunks = [content] if isinstance(content, (str, bytes)) else content
    encoded = (
        chunk if isinstance(chunk, bytes) else chunk.encode("utf-8", "surrogatepass")
        for chunk in chunks
    )
    try:
        write = durable.write_whole if force else durable.write_new
        write(path, encoded, later=later)
    except FileExistsError as error:
        raise CannotDoError(f"{named} exists already. Use --force to overwrite it.") from error
    except OSError as error:
        raise CannotDoError(why_unwritable(path, error)) from error


def why_unwritable(path: Path, error: Exception) -> str:
    """What the disk refuses, in words; never the name of a part that nobody gave."""
    if isinstance(error, FileNotFoundError):
        # Of a folder that is there, such as one of the system's own.
        return f"No file can be made in {path.parent}. Name another folder."
    if isinstance(error, OSError):
        return disk_trouble(error, path)
    return f"{path} cannot be written ({error})."
