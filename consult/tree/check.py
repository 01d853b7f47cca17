"""All that is wrong with a tree, its sub-trees and its contacts file, reported together."""

from __future__ import annotations

from collections.abc import Iterator, Set
from pathlib import Path

from consult.former import feature_now
from consult.marked.marks import Steps, Texts, is_there
from consult.problems import Problem, Where, listed, nearest
from consult.tree.condition import NO_LIMITS, Limits
from consult.tree.constant import Written, check_constant, check_winning, sound_condition
from consult.tree.contacts import CONTACTS_FILE, load_contacts
from consult.tree.draft import Block, Draft, read_draft
from consult.tree.figures import check_adjusts, check_far_off, check_ranges, check_repeated
from consult.tree.floor_questions import check_cautioned, check_floor_questions, check_forbids
from consult.tree.floor_ways import check_floor_ways
from consult.tree.folder import FITTING_FILE, RANGE_FILE
from consult.tree.load import problems_of
from consult.tree.model import plain_name
from consult.tree.questions import check_pools, check_question, check_used, name_kinds
from consult.tree.readability import check_spoken
from consult.tree.routes import always_asked, check_routes, check_topics
from consult.tree.sources import SOURCES_FILE as SOURCES
from consult.tree.sources import sources_beside, uncited
from consult.tree.texts import check_always, check_contradicts, check_employer, check_texts
from consult.tree.truth_tables import answers_of, values_of

_UNKNOWN = frozenset(("unknown-question", "unknown-name"))
_SHAPE = frozenset(("wrong-type", "wrong-form", "wrong-word", "empty"))


def check_tree(
    path: Path,
    features: Set[str] | None = None,
    texts: Texts | None = None,
    limits: Limits = NO_LIMITS,
) -> list[Problem]:
    """Check a main tree with everything it includes.

    ``features`` are the features of the range file; where they are given, needs may name no
    other. ``texts`` are read in place of the files of the same paths. ``limits`` are those of the
    range, which nothing may repeat as a figure. Problems come in the order of the files and of
    their lines.
    """
    return problems_of(read_draft(path, texts, limits), path, features)


def all_problems(draft: Draft, path: Path, features: Set[str] | None = None) -> list[Problem]:
    """Everything that the check finds, whatever was found before."""
    shape = {problem.where for problem in draft.problems if problem.rule in _SHAPE}
    before = len(draft.problems)
    if draft.top is not None:
        for name, block in draft.questions.items():
            check_question(name, block, draft)
        graph = check_routes(draft)
        conditions = _check_conditions(draft)
        _check_names(draft)
        check_always(draft)
        check_contradicts(draft)
        _check_called(draft)
        _check_features(draft, features)
        check_texts(draft, _contact_keys(path, draft))
        check_repeated(conditions, draft)
        _check_cited(path, draft)
        _check_worth(conditions, draft)
        for check in (check_cautioned, check_employer, check_adjusts, check_floor_questions):
            check(conditions, draft)
        with_chairs = is_there(path.with_name(RANGE_FILE), draft.texts)
        declared = draft.declared is not None
        beside = is_there(path.with_name(FITTING_FILE), draft.texts)
        if beside and draft.blocks("needs") and draft.top.text("works_out") is None:
            message = f"{FITTING_FILE} stands beside this tree, which does not work it out."
            fix = "Write works_out: fitting, or delete the file."
            draft.says(draft.top.key("tree"), "fitting-unused", message, fix, warning=True)
        check_floor_ways(conditions, graph, draft, with_chairs=with_chairs or declared)
        check_forbids(conditions, draft)
        check_topics(conditions, graph, draft)
        check_spoken(path, draft)
        if not any(problem.severity == "error" for problem in draft.problems):
            # While a line is broken, it is not known what it reads.
            if draft.readable:
                check_used((written.condition for written in conditions), draft)
            if declared or (with_chairs and draft.top.text("works_out") in (None, "chair")):
                check_pools(conditions, draft)
    # Where the shape is wrong or a file was not read, what only follows from that is left out.
    broken = tuple(f" '{name}'" for name in draft.broken)
    later = [
        problem
        for problem in draft.problems[before:]
        if problem.where not in shape
        and not (
            problem.rule in _UNKNOWN
            and (draft.unread or any(name in problem.message for name in broken))
        )
    ]
    order = {file: index for index, file in enumerate(draft.files)}

    def place(problem: Problem) -> tuple[int, Where, str, str, str]:
        file = order.get(problem.where.file, len(order))
        return file, problem.where, problem.severity, problem.rule, problem.message

    return sorted(dict.fromkeys((*draft.problems[:before], *later)), key=place)


