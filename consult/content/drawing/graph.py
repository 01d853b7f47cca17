"""A view as a graph: boxes and the lines between them, before anything has a place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.content.drawing.boxes import (
    Box,
    end_box,
    label_box,
    question_box,
    start_box,
    stop_box,
    topic_box,
)
from consult.tree.model import END

if TYPE_CHECKING:
    from consult.content.drawing.view import View

Kind = Literal["start", "route", "stop", "topic"]


@dataclass(frozen=True, slots=True)
class Link:
    """A line from one box to another; a route with words on it is two, with the words between."""

    source: int
    """Place of the box among the boxes."""
    target: int
    kind: Kind
    name: str
    """ "desk_kind.0" is the first route of that question; a stop is named by what it leaves."""
    arrow: bool = True
    """Whether it ends in an arrowhead; not before words."""


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes, links and which sub-tree each box belongs to."""

    boxes: tuple[Box, ...]
    links: tuple[Link, ...]
    groups: tuple[str, ...]
    """Beside each box the sub-tree's title; empty for none."""


def graph_of(view: View) -> Graph:
    """Every question, every route, and the stops, each once."""
    boxes = [start_box(), *(question_box(view, name) for name in view.questions)]
    groups = ["", *map(view.group, view.questions)]
    at = {name: place for place, name in enumerate(view.questions, 1)}
    at[END] = len(boxes)
    boxes.append(end_box(view))
    groups.append("")
    # Every way to the first question of a topic leads through the topic's own box.
    before = dict(at)
    links: list[Link] = []
    for name, topic in view.topics():
        links.append(Link(len(boxes), at[name], "topic", topic))
        before[name] = len(boxes)
        boxes.append(topic_box(view, topic))
        groups.append(groups[at[name]])
    links.insert(0, Link(0, before[view.first], "start", "start"))
    for name, one in view.questions.items():
        for index, route in enumerate(one.routes):
            key, target = f"{name}.{index}", before[view.place(route.go)]
            if route.when is None and len(one.routes) == 1:
                links.append(Link(at[name], target, "route", key))
                continue
            links += [
                Link(at[name], len(boxes), "route", key, arrow=False),
                Link(len(boxes), target, "route", key),
            ]
            boxes.append(label_box(view, name, index))
            groups.append(groups[at[name]])
    stopping = [name for name in view.questions if view.stops_after(name)]
    if stopping:
        links += [Link(at[name], len(boxes), "stop", name) for name in stopping]
        links.append(Link(len(boxes), before[view.after_stop], "stop", "stop"))
        boxes.append(stop_box(view))
        groups.append("")
    return Graph(tuple(boxes), tuple(links), tuple(groups))
