"""Two people's changes of one file put together, piece by piece.

A piece is a name with its value: a question, a field of it, a choice; in a list, an item with a
name or a code. A piece that one side alone changed is taken as that side has it, to the byte. A
piece that both changed, each otherwise, is a conflict, for a person to decide.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from consult.content.editing.edits_rename import renamed_in
from consult.content.editing.patching import Refused, newline, shares_line, spans_of, unit
from consult.marked.marks import Steps
from consult.marked.plain import block_at
from consult.marked.spans import Spans
from consult.visible import BOM

MergePath = tuple[str, ...]
"""Names from the file to a piece: ("questions", "heel", "ask"), ("advice", "low_seat", "say")."""

_NAMES = ("name", "code")
"""What tells the items of a list apart."""
_WORDS = ("ask", "say")
_SAME = 0.5
"""A piece with its words, and more than this share of its fields, as they were is the same under
another name."""


@dataclass(frozen=True, slots=True)
class EditConflict:
    """A piece that both sides changed, each otherwise; None where a side does not have it."""

    way: MergePath
    """Empty for the whole file."""
    base: str | None
    ours: str | None
    theirs: str | None


@dataclass(frozen=True, slots=True)
class Merge:
    """What came of it."""

    text: str | None
    """With ours wherever nobody decided for theirs; None where the file is to be gone."""
    taken: tuple[MergePath, ...]
    """Pieces taken as the other side has them, the largest of each."""
    conflicts: tuple[EditConflict, ...]
    """All of them, decided or not, in the order of the file."""


def merged(
    base: str | None,
    ours: str | None,
    theirs: str | None,
    for_theirs: Collection[EditConflict] = (),
) -> Merge:
    """Ours with what the other side changed since ``base``; conflicts named stay as theirs.

    None is a file that is not there.
    """
    if theirs in (base, ours):
        return Merge(ours, (), ())
    if ours is None or theirs is None:
        if ours == base:
            return Merge(theirs, ((),), ())
        conflict = EditConflict((), base, ours, theirs)
        return Merge(theirs if conflict in for_theirs else ours, (), (conflict,))
    merge = _both(base or "", ours, theirs, for_theirs)
    return replace(merge, text=theirs) if ours == base else merge


def _both(base: str, ours: str, theirs: str, for_theirs: Collection[EditConflict]) -> Merge:
    texts = [text.removeprefix(BOM) for text in (base, ours, theirs)]
    nl = newline(texts[1])
    if any(newline(text) != nl for text in texts if text):
        texts = [
            "\n".join(text.splitlines()) + "\n" * text.endswith(("\n", "\r")) for text in texts
        ]
        texts = [text.replace("\n", nl) for text in texts]
    plain_base, plain_ours, plain_theirs = texts
    # A last line without an end is the same line.
    b, o, t = (_read(text if text.endswith(nl) or not text else text + nl) for text in texts)
    merging = _Merging(nl, for_theirs)
    whole = merging.piece((), b, o, t)
    text = whole.text if whole else ""
    # As the reader has it, written out: 1, 1.0 and true are equal to Python, two orders too.
    if whole is None or repr(_read(text).data) != repr(whole.data):
        # Taken piece by piece it would read otherwise than either side meant it.
        conflict = EditConflict((), plain_base, plain_ours, plain_theirs)
        taken = conflict in for_theirs
        merging = _Merging(nl, for_theirs)
        merging.conflicts, text = [conflict], plain_theirs if taken else plain_ours
    else:
        text = _speaking_anew(text, whole.data, merging.renamed)
        if not plain_ours.endswith(nl):
            text = text.removesuffix(nl)
    mark = BOM if ours.startswith(BOM) else ""
    return Merge(mark + text, tuple(merging.taken), tuple(merging.conflicts))


def _speaking_anew(text: str, data: Any, renamed: Mapping[str, str]) -> str:
    """The text, where what one side wrote about a question has the name the other gave it."""
    questions = block_at(data, "questions")
    for old, new in renamed.items():
        if new in questions and old not in questions:
            text = renamed_in(text, old, new, own=False)
    return text


@dataclass(frozen=True, slots=True)
class _Piece:
    """Whole lines of a text, and the pieces inside them."""

    gap: str
    """Empty lines, and comments by themselves, above it."""
    head: str
    """Its lines above the first piece inside; all of them where there is none."""
    inside: Mapping[str, _Piece] | None
    tail: str
    dash: int
    """Column of the dash that its first line shares with the piece inside; -1 for none."""
    data: Any

    @property
    def text(self) -> str:
        """Its lines, without the gap."""
        if self.inside is None:
            return self.head
        lines = "".join(piece.gap + piece.text for piece in self.inside.values())
        if self.dash >= 0:
            lines = f"{lines[: self.dash]}-{lines[self.dash + 1 :]}"
        return self.head + lines + self.tail


def _read(text: str) -> _Piece:
    if not text.strip():
        return _Piece("", "", {}, text, -1, {})
    try:
        spans = spans_of(text)
    except Refused:
        return _Piece("", text, None, "", -1, None)
    return _pieces(spans, (), 0, len(spans.starts) - 1, "")


def _pieces(spans: Spans, steps: Steps, first: int, last: int, gap: str) -> _Piece:
    """The piece on the lines from ``first`` to ``last``."""
    data, piece = spans.at(steps), spans.pieces[steps]
    ways = spans.inside(steps)
    names = _names(data)
    if not ways or names is None or piece.style == "{":
        return _Piece(gap, _lines(spans, first, last), None, "", -1, data)
    units = [unit(spans, way) for way in ways]
    dash = -1
    if shares_line(spans, spans.pieces[ways[0]]):
        dash = spans.column(piece.head)
    inside: dict[str, _Piece] = {}
    done = units[0].first
    for name, way, own in zip(names, ways, units, strict=True):
        between = _lines(spans, done, own.first - 1)
        inside[name] = _pieces(spans, way, own.first, own.last, between)
        done = own.last + 1
    if dash >= 0:
        # On a line of its own it can change its place; the dash comes back with the whole.
        first_head = inside[names[0]].head
        without = f"{first_head[:dash]} {first_head[dash + 1 :]}"
        inside[names[0]] = replace(inside[names[0]], head=without)
    head, tail = _lines(spans, first, units[0].first - 1), _lines(spans, done, last)
    return _Piece(gap, head, inside, tail, dash, data)


def _names(data: Any) -> list[str] | None:
    """What tells the pieces inside apart; None where nothing does."""
    if isinstance(data, dict):
        return list(data)
    for key in _NAMES if isinstance(data, list) else ():
        names = [str(item.get(key, "")) if isinstance(item, dict) else "" for item in data]
        if all(names) and len(set(names)) == len(names):
            return names
    return None


def _lines(spans: Spans, first: int, last: int) -> str:
    after = spans.starts[last + 1] if last + 1 < len(spans.starts) else len(spans.text)
    return spans.text[spans.starts[first] : after] if first <= last else ""


class _Merging:
    """One merge going on."""

    def __init__(self, nl: str, for_theirs: Collection[EditConflict]) -> None:
        self.nl, self.for_theirs = nl, for_theirs
        self.taken: list[MergePath] = []
        self.conflicts: list[EditConflict] = []
        self.renamed: dict[str, str] = {}
        """Questions that a side gave another name: old -> new."""

    def piece(
        self, way: MergePath, base: _Piece | None, ours: _Piece | None, theirs: _Piece | None
    ) -> _Piece | None:
        b, o, t = (None if piece is None else piece.text for piece in (base, ours, theirs))
        if t in (o, b):
            return ours
        if o == b:
            self.taken.append(way)
            return theirs
        if ours and theirs and (base or len(way) == 1):
            head = _either(base.head if base else None, ours.head, theirs.head)
            if head is not None and _finer(way, base, ours, theirs):
                return self._inside(way, base, ours, theirs, head)
        conflict = EditConflict(way, b, o, t)
        self.conflicts.append(conflict)
        return theirs if conflict in self.for_theirs else ours

    def _inside(
        self, way: MergePath, base: _Piece | None, ours: _Piece, theirs: _Piece, head: str
    ) -> _Piece | None:
        found_inside = [(piece and piece.inside) or {} for piece in (base, ours, theirs)]
        sides = self._aligned(way, *found_inside)
        theirs_called = dict(zip(sides[2], found_inside[2], strict=True))
        inside: dict[str, _Piece] = {}
        for name in _order(*map(list, sides)):
            b, o, t = (side.get(name) for side in sides)
            piece = self.piece((*way, name), b, o, t)
            if piece is None:
                continue
            gap = self._remark(*(piece.gap if piece else None for piece in (b, o, t)))
            called = theirs_called.get(name, name) if piece is t else name
            inside[called] = replace(piece, gap=gap if inside or gap.strip() else "")
        values = [piece.data for piece in inside.values()]
        data = values if isinstance(ours.data, list) else dict(zip(inside, values, strict=True))
        tail = self._remark(base.tail if base else None, ours.tail, theirs.tail)
        return replace(ours, head=head, inside=inside, tail=tail, data=data) if inside else None

    def _aligned(
        self,
        way: MergePath,
        base: Mapping[str, _Piece],
        ours: Mapping[str, _Piece],
        theirs: Mapping[str, _Piece],
    ) -> list[Mapping[str, _Piece]]:
        """The three sides, a piece that one of them renamed under its new name in all."""
        new_names: dict[str, str] = {}
        for side, other in ((theirs, ours), (ours, theirs)):
            for old, new in _renames(way, base, side, other).items():
                new_names[old] = new
                if way == ("questions",):
                    self.renamed[old] = new
        for old, new in _renames(way, base, theirs, ours).items():
            # Called otherwise by each: one piece with two names, for a person to decide.
            new_names.setdefault(new, new_names[old])
        return [
            {new_names.get(name, name): piece for name, piece in side.items()}
            for side in (base, ours, theirs)
        ]

    def _remark(self, base: str | None, ours: str | None, theirs: str | None) -> str:
        """Empty lines and comments between pieces: where both changed them, both stay."""
        agreed = _either(base, ours, theirs)
        if agreed is not None:
            return agreed
        kept = [remark for remark in (ours, theirs) if remark and remark.strip()]
        return "".join(kept) if kept else ours or theirs or ""


def _renames(
    way: MergePath,
    base: Mapping[str, _Piece],
    side: Mapping[str, _Piece],
    other: Mapping[str, _Piece],
) -> dict[str, str]:
    """Old name -> new name of pieces that a side has under another name: most of each is as it was.

    A field keeps its value under another name too; of what is no list of fields, only the label of
    a choice tells anything.
    """
    gone = [name for name in base if name not in side]
    come = [name for name in side if name not in base and name not in other]
    renames: dict[str, str] = {}
    for old in gone:
        alike = {
            new: _likeness(base[old].data, side[new].data, is_label=way[-1:] == ("choices",))
            for new in come
        }
        best = max(alike, key=alike.__getitem__, default="")
        if best and alike[best] > _SAME:
            renames[old] = best
            come.remove(best)
    return renames


def _likeness(old: Any, new: Any, *, is_label: bool) -> float:
    """The share of fields that are the same, but for the name."""
    if not (isinstance(old, dict) and isinstance(new, dict)):
        return float(old == new and is_label)
    words = _WORDS if "code" not in old else ("name",)
    if any(old.get(key) != new.get(key) for key in words):
        return 0.0
    fields = (old.keys() | new.keys()) - set(_NAMES)
    same = sum(key in old and key in new and old[key] == new[key] for key in fields)
    return same / len(fields) if fields else 0.0


def _finer(way: MergePath, base: _Piece | None, ours: _Piece, theirs: _Piece) -> bool:
    """Whether the pieces inside can be taken one by one."""
    if ours.inside is None or theirs.inside is None or (base and base.inside is None):
        return False
    if ours.dash != theirs.dash or type(ours.data) is not type(theirs.data):
        return False
    # Where questions and advice stand in a file means little; the order of choices is read out.
    b, o, t = (list((piece and piece.inside) or {}) for piece in (base, ours, theirs))
    both = [
        [name for name in names if name in b and name in o and name in t] for names in (b, o, t)
    ]
    return len(way) <= 1 or both[0] in both[1:] or both[1] == both[2]


def _order(base: list[str], ours: list[str], theirs: list[str]) -> list[str]:
    """All names, as the side that moved them has them; what is new goes after what it followed."""
    common = [name for name in base if name in ours and name in theirs]
    moved = [name for name in ours if name in common] != common
    names, others = (list(ours), theirs) if moved else (list(theirs), ours)
    for at, name in enumerate(others):
        if name not in names:
            names.insert(names.index(others[at - 1]) + 1 if at else 0, name)
    return names


def _either(base: str | None, ours: str | None, theirs: str | None) -> str | None:
    """What the one side that changed it has; None where both did, each otherwise.

    What a side does not have, it did not change.
    """
    if ours is None or theirs is None:
        return theirs if ours is None else ours
    if theirs in (base, ours):
        return ours
    return theirs if ours == base else None
