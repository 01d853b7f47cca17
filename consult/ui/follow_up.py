"""The call that another one follows: read from the records, never taken over, never changed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.follow_up import Line, again, compare
from consult.call.state import state_so_far
from consult.records.kept import versions_of
from consult.records.trouble import RecordsTrouble
from consult.summary.words import long_date

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.records.kept import Kept


class FirstCalls:
    """Looks at kept calls. Usable from any thread; nothing is opened before it is asked for."""

    def __init__(self, place: str | Path) -> None:
        """``place`` is what ``records_place()`` gives."""
        self._place = place
        self._bases: dict[str, Basis] = {}

    def kept(self, reference: str) -> Kept | str:
        """A call as it is kept; why it cannot be read, in words."""
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

    def compared(self, now: State, basis: Basis) -> str:
        """The page: the call that ``now`` follows, side by side with it."""
        kept = self.kept(now.first_reference)
        if isinstance(kept, str):
            return kept
        old = self._basis(kept.versions.tree, basis)
        if old is None:
            return f"The questions of the first call, {kept.versions.tree}, are not here any more."
        lines = _lines(old, kept, now)
        told = [f"First call: {kept.reference}, {long_date(kept.call.today)}."]
        if kept.versions.tree_version != versions_of(old).tree_version:
            told.append("Its questions have changed since, so it is worked out anew.")
        return "\n\n".join([" ".join(told), page(lines)])

    def lines(self, now: State, basis: Basis) -> tuple[Line, ...]:
        """The comparison for the papers; nothing where there is no first call to be read."""
        if not now.first_reference:
            return ()
        kept = self.kept(now.first_reference)
        old = None if isinstance(kept, str) else self._basis(kept.versions.tree, basis)
        return () if old is None or isinstance(kept, str) else _lines(old, kept, now)

    def _basis(self, tree: str, beside: Basis) -> Basis | None:
        """What a kept call is worked out from: the tree of its name in the same folder."""
        if tree not in self._bases:
            file = Path(beside.tree.files[0]).with_name(f"{tree}.yaml")
            found = load_basis(file, beside.population)[0] if file.is_file() else None
            if found is None:
                return None
            self._bases[tree] = found
        return self._bases[tree]


def _lines(basis: Basis, kept: Kept, now: State) -> tuple[Line, ...]:
    first = state_so_far(basis, kept.call)
    return compare(first, now, now.call.system, again(basis, first, now))


def page(lines: tuple[Line, ...]) -> str:
    """A block of short lines for each thing compared."""
    return "\n\n".join(map(_block, lines)) or "There is nothing to compare yet."


def _block(line: Line) -> str:
    values = {"then": line.then, "good": line.good, "now": line.now}
    shown = ", ".join(f"{name} {value}" for name, value in values.items() if value)
    rest = [f"  {text}" for text in (shown, line.do, line.because) if text]
    return "\n".join([line.topic, *rest])
