"""The blocks a call summary is written in, its drawings, and a filled template read into blocks."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from consult.picture.photo import Photo
from consult.picture.svg_shapes import Shape, SvgPoint


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing, twice."""

    svg: str
    """A whole ``<svg>`` element whose ids no other drawing on the page has."""
    shapes: tuple[Shape, ...]
    """The same, painted in order; mm of paper, y down."""
    size: SvgPoint
    """Width and height, mm."""
    studied: bool = False
    """Has to be looked at closely, so it is larger than others beside an item of a list."""
    photo: Photo | None = None
    """In place of shapes; then ``svg`` is empty."""
    alt: str = ""
    """What it says in words, for people who do not see it; '' where they stand beside it."""


# -- the few blocks a call summary is written in. They hold plain text; writers make it safe ------


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the title."""

    level: int
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing, by the name of what it shows; forms without pictures say its words."""

    name: str
    """'side_view', 'before_after', or 'step:' with a set-up topic."""
    alt: str
    """What it shows, numbers included, for people who do not see it."""


@dataclass(frozen=True, slots=True)
class ListItem:
    """One item of a list, and what stands under it."""

    text: str
    under: tuple[str, ...] = ()
    picture: Picture | None = None
    """A small drawing beside it."""


@dataclass(frozen=True, slots=True)
class Items:
    """A list; numbered where the order matters."""

    items: tuple[ListItem, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table; every row is as long as its head."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Alert:
    """Something not to be overlooked: a word for what it is, and the text."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class BlankField:
    """A place to write a figure by hand: its name, and the unit of each blank."""

    name: str
    units: tuple[str, ...]
    """One blank for each: "ft" and "in" for a height."""


@dataclass(frozen=True, slots=True)
class Fields:
    """Places to write in, one line of them."""

    fields: tuple[BlankField, ...]


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins a page of its own where there are pages."""


DocumentBlock = Heading | Paragraph | Items | Table | Alert | Picture | Fields | NewPage


# -- a filled template read into blocks -----------------------------------------------------------

_PICTURE = re.compile("\\[picture: ?([a-z_:0-9\ue000\ue001]+)\\]")
_FIELDS = re.compile(r"(?:\[write: ?[^\[\]]+\] ?)+")
_FIELD = re.compile(r"\[write: ?([^\[\]]+)\]")
"""A name, and after a colon the units of its blanks: "[write: height: ft, in]"."""
Filled = Callable[[str], str]


def parsed(source: str, filled: Filled, pictures: Mapping[str, str]) -> tuple[DocumentBlock, ...]:
    """The blocks of a text; ``filled`` puts the values in the place of their marks."""
    tree = SyntaxTreeNode(_reader().parse(source))
    return tuple(_Reading(filled, pictures).blocks(tree.children))


@cache
def _reader() -> MarkdownIt:
    # Blocks alone: inside a line nothing means anything but what it says.
    return MarkdownIt("zero").enable(["heading", "list", "table", "blockquote", "hr"])


class _Reading:
    def __init__(self, filled: Filled, pictures: Mapping[str, str]) -> None:
        self.filled, self.pictures = filled, pictures

    def blocks(self, nodes: Sequence[SyntaxTreeNode]) -> list[DocumentBlock]:
        blocks: list[DocumentBlock] = []
        for node in nodes:
            match node.type:
                case "heading":
                    blocks.append(Heading(int(node.tag[1:]), self.text(node)))
                case "paragraph":
                    blocks += self.paragraph(node)
                case "bullet_list" | "ordered_list":
                    items = tuple(self.item(child) for child in node.children)
                    blocks.append(Items(items, numbered=node.type == "ordered_list"))
                case "table":
                    names, *rows = (
                        self.row(row) for part in node.children for row in part.children
                    )
                    blocks.append(Table(names, tuple(rows)))
                case "blockquote":
                    blocks += [self.alert(child) for child in node.children]
                case "hr":
                    blocks.append(NewPage())
        return blocks

    def paragraph(self, node: SyntaxTreeNode) -> list[DocumentBlock]:
        raw = _raw(node).strip()
        if picture := _PICTURE.fullmatch(raw):
            return [drawn] if (drawn := self.picture(picture.group(1))) else []
        if _FIELDS.fullmatch(raw):
            return [Fields(tuple(self.field(field) for field in _FIELD.findall(raw)))]
        return [Paragraph(self.text(node))]

    def picture(self, raw: str) -> Picture | None:
        name = self.filled(raw)
        alt = self.pictures.get(name)
        return None if alt is None else Picture(name, alt)

    def field(self, raw: str) -> BlankField:
        name, _, units = raw.partition(":")
        units_filled = self.filled(units).split(",")
        return BlankField(self.filled(name).strip(), tuple(unit.strip() for unit in units_filled))

    def item(self, node: SyntaxTreeNode) -> ListItem:
        """Its first paragraph, what is listed under it, and its picture if it has one."""
        raw, under, picture = "", [], None
        for part in node.children:
            if part.type == "paragraph" and not raw:
                raw = _raw(part)
            elif part.type in ("bullet_list", "ordered_list"):
                under += [self.text(child) for child in part.children]
            else:
                under.append(self.text(part))
        if match := _PICTURE.search(raw):
            picture, raw = self.picture(match.group(1)), _PICTURE.sub("", raw).strip()
        return ListItem(self.filled(raw), tuple(line for line in under if line), picture)

    def row(self, node: SyntaxTreeNode) -> tuple[str, ...]:
        return tuple(self.text(cell) for cell in node.children)

    def alert(self, node: SyntaxTreeNode) -> Alert:
        """Of "Label: text"; the label is what stands before the first colon of the template."""
        label, _, text = _raw(node).partition(":")
        return Alert(self.filled(label.strip()), self.filled(text.strip()))

    def text(self, node: SyntaxTreeNode) -> str:
        return self.filled(_raw(node))


def _raw(node: SyntaxTreeNode) -> str:
    """The words of a node as the template has them, on one line."""
    if node.type == "inline":
        return " ".join(node.content.split("\n"))
    return " ".join(_raw(child) for child in node.children)
