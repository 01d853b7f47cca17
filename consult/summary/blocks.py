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
class Item:
    """One item of a list, and what stands under it."""

    text: str
    under: tuple[str, ...] = ()


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


Block = Heading | Paragraph | Items | Table | Alert
