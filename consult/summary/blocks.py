"""The few blocks a call summary is written in. They hold plain text; writers make it safe."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the title."""

    level: int
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing, by the name of what it shows; forms without pictures say its words."""

    name: str
    """'side_view', 'before_after', or 'step:' with a set-up topic."""
    alt: str
    """What it shows, numbers included, for people who do not see it."""


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a list, and what stands under it."""

    text: str
    under: tuple[str, ...] = ()
    picture: Picture | None = None
    """A small drawing beside it."""


@dataclass(frozen=True, slots=True)
class Items:
    """A list; numbered where the order matters."""

    items: tuple[Item, ...]
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
class Field:
    """A place to write a figure by hand: its name, and the unit of each blank."""

    name: str
    units: tuple[str, ...]
    """One blank for each: "ft" and "in" for a height."""


@dataclass(frozen=True, slots=True)
class Fields:
    """Places to write in, one line of them."""

    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins a page of its own where there are pages."""


Block = Heading | Paragraph | Items | Table | Alert | Picture | Fields | NewPage
