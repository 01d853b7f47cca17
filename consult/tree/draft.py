"""A tree while it is being read: the files it takes, and what of them is usable.

Reading continues after an error, so that all problems are reported together. Whatever is
too broken to use is left out here and has been reported by the schema.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from consult.marked.marks import Marked, Steps, Texts, is_there, load_marked
from consult.marked.schema import MOST_PROBLEMS, load_schema, schema_problems
from consult.problems import Problem, Severity, Where, nearest
from consult.tree.condition import NO_LIMITS, Limits
from consult.tree.folder import FITTING_FILE
from consult.tree.model import END
from consult.tree.quantities import QUANTITIES
from consult.tree.settings import Settings, settings_of

MAX_DEEP = 20
_OF_THE_FIT = re.compile(r"\bfit\.([a-z][a-z0-9_]*)")
TREE_SCHEMA = Path(__file__).with_name("tree.schema.json")


@dataclass(frozen=True, slots=True)
class Block:
    """One named or numbered block of a file: a question, an include, a caution ..."""

    marked: Marked
    steps: Steps
    data: Mapping[str, Any]

    def text(self, *steps: str | int) -> str | None:
        """A scalar inside the block as it was written; None where there is none."""
        value: Any = self.data
        for step in steps:
            if isinstance(value, dict):
                value = value.get(step)
            elif isinstance(value, list) and isinstance(step, int) and step < len(value):
                value = value[step]
            else:
                return None
        if value is None or isinstance(value, (dict, list)):
            return None
        return self.marked.raw(*self.steps, *steps)

    def texts(self, name: str) -> Iterator[tuple[Steps, str]]:
        """The text under a name, or each text of the list there, with the steps to it."""
        value = self.data.get(name)
        ways: list[Steps] = [(name,)]
        if isinstance(value, list):
            ways = [(name, index) for index in range(len(value))]
        for steps in ways:
            text = self.text(*steps)
            if text is not None:
                yield steps, text

    def place(self, *steps: str | int) -> Where:
        """Where a value inside the block stands, or the block where it has none."""
        if steps and (*self.steps, *steps) not in self.marked.values:
            return self.key(*steps[:-1])
        return self.marked.value(*self.steps, *steps)

    def inside(self, steps: Steps, offset: int) -> Where:
        """Where a character of a text of the block stands."""
        return self.marked.inside((*self.steps, *steps), offset)

    def key(self, *steps: str | int) -> Where:
        """Where a name inside the block stands, or the name of the block itself."""
        return self.marked.key(*self.steps, *steps)


@dataclass(slots=True)
class Draft:
    """Everything of a tree and its sub-trees, still as blocks."""

    problems: list[Problem] = field(default_factory=list)
    top: Block | None = None
    """The main file."""
    files: list[str] = field(default_factory=list)
    questions: dict[str, Block] = field(default_factory=dict)
    includes: dict[str, Block] = field(default_factory=dict)
    pools: dict[str, Block] = field(default_factory=dict)
    """Steps that ask whichever of their questions is worth most."""
    pool_of: dict[str, str] = field(default_factory=dict)
    """Question -> the pool it is asked in."""
    tops: dict[str, Block] = field(default_factory=dict)
    """Every file by its name without .yaml, the main one first."""
    included_by: dict[str, str] = field(default_factory=dict)
    """Sub-tree -> name of the step that includes it, as a topic or not."""
    topics: dict[str, Block] = field(default_factory=dict)
    """Sub-trees that are topics -> the step of the main tree that takes each in."""
    topic_in: dict[str, str] = field(default_factory=dict)
    """File (a key of ``tops``) -> the topic it belongs to."""
    whole: bool = True
    """False where a step or a file is left out, so that routes cannot be judged."""
    unread: bool = False
    """Whether a file of it is missing or cannot be read, so that any name may be one of that."""
    broken: set[str] = field(default_factory=set)
    """Names of steps that are no blocks, so that nothing is known of them."""
    home: dict[str, str] = field(default_factory=dict)
    """Question or include step -> the file (a key of ``tops``) it stands in."""
    texts: Texts | None = None
    """Texts being edited, read in place of the files of these paths."""
    limits: Limits = field(default_factory=dict)
    """``range.<name>`` of the chairs on sale; empty where they are not known."""
    settings: Settings = field(default_factory=Settings)
    """Of the maker whose trees these are."""
    declared: Mapping[str, Mapping[str, Any]] | None = None
    """The quantities that the file beside a tree declares; None where the program has them."""
    readable: bool = True
    """Whether that file could be read, so that it is known what it makes of answers."""

    @property
    def figures(self) -> tuple[str, ...]:
        """``fit.<name>`` of everything that is worked out."""
        if self.declared is None:
            return tuple(f"fit.{name}" for name in QUANTITIES["fit"])
        return tuple(f"fit.{name}" for name, entry in self.declared.items() if "within" in entry)

    def says(
        self, where: Where, rule: str, message: str, fix: str = "", *, warning: bool = False
    ) -> None:
        severity: Severity = "warning" if warning else "error"
        self.problems.append(Problem(where, message, fix, rule, severity))

    @property
    def crowded(self) -> bool:
        """Whether so much is wrong that looking for nearest names would take minutes."""
        return len(self.problems) >= MOST_PROBLEMS

    def members(self, pool: str) -> list[str]:
        """The usable questions of a pool, in the order of the file."""
        named = [text for _, text in self.pools[pool].texts("best_of")]
        return [name for name in dict.fromkeys(named) if self.pool_of.get(name) == pool]

    def topic_of(self, question: str) -> str | None:
        return self.topic_in.get(self.home[question])

    def blocks(self, *parts: str) -> list[Block]:
        """The cautions, advice or needs of all files, part by part."""
        tops = self.tops.values()
        return [block for part in parts for top in tops for block in self.blocks_of(top, part)]

    def blocks_of(self, top: Block, part: str) -> list[Block]:
        """The cautions, advice or needs of one file."""
        items = top.data.get(part)
        return [
            Block(top.marked, (part, index), item)
            for index, item in enumerate(items if isinstance(items, list) else ())
            if isinstance(item, dict)
        ]


def read_draft(path: Path, texts: Texts | None = None, limits: Limits = NO_LIMITS) -> Draft:
    """Read a tree and, from the same folder, the sub-trees it includes.

    ``texts`` are read in place of the files of the same paths, which need not be there.
    """
    draft = Draft(texts=texts, limits=limits, settings=settings_of(path.parent, texts))
    _read(path, draft, ())
    if draft.top is not None and draft.top.text("works_out") == "fitting":
        draft.declared = _declared(path.with_name(FITTING_FILE), draft)
    return draft


def _declared(path: Path, draft: Draft) -> dict[str, Mapping[str, Any]]:
    """While the file cannot be read, which is told by itself, every name may be one of its."""
    marked, _ = load_marked(path, draft.texts)
    data = marked.data if marked is not None else None
    quantities = data.get("quantities") if isinstance(data, dict) else None
    if not isinstance(quantities, dict):
        draft.readable = False
        spots = (spot for top in draft.tops.values() for spot in top.marked.values.values())
        named = (name for spot in spots for name in _OF_THE_FIT.findall(spot.raw or ""))
        return {name: {"within": ""} for name in named}
    return {name: quantity for name, quantity in quantities.items() if isinstance(quantity, dict)}


def _read(path: Path, draft: Draft, above: tuple[str, ...], topic: str | None = None) -> None:
    marked, problems = load_marked(path, draft.texts)
    draft.problems += problems
    draft.files.append(str(path))
    if marked is None:
        draft.whole, draft.unread = False, True
        return
    draft.problems += schema_problems(marked, load_schema(TREE_SCHEMA))
    if not isinstance(marked.data, dict):
        return
    top = Block(marked, (), marked.data)
    if draft.top is None:
        draft.top = top
    draft.tops[path.stem] = top
    if topic is not None:
        draft.topic_in[path.stem] = topic
    name = top.text("tree")
    if name is not None and name != path.stem:
        message = f"The tree is called '{name}', but its file is called '{path.name}'."
        draft.says(top.place("tree"), "tree-name", message, f"Write tree: {path.stem}.")
    for key in ("after_stop", "works_out", "reading_age"):
        if above and key in marked.data:
            message = f"{key} is allowed in the main tree only."
            draft.says(top.key(key), key.replace("_", "-"), message, "Delete it here.")
    questions = marked.data.get("questions")
    if not isinstance(questions, dict):
        return
    for step, data in questions.items():
        if not isinstance(data, dict):
            draft.whole = False
            draft.broken.add(step)
            continue
        block = Block(marked, ("questions", step), data)
        taken = draft.questions.get(step) or draft.includes.get(step) or draft.pools.get(step)
        if taken is not None:
            message = f"'{step}' is already the name of a step at {taken.key()}."
            fix = "Names must be unique in a tree and its sub-trees. Rename one."
            draft.says(block.key(), "name-twice", message, fix)
            draft.whole = False
            continue
        draft.home[step] = path.stem
        if "include" in data or "topic" in data:
            draft.includes[step] = block
            opened = _topic(block, draft, inside=topic, main=not above)
            _include(step, block, path, draft, (*above, path.stem), opened or topic)
            if opened is not None and draft.included_by.get(opened) == step:
                draft.topics[opened] = block
        elif "best_of" in data:
            draft.pools[step] = block
        else:
            draft.questions[step] = block
    _pools(path.stem, draft)


def _pools(file: str, draft: Draft) -> None:
    """Note which question is asked in which pool of a file; what cannot be is told."""
    for pool, block in draft.pools.items():
        if draft.home[pool] != file:
            continue
        for steps, name in block.texts("best_of"):
            where = block.place(*steps)
            if draft.home.get(name) != file or name not in draft.questions:
                own = [question for question in draft.questions if draft.home[question] == file]
                message = f"There is no question '{name}' in this file to ask in a pool."
                draft.says(where, "unknown-question", message, nearest(name, own))
            elif name in draft.pool_of:
                message = f"'{name}' is already asked in the pool '{draft.pool_of[name]}'."
                draft.says(where, "pooled-twice", message, "Name it once.")
            else:
                draft.pool_of[name] = pool
        if not draft.members(pool):
            draft.whole = False


def taken_in(block: Block) -> str | None:
    """The sub-tree that a step takes in, as a topic or not."""
    return block.text("include") or block.text("topic")


def _topic(block: Block, draft: Draft, *, inside: str | None, main: bool) -> str | None:
    """The topic that a step of the main tree takes in; one that stands elsewhere is told."""
    if "topic" not in block.data or main:
        return block.text("topic")
    message = "A topic is allowed in the main tree only, not in a sub-tree."
    if inside is not None:
        message = f"A topic cannot be inside a topic, and this is part of the topic '{inside}'."
    fix = "Move it to the main tree, or write include: for a sub-tree that is part of this one."
    draft.says(block.key("topic"), "topic-inside", message, fix)
    return None


def _include(
    step: str, block: Block, path: Path, draft: Draft, above: tuple[str, ...], topic: str | None
) -> None:
    name = taken_in(block)
    complete, draft.whole = draft.whole, False
    # A name the schema refuses may hold slashes and dots: it is never made a path.
    if name is None or not name.replace("_", "").isalnum():
        return
    where = block.place("topic" if "topic" in block.data else "include")
    if name in above:
        way = " -> ".join((*above[above.index(name) :], name))
        message = f"The trees include each other in a circle: {way}."
        draft.says(where, "include-circle", message, "Delete one of the includes.")
        return
    if name in draft.included_by:
        message = f"'{name}' is included a second time; the first is '{draft.included_by[name]}'."
        fix = "A tree can include a sub-tree once. Send both routes to the same step."
        draft.says(where, "include-twice", message, fix)
        return
    if len(above) > MAX_DEEP:
        draft.says(where, "deep", f"Trees include each other more than {MAX_DEEP} deep.")
        return
    file = path.with_name(f"{name}.yaml")
    if not is_there(file, draft.texts):
        beside = {*path.parent.glob("*.yaml"), *(draft.texts or ())} - {path}
        others = sorted(sibling.stem for sibling in beside if sibling.suffix == ".yaml")
        message = f"There is no file '{name}.yaml' in this folder."
        draft.says(where, "unknown-tree", message, nearest(name, others))
        draft.unread = True
        return
    draft.included_by[name] = step
    draft.whole = complete
    _read(file, draft, above, topic)


# -- where a question leads ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Way:
    """One way on from a question, as written; ``when`` is False for an otherwise."""

    steps: Steps
    """Inside the question's block, to the name of the place to go."""
    go: str
    when: bool


