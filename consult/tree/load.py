"""A tree file and its sub-trees made into one tree, which is returned only without errors."""

from __future__ import annotations

import os
from collections.abc import Callable, Set
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import cast

from consult.former import feature_now
from consult.marked.fast_validation import add_validated, is_validated
from consult.marked.marks import Texts
from consult.paths import shipped_trees
from consult.problems import Problem
from consult.recall import recall
from consult.tree.condition import NO_LIMITS, Condition, Limits, parse_condition
from consult.tree.draft import Block, Draft, after_member, landing, read_draft, ways
from consult.tree.model import (
    Advice,
    Always,
    AnswerKind,
    Caution,
    Level,
    Need,
    Question,
    Route,
    Strength,
    Topic,
    Tree,
)
from consult.tree.nodes import ChoiceName, Compare, Name, Node, Or
from consult.tree.quantities import adjusts_of
from consult.tree.questions import choices_of, expected, offered, openers, signs_of
from consult.tree.sources import SOURCES_FILE as SOURCES
from consult.units import from_unit

Filling = Callable[[str], str]
"""A text with the blanks filled that the settings fill, or as it is."""


def load_tree(
    path: Path, texts: Texts | None = None, limits: Limits = NO_LIMITS, *, filled: bool = True
) -> tuple[Tree | None, list[Problem]]:
    """Read, flatten and check a tree; None where a problem is an error.

    The ``end`` of a sub-tree becomes the place its includer goes on to, and a route to an include
    step leads to the sub-tree's first question, so that neither is left in the tree. ``limits`` of
    the range stand in its conditions as figures. Without ``filled`` its texts keep the blanks that
    the settings fill, so that the trees of two makers can be compared.
    """
    draft = read_draft(path, texts, limits)
    problems = problems_of(draft, path)
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    files = tuple((top.marked.file, top.marked.digest) for top in draft.tops.values())
    key = (files, draft.settings, tuple(draft.limits.items()), filled)
    return recall(_trees, key, _MOST, lambda: _tree(draft, filled=filled)), problems


def load_with_gaps(path: Path, texts: Texts | None = None) -> Tree | None:
    """The tree of a draft that lacks an ``otherwise`` and is sound but for that, to be looked at.

    None where anything else is wrong. No call may be taken with it: where no route is true it ends.
    """
    draft = read_draft(path, texts)
    errors = [problem for problem in problems_of(draft, path) if problem.severity == "error"]
    return None if any(problem.rule != "no-otherwise" for problem in errors) else _tree(draft)


# -- whether a draft is sound, which is checked once ----------------------------------------------

_BY = "the check of a tree"


def problems_of(draft: Draft, path: Path, features: Set[str] | None = None) -> list[Problem]:
    """Everything wrong with a draft; files that were found sound are not checked again."""
    known = None
    if draft.texts is None and not draft.problems:
        known = _read_by_check(draft, path)
        against = _BY if features is None else f"{_BY} {sorted(features)}"
        if is_validated(known, against):
            return []
    # Imported only where something is to check: a start with sound trees is quicker without.
    from consult.tree.check import all_problems

    problems = all_problems(draft, path, features)
    if known is not None and not problems:
        add_validated(known, against)
        # Without the features of a range less is checked.
        add_validated(known, _BY)
    return problems


def _read_by_check(draft: Draft, path: Path) -> str:
    """The digest of all that a check reads: the files of the folder, the settings, the limits of
    the range, the sources that come with consult, and the program itself."""
    digest = sha256(repr((path.name, draft.settings, sorted(draft.limits.items()))).encode())
    digest.update(_program().encode())
    for file in (*sorted(path.parent.glob("*.yaml")), shipped_trees() / SOURCES):
        digest.update(f"{file.name} {file.is_file()} ".encode())
        digest.update(sha256(file.read_bytes()).digest() if file.is_file() else b"")
    return digest.hexdigest()


@cache
def _program() -> str:
    """What tells this program from a later one: every file with its size and time."""
    walk = os.walk(Path(__file__).parent.parent)
    files = (Path(folder, name) for folder, _, names in walk for name in names)
    stats = ((str(file), file.stat()) for file in files if file.suffix != ".pyc")
    return repr(sorted((name, stat.st_size, stat.st_mtime_ns) for name, stat in stats))


# -- the tree of a sound draft --------------------------------------------------------------------

_MOST = 32
_trees: dict[tuple[object, ...], Tree | None] = {}
"""By all they are made of; the same files are read again and again."""


def _tree(draft: Draft, *, filled: bool = False) -> Tree | None:
    if (top := draft.top) is None:
        return None
    filling = draft.settings.fill if filled else str
    home, after_stop = next(iter(draft.tops)), top.text("after_stop")
    return Tree(
        name=_text(top, "tree"),
        title=filling(_text(top, "title")),
        version=_text(top, "version"),
        first=_landing(_text(top, "first"), home, draft),
        questions={
            name: _question(name, block, draft, filling) for name, block in draft.questions.items()
        },
        cautions=tuple(_caution(block, draft, filling) for block in draft.blocks("cautions")),
        advice=tuple(_advice(block, draft, filling) for block in draft.blocks("advice")),
        needs=tuple(_need(block, draft, filling) for block in draft.blocks("needs")),
        fits=top.text("works_out") != "nothing",
        declared=top.text("works_out") == "fitting",
        advises="a_buyer" if top.text("advises") == "a_buyer" else "the_sitter",
        after_stop=_landing(after_stop, home, draft) if after_stop else None,
        files=tuple(str(block.marked.file) for block in draft.tops.values()),
        always=tuple(_always(block, draft) for block in draft.blocks("always")),
        topics={name: _topic(name, block, draft) for name, block in draft.topics.items()},
    )


