"""The safety floor in the ways of a call: signs before any chair, health only after a yes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from itertools import chain

from consult.problems import Where, listed
from consult.tree.constant import TRUE, Written, possible
from consult.tree.draft import Block, Draft, ways
from consult.tree.floor import the_floor
from consult.tree.floor_questions import sends_to
from consult.tree.model import END
from consult.tree.nodes import Value
from consult.tree.questions import signs_of
from consult.tree.routes import RouteGraph, always_asked, reached_from, roots_of

FACTS_OF_A_CHAIR = (
    *("stature_origin", "heel", "desk_kind", "desk_height", "desk_thickness", "desk_lowest"),
    *("desk_highest", "close_to_desk", "lenses", "agreed", "agreed_parts", "agreed_because"),
    *("headrest", "foot_ring", "fabric"),
    *("chair_height", "chair_depth", "chair_arms"),
)
"""Facts by whose questions a call has come to the chair, as every measure of a body does."""
_INCLUDE = "Include the tree safety before every question about the chair."


def check_floor_ways(
    conditions: Sequence[Written], graph: RouteGraph, draft: Draft, *, with_chairs: bool
) -> None:
    """Note ways that lead past warning signs to a chair, or past a refusal to health.

    ``with_chairs``: a range of chairs stands beside the tree; without one it advises nobody yet.
    """
    if not draft.whole or draft.top is None:
        return
    if draft.top.text("advises") == "a_buyer":
        _check_buyer(conditions, draft)
    elif with_chairs:
        _check_asked(graph, draft)
    _check_refusal(graph, draft)


def _check_asked(graph: RouteGraph, draft: Draft) -> None:
    # The questions of the advice on a chair, before which every sign is asked.
    chair = [
        name
        for name, block in draft.questions.items()
        if "measures" in block.data or block.data.get("sets") in FACTS_OF_A_CHAIR
    ]
    if not chair or draft.top is None:
        return
    asked = {name: set(chain(*signs_of(block).values())) for name, block in draft.questions.items()}
    groups: dict[tuple[str, ...], list[str]] = {}
    for sign in the_floor().signs:
        names = tuple(name for name, signs in asked.items() if sign in signs)
        groups.setdefault(names, []).append(sign)
    roots = roots_of(draft)
    for names, signs in groups.items():
        certain = [name for name in names if always_asked(name, draft)]
        past = reached_from(graph, roots, without=certain)
        met = next((name for name in chair if name in past), None)
        if met is None:
            continue
        what = f"about {listed(map(repr, signs))}"
        if len(groups) == 1:
            what = "about any warning sign"
        if not names:
            message = f"This tree asks about a chair, as in '{met}', but not {what}."
            draft.says(draft.top.place("tree"), "floor-not-asked", message, _INCLUDE)
        else:
            message = f"A call can come to '{met}' without being asked {what}."
            fix = f"Make every route to it pass {listed(map(repr, names))}"
            where = draft.questions[names[0]].key("signs")
            draft.says(where, "floor-not-asked", message, f"{fix}, which must not be skipped.")


def _check_buyer(conditions: Sequence[Written], draft: Draft) -> None:
    """A tree for a buyer of several chairs asks no signs, so it works out nothing for a body."""
    top = draft.top
    assert top is not None
    place = top.place("advises")
    if top.text("works_out") != "nothing":
        message = "A tree that advises a buyer cannot work out a chair for one person."
        draft.says(place, "floor-buyer", message, "Write works_out: nothing, or leave advises out.")
    for name, block in draft.questions.items():
        body = "measures" in block.data
        if body or (block.text("private") == "health" and "signs" not in block.data):
            what = "measures a body" if body else "asks about health"
            message = f"'{name}' {what}, which a tree that advises a buyer does not."
            draft.says(block.key(), "floor-buyer", message, "Delete it, or leave advises out.")
    contacts = the_floor().contacts
    urgent = [key for key, contact in contacts.items() if contact.gravity != "clinician"]
    if not any(
        written.part == "cautions"
        and written.block.text("level") == "stop"
        and sends_to(written.block, urgent)
        for written in conditions
    ):
        message = "This tree has no stop for a caller when somebody needs help today."
        fix = f"Add a choice for it, and a stop with contact: {listed(urgent)}."
        draft.says(place, "floor-buyer", message, fix)


def _check_refusal(graph: RouteGraph, draft: Draft) -> None:
    """Follow every caller who did not say yes, and note the questions about health they meet."""
    health = {
        name
        for name, block in draft.questions.items()
        if block.data.get("private") == "health" and "stored" not in block.data
    }
    if not health:
        return
    noted: set[str] = set()
    for consent, block in draft.questions.items():
        if block.data.get("sets") != "consent" or block.data.get("answer") != "yes-no":
            continue
        refusals: list[Value | None] = [False]
        if block.text("unknown") != "refused":
            refusals.append(None)
        for refusal in refusals:
            # After a refusal nothing about health was asked, so none of it is known.
            fixed = {**dict.fromkeys(health), consent: refusal}
            for name in _met(consent, fixed, health, graph, draft):
                if name not in noted:
                    noted.add(name)
                    message = f"A caller who does not say yes to '{consent}' can come to '{name}', "
                    message += "which asks about health."
                    fix = f"Add to its route: when: {consent}"
                    place = draft.questions[name].key("private")
                    draft.says(place, "floor-consent", message, f"{fix}, or skip it when not.")


def _met(
    consent: str,
    fixed: Mapping[str, Value | None],
    health: Set[str],
    graph: RouteGraph,
    draft: Draft,
) -> list[str]:
    waiting = [consent, *roots_of(draft)[1:]]
    seen, found = set(waiting), []
    while waiting:
        name = waiting.pop()
        block = draft.questions[name]
        if name in health and not _is_skipped(block, fixed, draft):
            # What follows it is usually reached no other way, so only the first is reported.
            found.append(name)
            continue
        shut = _shut(block, fixed, draft)
        for edge in graph[name]:
            if edge.where not in shut and edge.to != END and edge.to not in seen:
                seen.add(edge.to)
                waiting.append(edge.to)
    return found


def _is_skipped(block: Block, fixed: Mapping[str, Value | None], draft: Draft) -> bool:
    only = block.text("ask_when")
    if only is not None and True not in possible(only, fixed, draft.questions):
        return True
    return possible(block.text("skip_when"), fixed, draft.questions) == TRUE


def _shut(block: Block, fixed: Mapping[str, Value | None], draft: Draft) -> set[Where]:
    """Where the routes are written that such a caller never takes."""
    shut: set[Where] = set()
    ended = False
    for way in ways(block):
        taken = TRUE
        if way.when:
            taken = possible(block.text(*way.steps[:-1], "when"), fixed, draft.questions)
        if ended or True not in taken:
            shut.add(block.place(*way.steps))
        ended = ended or taken == TRUE
    return shut
