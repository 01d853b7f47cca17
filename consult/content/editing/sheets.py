"""The files of a draft as they read now: what stands where, and which of it belongs together.

A file that cannot be read keeps the last form in which it could, so that the form goes on showing.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any, Literal

from consult.marked.marks import Marked, Steps, parse_marked
from consult.marked.plain import block_at, list_at, value_at
from consult.problems import Problem, Where
from consult.range.parts import SECTIONS
from consult.sentence import CHAIR
from consult.tree.folder import FITTING_FILE, includes, mains_above

EntryKind = Literal[
    "file",
    "question",
    "include",
    "pool",
    "topic",
    "caution",
    "advice",
    "need",
    "always",
    "part",
    "product_part",
    "quantity",
    "country",
    "text",
]
STEPS: tuple[EntryKind, ...] = ("question", "include", "pool", "topic")
"""What calls go past."""
_OTHER_STEPS: Mapping[str, EntryKind] = {"include": "include", "best_of": "pool", "topic": "topic"}
"""A name that tells what kind of step it is -> the kind; anything else is a question."""
PARTS: Mapping[str, EntryKind] = {
    "cautions": "caution",
    "advice": "advice",
    "needs": "need",
    "always": "always",
}
"""Lists of a tree -> what stands in them."""
PART_OF = {kind: part for part, kind in PARTS.items()}
"""What stands in a list -> the name of the list."""

BEGINNING = "the beginning"
"""Leads to the first question of a main tree."""
OTHER_FILES = {"callers", "contacts", "fitting", "range", "transcript"}
"""Names by which a file says that it is something else than a tree."""


@dataclass(frozen=True, slots=True)
class Place:
    """A piece of a file: the whole of it where there are no steps."""

    file: str
    steps: Steps = ()

    def inside(self, *steps: str | int) -> Place:
        """Something within it."""
        return Place(self.file, (*self.steps, *steps))


@dataclass(frozen=True, slots=True)
class OutlineEntry:
    """One line of the outline."""

    place: Place
    kind: EntryKind
    name: str
    words: str
    """What it says, in full."""
    line: int
    """Where it begins, counted from 1."""


class Sheets:
    """Every file of the draft, read. Only what changed is read again."""

    def __init__(self) -> None:
        self._texts: dict[str, str] = {}
        self.good: dict[str, Marked] = {}
        """File -> what it says, or said when it could last be read."""
        self.trouble: dict[str, Problem] = {}
        """File -> why it cannot be read now."""
        self._entries: dict[str, list[OutlineEntry]] = {}
        self._families: dict[str, list[str]] = {}

    def update(self, texts: Mapping[str, str]) -> set[str]:
        """Take in the texts; the names of those that changed."""
        changed = {name for name, text in texts.items() if self._texts.get(name) != text}
        gone = self._texts.keys() - texts.keys()
        for name in gone:
            for kept in (self._texts, self.good, self.trouble, self._entries):
                kept.pop(name, None)
        if changed or gone:
            self._families.clear()
        for name in changed:
            self._texts[name] = texts[name]
            self._read(name)
        return changed | gone

    def _read(self, name: str) -> None:
        self.trouble.pop(name, None)
        if not name.endswith(".yaml"):
            self._entries[name] = [OutlineEntry(Place(name), "text", name, "", 1)]
            return
        marked, problems = parse_marked(self._texts[name], name)
        if marked is None or not isinstance(marked.data, dict):
            no_block = Problem(Where(name, 1, 1), "This is not a block of names.")
            self.trouble[name] = problems[0] if problems else no_block
            self._entries.setdefault(name, [OutlineEntry(Place(name), "text", name, "", 1)])
            return
        self.good[name] = marked
        self._entries[name] = list(_entries(marked))

    # -- looking ------------------------------------------------------------------------------

    @property
    def files(self) -> list[str]:
        """Trees in the order they include each other, then the other files by name."""
        trees = [name for name in self._texts if self.is_tree(name)]
        included = {to for name in trees for to in self._includes(name)}
        ordered: list[str] = []
        for name in [tree for tree in sorted(trees, key=_main_first) if tree not in included]:
            self._walk(name, ordered)
        rest = sorted(trees) + sorted(self._texts)
        return list(dict.fromkeys([*ordered, *rest]))

    def _walk(self, name: str, ordered: list[str]) -> None:
        if name not in ordered and name in self.good:
            ordered.append(name)
            for to in self._includes(name):
                self._walk(to, ordered)

    def _includes(self, name: str) -> Iterator[str]:
        for to in includes({"questions": self.questions(name)}):
            yield f"{to}.yaml"

    def mains(self, name: str) -> list[str]:
        """The main trees a file is asked in: itself where nothing includes it."""
        included = {file: tuple(self._includes(file)) for file in self.good}
        return sorted(mains_above(name, included), key=_main_first) or [name]

    def is_tree(self, name: str) -> bool:
        """Whether a file holds questions."""
        data = self.good[name].data if name in self.good else {}
        return isinstance(data.get("questions"), dict) and not OTHER_FILES & data.keys()

    def questions(self, name: str) -> dict[str, Any]:
        """The steps of one file, includes too."""
        return self.good[name].data["questions"] if self.is_tree(name) else {}

    def entries(self, name: str) -> list[OutlineEntry]:
        """What stands in a file, in order."""
        return self._entries.get(name, [])

    def entry(self, place: Place) -> OutlineEntry | None:
        """The line of the outline a place belongs to."""
        for length in range(len(place.steps), -1, -1):
            for entry in self.entries(place.file):
                if entry.place.steps == place.steps[:length]:
                    return entry
        return None

    def at_line(self, name: str, line: int) -> OutlineEntry | None:
        """What stands at a line."""
        entries = self.entries(name)
        at = bisect_right([entry.line for entry in entries], line) - 1
        return entries[max(0, at)] if entries else None

    def steps_at(self, name: str, line: int, column: int) -> Steps:
        """The steps to what stands at a place of a file: the nearest that begins before it."""
        marked = self.good.get(name)
        best: tuple[tuple[int, int], int, Steps] = ((0, 0), 0, ())
        if marked is not None:
            values = [(steps, spot.at) for steps, spot in marked.values.items()]
            for steps, begin in (*values, *marked.keys.items()):
                if begin <= (line, column):
                    best = max(best, (begin, len(steps), steps), key=lambda row: row[:2])
        return best[2]

    def value(self, place: Place, *steps: str | int) -> str:
        """A text as written; '' where there is none."""
        marked = self.good.get(place.file)
        return (marked.raw(*place.steps, *steps) or "") if marked else ""

    def data(self, place: Place) -> Any:
        """What stands at a place; None where nothing does."""
        marked = self.good.get(place.file)
        return value_at(marked.data, place.steps) if marked else None

    def steps_of(self) -> list[OutlineEntry]:
        """Every line of the outline, of all files."""
        return [entry for name in self.files for entry in self.entries(name)]

    def family(self, name: str) -> list[str]:
        """The trees asked in one call with this one: their questions share one set of names."""
        if name not in self._families:
            mains = set(self.mains(name))
            trees = [file for file in self.files if self.is_tree(file)]
            self._families[name] = [tree for tree in trees if mains & set(self.mains(tree))]
        return self._families[name]

    def steps_near(self, name: str, kind: EntryKind | None = None) -> list[OutlineEntry]:
        """Every line of the outline of a kind, of the trees asked in one call with this one."""
        entries = [entry for file in self.family(name) for entry in self.entries(file)]
        return [entry for entry in entries if kind in (None, entry.kind)]

    @property
    def thing(self) -> str:
        """What the trees advise on, as the desk calls it."""
        declared = self.value(Place(FITTING_FILE), "thing")
        made = (self.value(Place(name), "works_out") for name in self.good if self.is_tree(name))
        return declared if declared and "fitting" in made else CHAIR

    def numbers(self, part: OutlineEntry) -> list[str]:
        """The lengths and masses that a part of another product states, by its kind."""
        kind = self.data(Place(part.place.file, ("kinds", self.value(part.place, "kind"))))
        return [str(name) for key in ("lengths", "masses") for name in list_at(kind, key)]

    def readers(self, question: OutlineEntry) -> list[OutlineEntry]:
        """Cautions, advice and needs that look at a question."""
        word = re.compile(rf"(?<![\w.]){re.escape(question.name)}(?!\w)")
        return [
            entry
            for entry in self.steps_near(question.place.file)
            if entry.kind in PARTS.values() and word.search(self.value(entry.place, "when"))
        ]

    def comes_after(self, question: OutlineEntry) -> list[str]:
        """The steps that lead to a question; to the first of a tree, those that run the tree."""
        names = []
        file = question.place.file
        if self.value(Place(file), "first") == question.name:
            runs = [entry for entry in self.steps_near(file) if f"{self.runs(entry)}.yaml" == file]
            names += [entry.name for entry in runs] or [BEGINNING]
        pool = self.pool_of(question)
        if pool is not None:
            names.append(f"{pool.name}, while it is worth its time")
        for entry in self.steps_near(file):
            following = self.data(entry.place.inside("next")) if entry.kind != "file" else None
            ways = (block_at(way) for way in list_at(following))
            if following == question.name or any(question.name in way.values() for way in ways):
                names.append(entry.name)
        return list(dict.fromkeys(names))

    def runs(self, entry: OutlineEntry) -> str:
        """The tree that a step runs; '' for any other."""
        return self.value(entry.place, entry.kind) if entry.kind in ("include", "topic") else ""

    def pool_of(self, question: OutlineEntry) -> OutlineEntry | None:
        """The pool that a question is asked in."""
        if question.kind != "question":
            return None
        pools = (entry for entry in self.entries(question.place.file) if entry.kind == "pool")
        return next((entry for entry in pools if question.name in self.members(entry)), None)

    def members(self, pool: OutlineEntry) -> list[str]:
        """The questions of a pool, in its order."""
        return [str(member) for member in list_at(self.data(pool.place), "best_of")]

    def choices(self, question: Place) -> dict[str, str]:
        """What may be answered to a question, in its words, by name."""
        names = block_at(self.data(question), "choices")
        return {name: self.value(question, "choices", name) for name in names}

    def around(self, name: str) -> str:
        """The tree that a file is a topic of; the file itself where it is none."""
        topics = (
            entry for entry in self.steps_near(name, "topic") if f"{self.runs(entry)}.yaml" == name
        )
        return next((entry.place.file for entry in topics), name)

    def grouped(self, name: str) -> list[tuple[OutlineEntry, bool]]:
        """What stands in a file, what is in a pool or topic right behind it; True: those."""
        entries = self.entries(name)
        named = {entry.name: entry for entry in entries if entry.kind == "question"}
        held = {
            member: entry.name
            for entry in entries
            if entry.kind == "pool"
            for member in self.members(entry)
            if member in named
        }
        rows: list[tuple[OutlineEntry, bool]] = []
        for entry in entries:
            if entry.kind == "question" and entry.name in held:
                continue
            rows.append((entry, False))
            if entry.kind == "pool":
                members = (
                    named[member]
                    for member in self.members(entry)
                    if held.get(member) == entry.name
                )
                rows += [(entry, True) for entry in dict.fromkeys(members)]
            elif entry.kind == "topic":
                inside = self.entries(f"{self.runs(entry)}.yaml")
                rows += [(entry, True) for entry in inside if entry.kind in STEPS]
        return rows


def _main_first(name: str) -> tuple[bool, str]:
    return PurePosixPath(name).stem != "seating", name


def _entries(marked: Marked) -> Iterator[OutlineEntry]:
    is_other = bool(OTHER_FILES & marked.data.keys())
    words = "" if is_other else marked.raw("title") or ""
    yield OutlineEntry(Place(marked.file), "text" if is_other else "file", marked.file, words, 1)
    inner = _others(marked) if is_other else _inner(marked)
    yield from sorted(inner, key=lambda entry: entry.line)


def _entry(
    marked: Marked, steps: Steps, kind: EntryKind, name: str, words: str | None
) -> OutlineEntry:
    begins = marked.value(*steps) if isinstance(steps[-1], int) else marked.key(*steps)
    return OutlineEntry(Place(marked.file, steps), kind, name, words or "", begins.line)


def _items(marked: Marked, part: str) -> Iterator[Steps]:
    """The steps to each item of a list."""
    yield from ((part, index) for index in range(len(list_at(marked.data, part))))


def _others(marked: Marked) -> Iterator[OutlineEntry]:
    """Parts with what they cost, quantities of another product, the countries of the contacts."""
    if "fitting" in marked.data:
        for name in block_at(marked.data, "quantities"):
            at: Steps = ("quantities", name)
            yield _entry(marked, at, "quantity", name, marked.raw(*at, "label"))
    if {"range", "fitting"} & marked.data.keys():
        is_range = "range" in marked.data
        kind: EntryKind = "part" if is_range else "product_part"
        for section in SECTIONS if is_range else ("parts",):
            for steps in _items(marked, section):
                code = marked.raw(*steps, "code") or "(no code)"
                yield _entry(marked, steps, kind, code, ", ".join(_sold(marked, steps)))
    if "contacts" in marked.data:
        for name in block_at(marked.data, "countries"):
            at = ("countries", name)
            yield _entry(marked, at, "country", name, marked.raw(*at, "name"))


def _sold(marked: Marked, part: Steps) -> Iterator[str]:
    units = {"name": "", "price": "", "lead_days": " days", "rating": " kg"}
    for key, unit in units.items():
        if value := marked.raw(*part, key):
            yield f"{value}{unit}"
    if marked.raw(*part, "discontinued") == "true":
        yield "discontinued"


_WORDS: Mapping[EntryKind, str] = {"include": "include", "topic": "title"}
"""Kind of step -> the name under which it says in words what it is."""


def _inner(marked: Marked) -> Iterator[OutlineEntry]:
    for name in block_at(marked.data, "questions"):
        at: Steps = ("questions", name)
        keys = block_at(marked.data, *at)
        kind: EntryKind = next(
            (step_kind for key, step_kind in _OTHER_STEPS.items() if key in keys), "question"
        )
        words = marked.raw(*at, _WORDS.get(kind, "ask"))
        if kind == "pool":
            members = keys["best_of"]
            words = f"the best of {len(members)}" if isinstance(members, list) else ""
        yield _entry(marked, at, kind, name, words)
    for part, kind in PARTS.items():
        for steps in _items(marked, part):
            name = marked.raw(*steps, "name") or "(no name)"
            wordings = (marked.raw(*steps, key) for key in ("say", "feature", "because"))
            yield _entry(
                marked, steps, kind, name, next((wording for wording in wordings if wording), "")
            )
