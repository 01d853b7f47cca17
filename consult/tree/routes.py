"""Where a call can go: routes that exist and end, questions that are reached, consent in time,
topics that can be opened."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from consult.problems import Where, nearest, well_named
from consult.tree.constant import Written, possible
from consult.tree.draft import Block, Draft, after_member, landing, ways
from consult.tree.model import END
from consult.tree.questions import offered, openers


@dataclass(frozen=True, slots=True)
class Edge:
    """One way on that leads somewhere."""

    to: str
    where: Where


RouteGraph = Mapping[str, tuple[Edge, ...]]


def check_routes(draft: Draft) -> RouteGraph:
    """Note everything about where calls go, and give the ways from question to question back."""
    names = draft.home
    if not names:
        return {}
    places = {*names, END}
    _check_firsts(draft, names)
    for block in (*draft.includes.values(), *draft.pools.values()):
        go = block.text("next")
        if go is not None:
            _check_name(go, block.place("next"), draft, places)
    graph: dict[str, tuple[Edge, ...]] = {}
    for name, block in draft.questions.items():
        _check_order(name, block, draft)
        _check_onward(name, block, draft)
        if name in draft.pool_of:
            pool = draft.pools[draft.pool_of[name]]
            to = landing(after_member(name, draft), draft.home[name], draft)
            graph[name] = () if to is None else (Edge(to, pool.key("next")),)
            continue
        edges = []
        for way in ways(block):
            place = block.place(*way.steps)
            _check_name(way.go, place, draft, places)
            to = landing(_meant(way.go, draft), draft.home[name], draft)
            if to is not None:
                edges.append(Edge(to, place))
        graph[name] = tuple(edges)
    roots = roots_of(draft)
    if roots and draft.whole:
        if all(graph.values()):
            _check_reached(graph, roots, draft)
        _check_loops(graph, roots, draft)
        _check_consent(graph, roots, draft)
    return graph


def _check_name(go: str, place: Where, draft: Draft, names: Collection[str]) -> None:
    if go not in names:
        message = f"There is no question '{go}' to go to."
        fix = "" if draft.crowded else nearest(go, well_named(names))
        draft.says(place, "unknown-question", message, fix)


def _check_onward(name: str, block: Block, draft: Draft) -> None:
    """A question says where to go on, but for one asked in a pool, which is reached by it alone."""
    if name not in draft.pool_of:
        choices = block.data.get("choices")
        if "next" not in block.data and isinstance(choices, dict) and "next" in choices:
            message = f"'next' is indented as if it were a choice of '{name}'."
            draft.says(
                block.key("choices", "next"), "indentation", message, "Indent it like 'choices'."
            )
        elif "next" not in block.data and not draft.crowded:
            message = f"'{name}' does not say what comes next."
            fix = "Add next: with the name of a question, or end."
            draft.says(block.key(), "missing", message, fix)
        for way in ways(block):
            if way.go in draft.pool_of:
                pool = draft.pool_of[way.go]
                message = f"'{way.go}' is asked in the pool '{pool}', so no route can go to it."
                draft.says(block.place(*way.steps), "into-a-pool", message, f"Go to '{pool}'.")
    elif "next" in block.data:
        message = (
            f"'{name}' is asked in the pool '{draft.pool_of[name]}', which says what comes next."
        )
        draft.says(block.key("next"), "next-in-a-pool", message, "Delete next here.")


def _meant(go: str, draft: Draft) -> str:
    """The name itself, or the one it is a misspelling of, so that one slip is reported once."""
    if go == END or go in draft.home or draft.crowded:
        return go
    return next(iter(get_close_matches(go, draft.home, n=1)), go)


def _check_firsts(draft: Draft, names: Collection[str]) -> None:
    for file, top in draft.tops.items():
        for key in ("first", "after_stop"):
            go = top.text(key)
            if go is None:
                continue
            own = [name for name in names if key == "after_stop" or draft.home[name] == file]
            _check_name(go, top.place(key), draft, own)


def _check_order(name: str, block: Block, draft: Draft) -> None:
    following = block.data.get("next")
    if not isinstance(following, list) or not following:
        return
    last = [index for index, route in enumerate(following) if _is_otherwise(route)]
    if not last:
        message = f"The routes of '{name}' do not say where to go when none of them is true."
        draft.says(block.key("next"), "no-otherwise", message, "Add - otherwise: as the last line.")
        return
    for index in last[1:]:
        message = f"'{name}' has more than one otherwise."
        draft.says(block.place("next", index), "two-otherwise", message, "Keep the last one only.")
    if len(last) == 1 and last[0] != len(following) - 1:
        message = "Routes after the otherwise are never used."
        fix = "Move the otherwise to the end."
        draft.says(block.place("next", last[0]), "otherwise-not-last", message, fix)


def _is_otherwise(route: object) -> bool:
    return isinstance(route, dict) and "otherwise" in route


def roots_of(draft: Draft) -> list[str]:
    """Where calls begin: the first question, then the one they go on at after a stop."""
    if draft.top is None:
        return []
    home = next(iter(draft.tops))
    roots = []
    for key in ("first", "after_stop"):
        go = draft.top.text(key)
        to = landing(go, home, draft) if go else None
        if to is not None and to != END:
            roots.append(to)
        elif key == "first":
            # Without a first question nothing is reached; that is reported once.
            return []
    return roots


def always_asked(name: str, draft: Draft) -> bool:
    """Whether every caller whose way leads to the question is asked it."""
    conditional = draft.questions[name].data.keys() & {"skip_when", "ask_when"}
    return not conditional and name not in draft.pool_of and draft.topic_of(name) is None


def reached_from(graph: RouteGraph, roots: Iterable[str], without: Iterable[str] = ()) -> set[str]:
    """Every question some way from ``roots`` leads to that does not pass one of ``without``."""
    blocked = set(without)
    waiting = [root for root in roots if root not in blocked]
    reached = set(waiting)
    while waiting:
        for edge in graph.get(waiting.pop(), ()):
            if edge.to not in reached and edge.to not in blocked and edge.to != END:
                reached.add(edge.to)
                waiting.append(edge.to)
    return reached


def _check_reached(graph: RouteGraph, roots: list[str], draft: Draft) -> None:
    reached = reached_from(graph, roots)
    # Behind a question that nobody reaches stand others; the first of them has to be repaired.
    lost = [name for name in graph if name not in reached]
    behind = reached_from(graph, [edge.to for name in lost for edge in graph[name]])
    heads = [name for name in lost if name not in behind] or lost[:1]
    for name in heads:
        message = f"No route leads to '{name}'."
        fix = "Add a route to it, or delete it."
        draft.says(draft.questions[name].key(), "unreachable", message, fix)


def _check_loops(graph: RouteGraph, roots: list[str], draft: Draft) -> None:
    ending = reached_from(_backwards(graph), [END])
    done: set[str] = set()
    loops: set[frozenset[str]] = set()
    for root in roots:
        if root in done:
            continue
        path = [root]
        waiting = [iter(graph.get(root, ()))]
        on_path = {root}
        while waiting:
            edge = next(waiting[-1], None)
            if edge is None:
                waiting.pop()
                name = path.pop()
                on_path.remove(name)
                done.add(name)
            elif edge.to in on_path:
                loop = path[path.index(edge.to) :]
                if frozenset(loop) not in loops:
                    loops.add(frozenset(loop))
                    _tell_loop(loop, edge, path[-1] in ending, draft)
            elif edge.to not in done and edge.to != END:
                path.append(edge.to)
                on_path.add(edge.to)
                waiting.append(iter(graph.get(edge.to, ())))


def _tell_loop(loop: list[str], edge: Edge, has_end: bool, draft: Draft) -> None:
    shown = loop if len(loop) <= 10 else [*loop[:5], "...", *loop[-4:]]
    way = " -> ".join((*shown, loop[0]))
    message = f"The call would go round in circles: {way}"
    message += "." if has_end else ", and never end."
    draft.says(edge.where, "loop", message, "Change one of these routes so that the call can end.")


def _backwards(graph: RouteGraph) -> RouteGraph:
    back: dict[str, list[Edge]] = {}
    for name, edges in graph.items():
        for edge in edges:
            back.setdefault(edge.to, []).append(Edge(name, edge.where))
    return {name: tuple(edges) for name, edges in back.items()}


def _check_consent(graph: RouteGraph, roots: list[str], draft: Draft) -> None:
    health = [
        name
        for name in graph
        if draft.questions[name].text("private") == "health"
        and draft.questions[name].text("stored") is None
    ]
    asking = [name for name in graph if draft.questions[name].text("sets") == "consent"]
    # A consent question that may be skipped does not stand before anything.
    certain = [name for name in asking if always_asked(name, draft)]
    # A route taken only with a yes leads nobody on who was not asked, either.
    with_a_yes = {
        block.place(*way.steps)
        for block in draft.questions.values()
        for way in ways(block)
        if way.when and block.text("next", way.steps[1], "when") in asking
    }
    others = {
        name: tuple(edge for edge in edges if edge.where not in with_a_yes)
        for name, edges in graph.items()
    }
    unasked = reached_from(others, roots, without=certain)
    for name in health:
        place = draft.questions[name].key("private")
        only = draft.questions[name].text("ask_when")
        # One that is asked only with a yes is safe wherever it stands.
        guarded = only and True not in possible(only, dict.fromkeys(asking), draft.questions)
        if not asking:
            message = f"'{name}' asks about health, but no question asks for consent."
            fix = "Add a yes-no question with sets: consent before it."
            draft.says(place, "no-consent", message, fix)
        elif name in unasked and not guarded:
            message = (
                f"'{name}' asks about health, and a call can reach it before consent is asked."
            )
            fix = f"Make every route to it pass '{asking[0]}'."
            if asking[0] not in certain:
                fix = f"Ask everybody '{asking[0]}': "
                fix += "no skip_when, no ask_when, no pool, no topic."
            draft.says(place, "consent-too-late", message, fix)


# -- topics: parts of a tree that somebody opens, and what opens each ------------------------------


def check_topics(conditions: Sequence[Written], graph: RouteGraph, draft: Draft) -> None:
    """Note topics that cannot be opened, or too late, and what must not stand in one."""
    asking = openers(draft)
    for name, block in asking.items():
        for choice in offered(block):
            if choice not in draft.topics:
                message = f"'{name}' opens topics, but there is no topic '{choice}'."
                fix = nearest(choice, draft.topics) or "Add a step with topic:, or delete it here."
                draft.says(block.key("choices", choice), "unknown-topic", message, fix)
    if not draft.topics:
        return
    advisers = [
        name for name, block in asking.items() if reads_itself(name, block.text("ask_when"))
    ]
    if not advisers:
        message = "This tree has topics, but no question that the adviser opens them by."
        fix = "Add answer: choices with sets: topics and ask_when: known(its own name)."
        draft.says(next(iter(draft.topics.values())).key(), "no-adviser", message, fix)
    for topic, block in draft.topics.items():
        opening = [name for name, asked in asking.items() if topic in offered(asked)]
        if not opening and "open_when" not in block.data:
            message = f"The topic '{topic}' can never be opened."
            fix = "Make it a choice of the questions with sets: topics, or give it an open_when."
            draft.says(block.key(), "never-opened", message, fix)
        elif advisers and not set(advisers) & set(opening):
            message = f"The adviser cannot open the topic '{topic}'."
            draft.says(
                block.key(), "never-opened", message, f"Make it a choice of '{advisers[0]}'."
            )
    _check_safety(draft)
    if draft.whole:
        _check_opened_in_time(graph, asking, advisers, draft)
        _check_open_when(conditions, graph, draft)


def reads_itself(name: str, ask_when: str | None) -> bool:
    """Whether a question reads its own answer, as written: once told it is on the way."""
    return re.search(rf"\b{re.escape(name)}\b", ask_when or "") is not None


def _first(topic: str, draft: Draft) -> str | None:
    """The question a topic begins with."""
    return landing(draft.included_by[topic], next(iter(draft.tops)), draft)


def _check_opened_in_time(
    graph: RouteGraph, asking: dict[str, Block], advisers: list[str], draft: Draft
) -> None:
    roots = roots_of(draft)[:1]
    for topic, step in draft.topics.items():
        first = _first(topic, draft)
        if first is None:
            continue
        for name, block in asking.items():
            if topic not in offered(block):
                continue
            place = block.key("choices", topic)
            if first not in reached_from(graph, [edge.to for edge in graph[name]]):
                message = (
                    f"'{name}' opens the topic '{topic}' too late: no route leads from it to the "
                    "topic."
                )
                draft.says(place, "opened-too-late", message, f"Ask '{name}' before the topic.")
            elif name in advisers and first in reached_from(graph, roots, without=[name]):
                message = (
                    f"A call can come to the topic '{topic}' past '{name}', by which the adviser"
                )
                fix = f"Make every route to '{step.steps[-1]}' pass '{name}'."
                draft.says(place, "opened-too-late", f"{message} opens it.", fix)


def _check_open_when(conditions: Sequence[Written], graph: RouteGraph, draft: Draft) -> None:
    """Note what an ``open_when`` reads that is never asked before its topic."""
    for written in conditions:
        if written.part != "open_when":
            continue
        topic = written.block.text("topic") or ""
        first = _first(topic, draft)
        for name in sorted(written.condition.names & graph.keys()):
            if first not in (None, *reached_from(graph, [edge.to for edge in graph[name]])):
                message = f"The topic '{topic}' opens too late: '{name}' is not asked before it."
                fix = f"Ask '{name}' first, or open the topic with another answer."
                draft.says(written.block.place("open_when"), "opened-too-late", message, fix)


def _check_safety(draft: Draft) -> None:
    """What everybody hears cannot wait until somebody opens a topic."""
    for name, block in draft.questions.items():
        topic = draft.topic_of(name)
        if topic is None:
            continue
        what = "asks about warning signs" if "signs" in block.data else ""
        if block.data.get("sets") == "consent":
            what = "asks for consent"
        if what:
            message = f"'{name}' {what}, so it cannot be in the topic '{topic}'."
            fix = "Ask it of everybody, in the main tree or an ordinary sub-tree."
            draft.says(block.key(), "floor-topic", message, fix)
