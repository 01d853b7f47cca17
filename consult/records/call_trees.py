"""Which trees a stored call uses: those it started with, while they are in the library."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.follow_up import ThenAndNow, again, came_of_it, compare
from consult.call.state import state_so_far
from consult.paths import trees_folder, version_folder
from consult.records.errors import RecordsTrouble
from consult.records.kept import versions_of
from consult.records.place import no_records

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.call.closing_lines import ChairOutcome
    from consult.call.state import State
    from consult.records.kept import Kept, Versions


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
    basis = _loaded(folder / f"{versions.tree}.yaml", population)
    return basis if basis and basis.tree.version == versions.tree_version else None


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
        basis = load_basis(file, self.basis.population)[0]
        before = self.basis.tree.version
        if basis is None:
            return self.basis, (
                "The questions that are live now cannot be read here, so this call still uses "
                f"version {before}. Tell the content lead."
            )
        self.basis = basis
        return basis, (
            f"This call uses version {basis.tree.version} of the questions. The last one used "
            f"{before}."
        )

    def _file(self) -> Path:
        return trees_folder() / f"{self.basis.tree.name}.yaml"


@dataclass(frozen=True, slots=True)
class Beside:
    """A first call and what compares with it."""

    kept: Kept
    lines: tuple[ThenAndNow, ...]
    anew: bool
    """Its questions have changed since, so it was worked out anew."""


@dataclass(frozen=True, slots=True)
class First:
    """A stored call with what it was led with."""

    kept: Kept
    basis: Basis
    state: State


class FirstCalls:
    """Reads stored calls. Usable from any thread; opens nothing before it is needed."""

    def __init__(self, place: str | Path) -> None:
        """``place`` is what ``records_place()`` gives."""
        self._place = place
        self._bases: dict[str, Basis] = {}

    def kept(self, reference: str) -> Kept | str:
        """A stored call, or why it cannot be read."""
        # Most calls follow none, and their desk opens the records once its screen stands.
        from consult.records.store import open_store

        try:
            if missing := no_records(self._place):
                return missing
            with closing(open_store(self._place)) as store:
                return store.read(reference)
        except RecordsTrouble as trouble:
            return str(trouble)

    def beside(self, now: State, basis: Basis) -> Beside | str:
        """The call that ``now`` follows, side by side with it; why that cannot be, in words."""
        before = self.first(now.first_reference, basis)
        if isinstance(before, str):
            return before
        kept, old, first = before.kept, before.basis, before.state
        lines = compare(first, now, now.call.system, again(old, first, now))
        return Beside(kept, lines, kept.versions.tree_version != versions_of(old).tree_version)

    def came_of(self, now: State, basis: Basis) -> ChairOutcome | None:
        """What came of the chair of the call that ``now`` follows; None where that is not known."""
        before = self.first(now.first_reference, basis)
        if isinstance(before, str):
            return None
        old, first = before.basis, before.state
        return came_of_it(before.kept.reference, first, now, again(old, first, now))

    def first(self, reference: str, beside: Basis) -> First | str:
        """A call that others follow, worked out again but for its chair; or why it cannot be."""
        kept = self.kept(reference)
        if isinstance(kept, str):
            return kept
        old = self._basis(kept.versions, beside)
        if old is None:
            return f"The questions of the first call, {kept.versions.tree}, are no longer here."
        return First(kept, old, state_so_far(old, kept.call))

    def lines(self, now: State, basis: Basis) -> tuple[ThenAndNow, ...]:
        """The comparison for the papers; nothing where there is no first call to be read."""
        comparison = self.beside(now, basis) if now.first_reference else ""
        return () if isinstance(comparison, str) else comparison.lines

    def _basis(self, versions: Versions, beside: Basis) -> Basis | None:
        """What a first call is worked out from: the version it was led with.

        Where that is neither in the folder of the tree in use nor in the library, the tree of its
        name in that folder.
        """
        basis = self._in_folder(versions.tree, beside)
        if basis is not None and basis.tree.version == versions.tree_version:
            return basis
        return earlier(versions, beside.population) or basis

    def _in_folder(self, tree: str, beside: Basis) -> Basis | None:
        if tree not in self._bases:
            file = Path(beside.tree.files[0]).with_name(f"{tree}.yaml")
            basis = load_basis(file, beside.population)[0] if file.is_file() else None
            if basis is None:
                return None
            self._bases[tree] = basis
        return self._bases[tree]
