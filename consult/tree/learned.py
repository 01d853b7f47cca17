"""What was learned from the maker's own calls and accepted: one file beside the settings.

Entries are only added. The last entry of a name that was not taken back is in force, and its number
in the file is its version. Calls read it with everything else they begin with (``call.basis``).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.marked.marks import Texts, is_there
from consult.marked.schema import load_followed
from consult.tree.settings import settings_file

if TYPE_CHECKING:
    from datetime import date

    from consult.problems import Problem

LEARNED_FILE = "learned.yaml"
LEARNED = "learned"
"""What the file begins with."""
_SCHEMA = Path(__file__).with_name("learned.schema.json")
_HEAD = """\
# What was learned from your own calls and accepted. "consult records learn" adds to it and takes
# back; the last entry of a name that was not taken back counts.
learned: 1
"""


@dataclass(frozen=True, slots=True)
class AcceptedValue:
    """One value that calls use instead of the one shipped.

    Seconds for ``time.<question>``, of 100 callers for ``share.<question>.<choice>``, mm for
    ``error.<dimension>`` and ``mean.<dimension>``, of 100 chairs for ``fault.<part>``.
    """

    name: str
    value: float
    shipped: float
    calls: int
    """From how many calls it was learned."""
    on: str
    """The day, 2026-11-29."""
    by: str = ""
    taken_back: str = ""
    """The day; '' while it is in force."""
    taken_back_by: str = ""


@dataclass(frozen=True, slots=True)
class Learned:
    accepted: tuple[AcceptedValue, ...] = ()

    @property
    def in_force(self) -> Mapping[str, AcceptedValue]:
        """The entry that counts, by name."""
        return {value.name: value for value in self.accepted if not value.taken_back}

    def of(self, kind: str) -> Mapping[str, float]:
        """The values in force of one kind, by the rest of their names."""
        start = f"{kind}."
        return {
            name.removeprefix(start): value.value
            for name, value in self.in_force.items()
            if name.startswith(start)
        }

    def with_accepted(self, *new: AcceptedValue) -> Learned:
        """With more entries, which count from now on."""
        return Learned((*self.accepted, *new))

    def without(self, name: str, on: date, by: str) -> Learned:
        """With the entry in force of a name taken back; what was in force before it is again."""
        last = self.in_force.get(name)
        if last is None:
            return self
        back = replace(last, taken_back=on.isoformat(), taken_back_by=by)
        return Learned(tuple(back if value is last else value for value in self.accepted))

    def version(self, name: str) -> int:
        """The number in the file of the entry in force; 0 where there is none."""
        value = self.in_force.get(name)
        return self.accepted.index(value) + 1 if value else 0


NOTHING_LEARNED = Learned()


def learned_file(folder: Path, texts: Texts | None = None) -> Path:
    """The file of a folder of trees: beside its settings, or in it where there are none."""
    beside = settings_file(folder, texts)
    return (beside.parent if beside else folder.absolute()) / LEARNED_FILE


def load_learned(path: Path, texts: Texts | None = None) -> tuple[Learned | None, list[Problem]]:
    """Read a file of accepted values; None where it has errors, nothing learned without a file."""
    if not is_there(path, texts):
        return NOTHING_LEARNED, []
    marked, problems = load_followed(path, _SCHEMA, texts)
    if marked is None:
        return None, problems
    entries: Sequence[Mapping[str, Any]] = marked.data["accepted"]
    return Learned(tuple(AcceptedValue(**_entry(entry)) for entry in entries)), problems


def _entry(data: Mapping[str, Any]) -> dict[str, Any]:
    return {**data, "value": float(data["value"]), "shipped": float(data["shipped"])}


def learned_text(learned: Learned) -> str:
    """The file of these entries; every line of it is YAML and JSON at once."""
    lines = []
    for accepted_value in learned.accepted:
        entry = {name: value for name, value in asdict(accepted_value).items() if value != ""}
        lines.append(f"  - {json.dumps(entry, ensure_ascii=False)}\n")
    return f"{_HEAD}accepted:{' []' if not lines else ''}\n{''.join(lines)}"
