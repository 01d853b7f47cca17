"""The columns of a price list: what each holds, and for which parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from consult.fit.range_file import SCHEMA
from consult.fit.range_model import FEATURES, SECTIONS, Kind
from consult.marked.schema import load_schema

Holds = Literal[
    "kind", "text", "money", "days", "length", "span", "mass", "stated", "flag", "day", "list"
]

SECTION_OF: Mapping[Kind, str] = {kind: section for section, kind in SECTIONS.items()}
KIND_WORDS: Mapping[str, Kind] = {
    **{kind.replace("_", " "): kind for kind in SECTION_OF},
    **{section.replace("_", " "): kind for section, kind in SECTIONS.items()},
    **{"arm": "arms", "armrests": "arms", "castor": "castors", "lumbar support": "lumbar"},
    **{"colour": "fabric", "cover": "fabric", "fixed model": "model", "chair": "model"},
    **{"lift": "gas_lift", "backrest": "back", "foot rest": "footrest", "desk feet": "desk_raiser"},
}
"""How a kind may be written -> the kind."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column, by the name that the range file has for it."""

    name: str
    holds: Holds
    means: str
    example: str
    called: tuple[str, ...] = ()
    """What else its heading may say."""


COLUMNS = (
    Column("kind", "kind", "which part it is", "seat", ("part",)),
    Column("code", "text", "your order code: capitals, digits, - . /", "S/M-100", ("order code",)),
    Column("name", "text", "the name a caller hears", "Medium seat", ("description",)),
    Column("price", "money", "one piece, a plain number", "172,50", ("net price",)),
    Column("lead_days", "days", "working days until it can be sent", "5", ("lead time", "days")),
    Column("rating", "mass", "the heaviest person it may carry", "130 kg", ("max weight",)),
    Column("depth", "span", "seat: front edge to back support", "390-450"),
    Column("width", "length", "seat: its width", "490"),
    Column("compression", "length", "seat: how far the foam sinks under a person", "25"),
    Column("seat_height", "span", "gas lift: top of the seat above the floor", "420-540"),
    Column("height", "span", "arms, lumbar: above the seat; footrest: above the floor", "170-270"),
    Column("stated", "stated", "gas lift, arms: taken with somebody sitting, or not", "loaded"),
    Column("between", "span", "arms: clear width between the two", "470-540"),
    Column("adds", "length", "castors, base: what they add to the lift's seat height", "0"),
    Column("raises", "span", "desk raiser: what it adds to the desk", "20-100"),
    Column("features", "list", "what it can do, joined by +", "seat slide + heavy duty"),
    Column("fits_with", "list", "codes: of each kind named, only these go with it", "B-HIGH + B-X"),
    Column("not_with", "list", "codes that never go with it", "S/L-100"),
    Column("also", "list", "codes ordered with it at no price: the right arm", "A-UP-R"),
    Column("parts", "list", "model: the codes of its parts, one of each kind", "S/M-100 + G-STD"),
    Column("models_only", "flag", "yes: sold in the models that name it only", "no"),
    Column("group", "text", "fabric: its price group; the price is what it adds", "B"),
    Column("country", "text", "delivery: where to; empty for everywhere else", "IE", ("to",)),
    Column("free_from", "money", "delivery: free where the chair costs this much", "500"),
    Column("discontinued", "flag", "yes: stays in the list, is never offered", "no"),
    Column("until", "day", "the last day it can be ordered", "2027-03-31", ("phase out",)),
    Column("guarantee", "text", "how long, for the caller's summary", "5 years", ("warranty",)),
    Column("find", "text", "for the set-up card: where a hand finds the lever", "Lever, right"),
)  # fmt: skip
BY_NAME: Mapping[str, Column] = {one.name: one for one in COLUMNS}
NEEDED = ("kind", "code", "name", "price", "lead_days")
"""Columns that every list has, whatever is in it."""
NEVER_ALONE: Kind = "base"
"""The one kind of a chair's parts that a list may leave out."""


@cache
def fields_of(kind: Kind) -> frozenset[str]:
    """The columns that a kind of part may fill."""
    return frozenset(_definition(kind)["properties"]) | {"kind"}


@cache
def needed_of(kind: Kind) -> frozenset[str]:
    """The columns that a kind of part has to fill."""
    return frozenset(_definition(kind)["required"])


def _definition(kind: Kind) -> Mapping[str, Mapping[str, object]]:
    found: Mapping[str, Mapping[str, object]] = load_schema(SCHEMA)["$defs"][kind]
    return found


def plain(words: str) -> str:
    """A heading or a kind without capitals, underscores and doubled spaces."""
    return " ".join(words.replace("_", " ").casefold().split())


def guide() -> str:
    """The column guide, as ``consult range columns`` prints it."""
    kinds = ", ".join(kind.replace("_", " ") for kind in SECTION_OF)
    able = ", ".join(name.replace("_", " ") for name in FEATURES)
    rows = [
        f"  {one.name.replace('_', ' '):<13} {kinds if one.name == 'kind' else one.means}\n"
        f"  {'':<13} e.g. {one.example}"
        for one in COLUMNS
    ]
    return "\n".join(
        (
            "The first row names the columns, in any order; leave out those you do not need.",
            "Columns are parted by ; or , or a tab. Lengths are mm and weights kg, unless the cell",
            "or the heading says otherwise: 42 cm, rating (lb). 12,5 and 12.5 are one number;",
            "360-420 is a range. One row is one part. Prices are in the currency of your settings.",
            "",
            *rows,
            "",
            f"Features: {able}.",
            "heavy duty: on every part of a chair that is built for more than 110 kg.",
            "Every chair needs a seat, a gas lift, a back, a lumbar, arms and castors. Where you",
            "sell none of a kind apart, give it one row that costs nothing: No arms, 0. A base is",
            "listed only where a chair may have one or another.",
            "A model is a whole chair with one code and one price; it is offered beside the chairs",
            "that its parts make freely. Headrests and fabrics are chosen where the order is",
            "placed, and never decide which chair fits. A row of the kind delivery is what sending",
            "a chair costs; without any, nothing is said about it.",
        )
    )
