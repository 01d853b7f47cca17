"""A tree file and its sub-trees made into one tree, which is returned only without errors."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from consult.former import feature_now
from consult.marked.marks import Texts
from consult.problems import Problem
from consult.tree.check import problems_of
from consult.tree.condition import NO_LIMITS, Condition, Limits, parse_condition
from consult.tree.draft import Block, Draft, read_draft
from consult.tree.floor_questions import signs_of
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
from consult.tree.quantities import adjusts_of
from consult.tree.questions import choices_of, expected
from consult.tree.routes import after_member, landing, ways
from consult.tree.settings import said_by
from consult.tree.topics import gate_of
from consult.units import from_unit


@dataclass(frozen=True, slots=True)
class Loaded:
    """What came of reading a tree."""

    tree: Tree | None
    """None where a problem is an error."""
    problems: list[Problem]


def load_tree(
    path: Path,
    features: Set[str] | None = None,
    texts: Texts | None = None,
    limits: Limits = NO_LIMITS,
    *,
    filled: bool = True,
) -> Loaded:
    """Read, flatten and check a tree; problems are values, nothing is raised for a bad file.

    The ``end`` of a sub-tree becomes the place its includer goes on to, and a route to an include
    step leads to the sub-tree's first question, so that neither is left in the tree. ``limits`` of
    the range stand in its conditions as figures. Without ``filled`` its texts keep the blanks that
    the settings fill, so that the trees of two makers can be compared.
    """
    draft = read_draft(path, texts, limits)
    problems = problems_of(draft, path, features)
    if any(problem.severity == "error" for problem in problems):
        return Loaded(None, problems)
    tree = _tree(draft)
    return Loaded(said_by(draft.settings, tree) if tree and filled else tree, problems)


def load_with_gaps(path: Path, texts: Texts | None = None) -> Tree | None:
    """The tree of a draft that lacks an ``otherwise`` and is sound but for that, to be looked at.

    None where anything else is wrong. No call may be taken with it: where no route is true it ends.
    """
    draft = read_draft(path, texts)
    errors = [each for each in problems_of(draft, path) if each.severity == "error"]
    return None if any(each.rule != "no-otherwise" for each in errors) else _tree(draft)


def _tree(draft: Draft) -> Tree | None:
    top = draft.top
    if top is None:
        return None
    home = next(iter(draft.tops))
    after_stop = top.text("after_stop")
    return Tree(
        name=_text(top, "tree"),
        title=_text(top, "title"),
        version=_text(top, "version"),
        first=_landing(_text(top, "first"), home, draft),
        questions={name: _question(name, block, draft) for name, block in draft.questions.items()},
        cautions=tuple(_caution(block, draft) for block in draft.blocks("cautions")),
        advice=tuple(_advice(block, draft) for block in draft.blocks("advice")),
        needs=tuple(_need(block, draft) for block in draft.blocks("needs")),
        fits=top.text("works_out") != "nothing",
        declared=top.text("works_out") == "fitting",
        advises="a_buyer" if top.text("advises") == "a_buyer" else "the_sitter",
        after_stop=_landing(after_stop, home, draft) if after_stop else None,
        files=tuple(str(draft.tops[name].marked.file) for name in draft.tops),
        always=tuple(_always(block, draft) for block in draft.blocks("always")),
        topics={name: _topic(name, block, draft) for name, block in draft.topics.items()},
    )


def _text(block: Block, *steps: str | int) -> str:
    return block.text(*steps) or ""


def _landing(name: str, home: str, draft: Draft) -> str:
    to = landing(name, home, draft)
    assert to is not None, f"the check lets no unknown name pass, yet '{name}' is"
    return to


def _condition(draft: Draft, block: Block, *steps: str | int, outcomes: bool = False) -> Condition:
    text = _text(block, *steps)
    return parse_condition(text, outcomes=outcomes).resolve(draft.questions.keys(), draft.limits)


def _question(name: str, block: Block, draft: Draft) -> Question:
    unit = block.text("unit")
    usual = expected(block)
    if usual is not None and unit is not None:
        usual = (from_unit(usual[0], unit), from_unit(usual[1], unit))
    private, topic = block.text("private"), draft.topic_of(name)
    return Question(
        name=name,
        where=block.key(),
        ask=_text(block, "ask"),
        answer=cast("AnswerKind", _text(block, "answer")),
        routes=_routes(name, block, draft),
        coach=_text(block, "coach"),
        called=tuple(text for _, text in block.texts("called")),
        choices=choices_of(block),
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
        gate=gate_of(topic, draft) if topic is not None else None,
    )


def _topic(name: str, block: Block, draft: Draft) -> Topic:
    return Topic(
        name=name,
        where=block.key(),
        title=_text(block, "title"),
        changes=_text(block, "changes"),
        questions=tuple(each for each in draft.questions if draft.topic_of(each) == name),
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


def _caution(block: Block, draft: Draft) -> Caution:
    return Caution(
        name=_text(block, "name"),
        where=block.place(),
        level=cast("Level", _text(block, "level")),
        when=_condition(draft, block, "when"),
        say=_text(block, "say"),
        contact=block.text("contact"),
        source=tuple(text for _, text in block.texts("source")),
        forbids=_moves(block, "forbids"),
    )


def _advice(block: Block, draft: Draft) -> Advice:
    return Advice(
        name=_text(block, "name"),
        where=block.place(),
        when=_condition(draft, block, "when"),
        topic=_text(block, "topic"),
        say=_text(block, "say"),
        because=_text(block, "because"),
        source=tuple(text for _, text in block.texts("source")),
        contradicts=tuple(text for _, text in block.texts("contradicts")),
        country=_text(block, "country"),
        employer=_text(block, "employer"),
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
        source=tuple(text for _, text in block.texts("source")),
    )


def _need(block: Block, draft: Draft) -> Need:
    return Need(
        name=_text(block, "name"),
        where=block.place(),
        when=_condition(draft, block, "when"),
        feature=feature_now(_text(block, "feature")),
        strength=cast("Strength", _text(block, "strength")),
        because=_text(block, "because"),
        source=tuple(text for _, text in block.texts("source")),
        adjusts=adjusts_of(block),
    )
