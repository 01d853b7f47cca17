"""The first call of a follow-up: read from the records, never taken over or changed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.follow_up import Line, again, compare
from consult.call.state import state_so_far
from consult.records.kept import versions_of
from consult.records.led_with import earlier
from consult.records.trouble import RecordsTrouble

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.records.kept import Kept, Versions


@dataclass(frozen=True, slots=True)
class Beside:
    """A first call and what compares with it."""

    kept: Kept
    lines: tuple[Line, ...]
    anew: bool
    """Its questions have changed since, so it was worked out anew."""


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
            store = open_store(self._place)
            try:
                return store.read(reference)
            finally:
                store.close()
        except RecordsTrouble as trouble:
            return str(trouble)

    def beside(self, now: State, basis: Basis) -> Beside | str:
        """The call that ``now`` follows, side by side with it; why that cannot be, in words."""
        kept = self.kept(now.first_reference)
        if isinstance(kept, str):
            return kept
        old = self._basis(kept.versions, basis)
        if old is None:
            return f"The questions of the first call, {kept.versions.tree}, are no longer here."
        first = state_so_far(old, kept.call)
        lines = compare(first, now, now.call.system, again(old, first, now))
        return Beside(kept, lines, kept.versions.tree_version != versions_of(old).tree_version)

    def lines(self, now: State, basis: Basis) -> tuple[Line, ...]:
        """The comparison for the papers; nothing where there is no first call to be read."""
        found = self.beside(now, basis) if now.first_reference else ""
        return () if isinstance(found, str) else found.lines

    def _basis(self, versions: Versions, beside: Basis) -> Basis | None:
        """What a first call is worked out from: the version it was led with.

        Where that is neither in the folder of the tree in use nor in the library, the tree of its
        name in that folder.
        """
        found = self._in_folder(versions.tree, beside)
        if found is not None and found.tree.version == versions.tree_version:
            return found
        return earlier(versions, beside.population) or found

    def _in_folder(self, tree: str, beside: Basis) -> Basis | None:
        if tree not in self._bases:
            file = Path(beside.tree.files[0]).with_name(f"{tree}.yaml")
            found = load_basis(file, beside.population)[0] if file.is_file() else None
            if found is None:
                return None
            self._bases[tree] = found
        return self._bases[tree]