def ways(block: Block) -> Iterator[Way]:
    """The usable routes of a question, in order."""
    following = block.data.get("next")
    for index, route in enumerate(following if isinstance(following, list) else ()):
        for key in ("go", "otherwise"):
            go = block.text("next", index, key) if isinstance(route, dict) else None
            if go is not None:
                yield Way(("next", index, key), go, key == "go")
    go = block.text("next")
    if go is not None:
        yield Way(("next",), go, False)


def landing(name: str, home: str, draft: Draft) -> str | None:
    """The question a name in file ``home`` leads to, through includes; END; None for nowhere."""
    seen: set[tuple[str, str]] = set()
    following: str | None = name
    while following is not None and (following, home) not in seen:
        seen.add((following, home))
        if following == END:
            step = draft.included_by.get(home)
            if step is None:
                return END
            following, home = draft.includes[step].text("next"), draft.home[step]
        elif following in draft.questions:
            return following
        elif following in draft.pools:
            following = next(iter(draft.members(following)), None)
        elif following in draft.includes:
            tree = taken_in(draft.includes[following]) or ""
            if tree not in draft.tops or draft.included_by.get(tree) != following:
                return None
            following, home = draft.tops[tree].text("first"), tree
            if following == END:
                return None
        else:
            return None
    return None


def after_member(name: str, draft: Draft) -> str:
    """Where a question of a pool leads: the next of its pool, after the last the pool's ``next``.

    A pool is read as its questions in the order of the file, any of which may be left out.
    """
    pool = draft.pool_of[name]
    members = draft.members(pool)
    later = members[members.index(name) + 1 :]
    return later[0] if later else draft.pools[pool].text("next") or END
