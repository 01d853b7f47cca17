"""Which trees a call uses: those it started with, while they are in the library."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.paths import trees_folder, version_folder

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.records.kept import Versions


def led_with(versions: Versions, basis: Basis) -> Basis:
    """What a kept call goes on with at a desk that leads calls of the same tree with ``basis``.

    The version it began with; ``basis`` where that is the same, or is not in the library.
    """
    tree = basis.tree
    if (versions.tree, versions.tree_version) == (tree.name, tree.version):
        return basis
    return earlier(versions, basis.population) or basis


def earlier(versions: Versions, population: Population) -> Basis | None:
    """The version of the library that a call began with; None where it is not there whole."""
    folder = version_folder(versions.tree_version)
    # The name of a tree comes out of the records here, and is about to become a path.
    if folder is None or not versions.tree.isidentifier():
        return None
    found = _loaded(folder / f"{versions.tree}.yaml", population)
    return found if found and found.tree.version == versions.tree_version else None


@cache
def _loaded(file: Path, population: Population) -> Basis | None:
    """A version is never changed, so it is read once."""
    return load_basis(file, population)[0] if file.is_file() else None


class LiveTrees:
    """The trees of new calls on a screen that stays open while versions change."""

    def __init__(self, basis: Basis) -> None:
        """``basis`` is what the desk was opened with, from the folder that was live then."""
        self.basis = basis
        self._seen = self._file()

    def news(self) -> str:
        """A message about a new live version; '' if it was already given."""
        file = self._file()
        if file == self._seen:
            return ""
        self._seen = file
        return "A new version of the questions is live. The next new call uses it."

    def now(self) -> tuple[Basis, str]:
        """What a call that begins now is led with, and what the adviser should know of it."""
        file = self._file()
        if str(file) == self.basis.tree.files[0]:
            return self.basis, ""
        self._seen = file
        found = load_basis(file, self.basis.population)[0]
        before = self.basis.tree.version
        if found is None:
            return self.basis, (
                "The questions that are live now cannot be read here, so this call still uses "
                f"version {before}. Tell the content lead."
            )
        self.basis = found
        return found, (
            f"This call uses version {found.tree.version} of the questions. The last one used "
            f"{before}."
        )

    def _file(self) -> Path:
        return trees_folder() / f"{self.basis.tree.name}.yaml"
