"""Names that were changed in the trees, changed in the demo calls that use them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from consult.content.editing.disk import content_of
from consult.content.editing.patching import Patch, Refused, changed, spans_of
from consult.content.editing.writing import key_text
from consult.marked.marks import Steps
from consult.marked.spans import Spans

_LISTS = {"question": ("asked", "not_asked"), "caution": ("cautions",)}
"""Lists of what must come out of a call that have such names."""


@dataclass(frozen=True, slots=True)
class Renamed:
    """A question or caution that has another name now."""

    kind: Literal["question", "caution"]
    old: str
    new: str
    trees: frozenset[str]
    """The trees it belongs to, by the names that calls have them under."""

    @property
    def back(self) -> Renamed:
        """The same undone."""
        return Renamed(self.kind, self.new, self.old, self.trees)


def calls_renamed(folder: Path, renamed: Sequence[Renamed]) -> dict[Path, bytes]:
    """The call files of a folder that read otherwise after all of ``renamed``.

    A file that cannot be read is left as it is: the check tells of it.
    """
    found: dict[Path, bytes] = {}
    for path in sorted(folder.glob("*.yaml")) if renamed else ():
        content = content_of(path) or b""
        try:
            text = before = content.decode("utf-8")
            for one in renamed:
                text = _in_call(text, one)
        except (Refused, UnicodeDecodeError):
            continue
        if text != before:
            found[path] = text.encode("utf-8")
    return found


def _in_call(text: str, renamed: Renamed) -> str:
    data = spans_of(text).data
    if not isinstance(data, dict) or data.get("tree") not in renamed.trees:
        return text
    for steps in list(_places(data, renamed)):
        text = _put(text, steps, renamed)
    return text


def _places(data: Mapping[str, Any], renamed: Renamed) -> Iterator[Steps]:
    """Where the old name stands: an answer by its key, all else by its value."""
    for at, answer in enumerate(_list(data, "answers") if renamed.kind == "question" else []):
        if isinstance(answer, dict) and renamed.old in answer:
            yield ("answers", at, renamed.old)
    for at, one in enumerate(_list(data, "handled") if renamed.kind == "caution" else []):
        if isinstance(one, dict) and one.get("caution") == renamed.old:
            yield ("handled", at, "caution")
    for name in _LISTS[renamed.kind]:
        for at, one in enumerate(_list(data.get("expect"), name)):
            if one == renamed.old:
                yield ("expect", name, at)


def _list(data: Any, name: str) -> list[Any]:
    found = data.get(name) if isinstance(data, dict) else None
    return found if isinstance(found, list) else []


def _put(text: str, steps: Steps, renamed: Renamed) -> str:
    is_key = steps[-1] == renamed.old

    def patches(spans: Spans) -> list[Patch]:
        piece = spans.pieces[steps]
        start, end = (piece.head, piece.key_end) if is_key else (piece.start, piece.end)
        return [Patch(start, end, key_text(renamed.new))]

    def data(before: Any) -> Any:
        found = before
        for step in steps[:-1]:
            found = found[step]
        if is_key:
            entries = [(renamed.new if key == steps[-1] else key, found[key]) for key in found]
            found.clear()
            found.update(entries)
        else:
            found[steps[-1]] = renamed.new
        return before

    return changed(text, patches, data)