def _check_worth(conditions: list[Written], draft: Draft) -> None:
    if draft.crowded:
        return
    named = {name for written in conditions for name in written.condition.names if "." in name}
    possible = {name: values_of(name) for name in named}
    possible |= {name: answers_of(name, block) for name, block in draft.questions.items()}
    check_constant(conditions, possible, draft)
    check_winning(conditions, possible, draft)
    check_ranges(conditions, possible, draft)
    check_far_off(conditions, draft)


def _check_conditions(draft: Draft) -> list[Written]:
    """Note what makes no sense, and give back the conditions that do."""
    kinds = name_kinds(draft)
    sound: list[Written] = []
    for block, steps, owner in _whens(draft):
        condition = sound_condition(block, steps, draft, kinds)
        if condition is not None:
            certain = steps[0] == "next" and block.text("unknown") == "refused"
            certain = certain and always_asked(owner, draft)
            sound.append(Written(block, steps, condition, owner, certain))
    return sound


def _whens(draft: Draft) -> Iterator[tuple[Block, Steps, str]]:
    """Every place for a condition, with the question whose it is."""
    for name, block in draft.questions.items():
        yield block, ("skip_when",), name
        yield block, ("ask_when",), name
        following = block.data.get("next")
        for index in range(len(following) if isinstance(following, list) else 0):
            yield block, ("next", index, "when"), name
    for block in draft.topics.values():
        yield block, ("open_when",), ""
    for block in draft.blocks("cautions", "advice", "needs"):
        yield block, ("when",), ""


def _check_names(draft: Draft) -> None:
    for part in ("cautions", "advice", "needs", "always"):
        of = "a line of always" if part == "always" else f"one of the {part}"
        taken: dict[str, Block] = {}
        for block in draft.blocks(part):
            name = block.text("name")
            first = taken.setdefault(name, block) if name is not None else block
            if first is not block:
                message = f"'{name}' is already the name of {of} at {first.place()}."
                draft.says(block.place("name"), "name-twice", message, "Rename one of the two.")


def _check_called(draft: Draft) -> None:
    """Note names an adviser may type that mean two questions; a question's own name comes first."""
    taken: dict[str, str] = {}
    for name, block in draft.questions.items():
        holder = taken.setdefault(plain_name(name), name)
        if holder != name:
            message = f"'{name}' looks too much like '{holder}' at {draft.questions[holder].key()}."
            draft.says(block.key(), "called-twice", message, "Rename one of the two.")
    for name, block in draft.questions.items():
        for steps, text in block.texts("called"):
            holder = taken.setdefault(plain_name(text), name)
            if holder != name:
                at = draft.questions[holder].key()
                message = f"'{text}' is already a short name of '{holder}' at {at}."
                fix = "A short name can mean only one question. Give one of them another."
                draft.says(block.place(*steps), "called-twice", message, fix)


def _check_features(draft: Draft, features: Set[str] | None) -> None:
    if features is None:
        return
    for block in draft.blocks("needs"):
        feature = block.text("feature")
        if feature is not None and feature_now(feature) not in features:
            fix = nearest(feature, sorted(features)) or f"It has {listed(sorted(features))}."
            message = f"The range has no feature '{feature}'."
            draft.says(block.place("feature"), "unknown-feature", message, fix)


def _check_cited(path: Path, draft: Draft) -> None:
    """Note each source that is cited and has no entry."""
    sources, problems = sources_beside(path.parent, draft.texts)
    if is_there(path.with_name(SOURCES), draft.texts):
        draft.files.append(str(path.with_name(SOURCES)))
    draft.problems += problems
    if sources is not None:
        for top in draft.tops.values():
            draft.problems += uncited(top.marked, sources)


def _contact_keys(path: Path, draft: Draft) -> Set[str] | None:
    file = path.with_name(CONTACTS_FILE)
    if not is_there(file, draft.texts):
        return None
    contacts, problems = load_contacts(file, draft.texts)
    draft.files.append(str(file))
    draft.problems += problems
    if contacts is None:
        # It is there and has mistakes, which are told: none of its names is called missing too.
        named = (block.text("contact") for block in draft.blocks("cautions"))
        return {name for name in named if name is not None}
    return contacts.keys()
