"""All that is wrong with a tree, its sub-trees and its contacts file, told at once."""

from __future__ import annotations

from collections.abc import Set
from pathlib import Path

from consult.problems import Problem, listed, nearest
from consult.tree.condition import ConditionError, parse_condition
from consult.tree.contacts import FILE, load_contacts
from consult.tree.draft import Block, Draft, read_draft
from consult.tree.facts import check_question, question_kind
from consult.tree.model import plain_name
from consult.tree.routes import check_routes
from consult.tree.texts import check_texts
from consult.tree.typecheck import condition_troubles

_SHAPE = frozenset(("wrong-type", "wrong-form", "wrong-word", "empty"))


def check_tree(path: Path, features: Set[str] | None = None) -> list[Problem]:
    """Check a main tree with everything it includes.

    ``features`` are the features of the range file; where they are given, needs may name no
    other. Problems come in the order of the files and of their lines.
    """
    return problems_of(read_draft(path), path, features)


def problems_of(draft: Draft, path: Path, features: Set[str] | None = None) -> list[Problem]:
    """The same for a draft that has been read already."""
    shape = {each.where for each in draft.problems if each.rule in _SHAPE}
    before = len(draft.problems)
    if draft.top is not None:
        for name, block in draft.questions.items():
            check_question(name, block, draft)
        check_routes(draft)
        _check_conditions(draft)
        _check_names(draft)
        _check_called(draft)
        _check_features(draft, features)
        check_texts(draft, _contact_keys(path, draft))
    # Where the shape is wrong already, what follows from it is not worth saying.
    later = [each for each in draft.problems[before:] if each.where not in shape]
    order = {file: index for index, file in enumerate(draft.files)}
    return sorted(
        dict.fromkeys((*draft.problems[:before], *later)),
        key=lambda each: (
            order.get(each.where.file, len(order)),
            each.where,
            each.severity,
            each.rule,
            each.message,
        ),
    )


def _check_conditions(draft: Draft) -> None:
    kinds = {name: question_kind(name, block) for name, block in draft.questions.items()}
    found: list[tuple[Block, tuple[str | int, ...]]] = []
    for block in draft.questions.values():
        found.append((block, ("skip_when",)))
        following = block.data.get("next")
        routes = following if isinstance(following, list) else ()
        found += [(block, ("next", index, "when")) for index in range(len(routes))]
    for part in ("cautions", "advice", "needs"):
        found += [(block, ("when",)) for block in draft.blocks(part)]
    for block, steps in found:
        text = block.text(*steps)
        if text is None or draft.crowded:
            continue
        inside = (*block.steps, *steps)
        try:
            troubles = condition_troubles(parse_condition(text), kinds)
        except ConditionError as error:
            where = block.marked.inside(inside, error.offset)
            draft.says(where, "condition", error.message, error.fix)
            continue
        for trouble in troubles:
            where = block.marked.inside(inside, trouble.offset)
            draft.says(where, trouble.rule, trouble.message, trouble.fix)


def _check_names(draft: Draft) -> None:
    for part in ("cautions", "advice", "needs"):
        taken: dict[str, Block] = {}
        for block in draft.blocks(part):
            name = block.text("name")
            if name is None:
                continue
            first = taken.setdefault(name, block)
            if first is not block:
                said = f"'{name}' is already the name of one of the {part} at {first.place()}."
                draft.says(block.place("name"), "name-twice", said, "Rename one of the two.")


def _check_called(draft: Draft) -> None:
    """Whatever the adviser types must mean one question, its own name coming before others'."""
    taken: dict[str, str] = {}
    for name, block in draft.questions.items():
        other = taken.setdefault(plain_name(name), name)
        if other != name:
            said = f"'{name}' reads like '{other}' at {draft.questions[other].key()}."
            draft.says(block.key(), "called-twice", said, "Rename one of the two.")
    for name, block in draft.questions.items():
        for steps, text in block.texts("called"):
            other = taken.setdefault(plain_name(text), name)
            if other != name:
                said = f"'{text}' means '{other}' at {draft.questions[other].key()} already."
                fix = "A short name stands for one question: give one of them another."
                draft.says(block.place(*steps), "called-twice", said, fix)


def _check_features(draft: Draft, features: Set[str] | None) -> None:
    if features is None:
        return
    for block in draft.blocks("needs"):
        feature = block.text("feature")
        if feature is not None and feature not in features:
            fix = nearest(feature, sorted(features))
            fix = fix or f"It has {listed(sorted(features))}."
            said = f"The range has no feature '{feature}'."
            draft.says(block.place("feature"), "unknown-feature", said, fix)


def _contact_keys(path: Path, draft: Draft) -> Set[str] | None:
    file = path.with_name(FILE)
    if not file.is_file():
        return None
    contacts, problems = load_contacts(file)
    draft.files.append(str(file))
    draft.problems += problems
    return contacts.keys() if contacts else None