def _text(block: Block, *steps: str | int) -> str:
    return block.text(*steps) or ""


def _texts(block: Block, key: str) -> tuple[str, ...]:
    return tuple(text for _, text in block.texts(key))


def _landing(name: str, home: str, draft: Draft) -> str:
    to = landing(name, home, draft)
    assert to is not None, f"the check lets no unknown name pass, yet '{name}' is"
    return to


def _condition(draft: Draft, block: Block, *steps: str | int, outcomes: bool = False) -> Condition:
    text = _text(block, *steps)
    return parse_condition(text, outcomes=outcomes).resolve(draft.questions.keys(), draft.limits)


def _question(name: str, block: Block, draft: Draft, filling: Filling) -> Question:
    unit, usual = block.text("unit"), expected(block)
    if usual is not None and unit is not None:
        usual = (from_unit(usual[0], unit), from_unit(usual[1], unit))
    private, topic = block.text("private"), draft.topic_of(name)
    return Question(
        name=name,
        where=block.key(),
        ask=filling(_text(block, "ask")),
        answer=cast("AnswerKind", _text(block, "answer")),
        routes=_routes(name, block, draft),
        coach=filling(_text(block, "coach")),
        called=_texts(block, "called"),
        choices={choice: filling(label) for choice, label in choices_of(block).items()},
        exclusive=block.text("exclusive"),
        measures=block.text("measures"),
        sets=block.text("sets"),
        card=block.text("card"),
        unit=unit,
        expect=usual,
        unknown_allowed=block.text("unknown") != "refused",
        private="health" if private == "health" else "personal" if private else None,
        stored_with_consent=block.text("stored") == "with_consent",
        cautioned="cautioned" in block.data,
        for_order_team=block.text("read_by") == "order_team",
        signs={choice: tuple(signs) for choice, signs in signs_of(block).items()},
        doubt=block.text("doubt"),
        skip_when=_condition(draft, block, "skip_when") if "skip_when" in block.data else None,
        ask_when=_condition(draft, block, "ask_when") if "ask_when" in block.data else None,
        pool=draft.pool_of.get(name),
        topic=topic,
        gate=_gate(topic, draft) if topic is not None else None,
    )


def _topic(name: str, block: Block, draft: Draft) -> Topic:
    return Topic(
        name=name,
        where=block.key(),
        title=_text(block, "title"),
        changes=_text(block, "changes"),
        questions=tuple(
            question for question in draft.questions if draft.topic_of(question) == name
        ),
        open_when=_condition(draft, block, "open_when") if "open_when" in block.data else None,
    )


def _routes(name: str, block: Block, draft: Draft) -> tuple[Route, ...]:
    if name in draft.pool_of:
        go = _landing(after_member(name, draft), draft.home[name], draft)
        return (Route(None, go, draft.pools[draft.pool_of[name]].key("next")),)
    routes = []
    for way in ways(block):
        when = _condition(draft, block, *way.steps[:-1], "when") if way.when else None
        go = _landing(way.go, draft.home[name], draft)
        routes.append(Route(when, go, block.place(*way.steps)))
    return tuple(routes)


def _caution(block: Block, draft: Draft, filling: Filling) -> Caution:
    return Caution(
        name=_text(block, "name"),
        where=block.place(),
        level=cast("Level", _text(block, "level")),
        when=_condition(draft, block, "when"),
        say=filling(_text(block, "say")),
        contact=block.text("contact"),
        source=_texts(block, "source"),
        forbids=_moves(block, "forbids"),
    )


def _advice(block: Block, draft: Draft, filling: Filling) -> Advice:
    return Advice(
        name=_text(block, "name"),
        where=block.place(),
        when=_condition(draft, block, "when"),
        topic=_text(block, "topic"),
        say=filling(_text(block, "say")),
        because=filling(_text(block, "because")),
        source=_texts(block, "source"),
        contradicts=_texts(block, "contradicts"),
        country=_text(block, "country"),
        employer=filling(_text(block, "employer")),
        moves=_moves(block, "moves"),
        may_move=_moves(block, "may_move"),
        adjusts=adjusts_of(block),
    )


def _moves(block: Block, key: str) -> dict[str, str]:
    return {str(thing): str(way) for thing, way in (block.data.get(key) or {}).items()}


def _always(block: Block, draft: Draft) -> Always:
    return Always(
        name=_text(block, "name"),
        where=block.place(),
        when=_condition(draft, block, "when", outcomes=True),
        then=_condition(draft, block, "then", outcomes=True),
        because=_text(block, "because"),
        source=_texts(block, "source"),
    )


def _need(block: Block, draft: Draft, filling: Filling) -> Need:
    return Need(
        name=_text(block, "name"),
        where=block.place(),
        when=_condition(draft, block, "when"),
        feature=feature_now(_text(block, "feature")),
        strength=cast("Strength", _text(block, "strength")),
        because=filling(_text(block, "because")),
        source=_texts(block, "source"),
        adjusts=adjusts_of(block),
    )


def _gate(topic: str, draft: Draft) -> Condition:
    """When a topic is open, as one condition."""
    opening = [name for name, block in openers(draft).items() if topic in offered(block)]
    nodes: list[Node] = [Compare((ChoiceName(topic, 0), Name(n, 0)), ("in",), 0) for n in opening]
    texts, names = [f"{topic} in {name}" for name in opening], frozenset(opening)
    if "open_when" in draft.topics[topic].data:
        written = parse_condition(_text(draft.topics[topic], "open_when"))
        nodes.insert(0, written.resolve(draft.questions.keys()).node)
        texts.insert(0, f"({written.text})")
        names |= written.names
    node = nodes[0] if len(nodes) == 1 else Or(tuple(nodes), 0)
    return Condition(" or ".join(texts), node, names)
