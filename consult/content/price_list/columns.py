"""The columns of a price list: what each holds, and for which parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

from consult.marked.schema import load_schema
from consult.range import parts
from consult.range.parts import FEATURES, SECTIONS, Kind
from consult.scale import IN_MM

_SCHEMA = Path(parts.__file__).with_name("range.schema.json")
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
    holds: str
    """How its cells are read: a name in ``reading._READERS``, or "kind"."""
    means: str
    example: str
    called: tuple[str, ...] = ()
    """What else its heading may say."""


PRICE_COLUMNS = (
    Column("kind", "kind", "which part it is", "seat", ("part",)),
    Column("code", "text", "your order code: capitals, digits, - . /", "S/M-100", ("order code",)),
    Column("name", "text", "the name a caller hears", "Medium seat", ("description",)),
    Column("price", "money", "one piece, a plain number", "172,50", ("net price",)),
    Column("lead_days", "days", "working days until it is sent", "5", ("lead time", "days")),
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
    Column("quantity_prices", "prices", "what one costs from so many", "5: 165,00 + 20: 149,50"),
    Column("photo", "text", "a PNG or JPEG file beside the list", "chair.jpg", ("picture",)),
    Column("tilt", "degrees", "seat, back: degrees back; forwards below 0", "-4 to 12"),
    Column("tilt_find", "text", "where a hand finds the tilt lever", "Flat lever, left"),
    Column("find", "text", "for the set-up card: where a hand finds the lever", "Lever, right"),
)  # fmt: skip
COLUMN_BY_NAME: Mapping[str, Column] = {column.name: column for column in PRICE_COLUMNS}
PRODUCT_COLUMNS = frozenset(
    (
        *("kind", "code", "name", "price", "lead_days", "features", "fits_with", "not_with"),
        *("discontinued", "until", "guarantee", "find"),
    )
)
"""Columns that parts of another product have beside the numbers of their kind."""
NEEDED_COLUMNS = ("kind", "code", "name", "price", "lead_days")
"""Columns that every list has, whatever is in it."""
NEVER_ALONE: Kind = "base"
"""The one kind of a chair's parts that a list may leave out."""


@cache
def fields_of(kind: str) -> frozenset[str]:
    """The columns that a kind of part may fill."""
    return frozenset(_definition(kind)["properties"]) | {"kind"}


@cache
def needed_of(kind: str) -> frozenset[str]:
    """The columns that a kind of part has to fill."""
    return frozenset(_definition(kind)["required"])


def _definition(kind: str) -> Mapping[str, Mapping[str, object]]:
    definition: Mapping[str, Mapping[str, object]] = load_schema(_SCHEMA)["$defs"][kind]
    return definition


def plain_heading(words: str) -> str:
    """A heading or a kind without capitals, underscores and doubled spaces."""
    return " ".join(words.replace("_", " ").casefold().split())


def written_number(value: float) -> str:
    """Written so that no reader takes a point for a thousands separator: 1.25, never 1.250."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def guide() -> str:
    """The column guide, as ``consult range columns`` prints it."""
    kinds = ", ".join(kind.replace("_", " ") for kind in SECTION_OF)
    able = ", ".join(name.replace("_", " ") for name in FEATURES)
    rows = [
        f"  {column.name.replace('_', ' '):<13} "
        f"{kinds if column.name == 'kind' else column.means}\n  {'':<13} e.g. {column.example}"
        for column in PRICE_COLUMNS
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
            "Quantity prices are for orders of several: a team order, or /pieces in a call. Photos",
            "are copied with the list, and are in the caller's and the employer's documents.",
            "A model is a whole chair with one code and one price; it is offered beside the chairs",
            "that its parts make freely. Headrests, foot rings and fabrics are chosen where",
            "the order is placed, and never decide which chair fits. A row of the kind",
            "delivery is what sending a chair costs; its lead days are on the way. Without",
            "any, nothing is said of it.",
        )
    )


# -- what stands in one cell of a price list, read as a number, a span, a list or a word ----------

_NUMBER = r"-?[0-9][0-9.,' \u00a0\u2009]*|[.,][0-9]+"
_AMOUNT = re.compile(rf"(?P<number>{_NUMBER}) ?(?P<unit>[a-z\"]*)")
_SPAN = re.compile(
    rf"(?P<low>{_NUMBER}) ?(?P<first>[a-z\"]*) ?(?:-|\u2013|\u2014|to|\.\.) ?"
    rf"(?P<high>{_NUMBER}) ?(?P<unit>[a-z\"]*)"
)
_MONEY = {"€": "EUR", "£": "GBP", "$": "USD"}
_MORE_UNITS = {'"': "in", "inch": "in", "inches": "in", "kgs": "kg", "lbs": "lb"}
_YES, _NO = ("yes", "y", "x", "true", "1"), ("no", "n", "false", "0", "-")


class UnreadableCellError(Exception):
    """A cell that cannot be read: what is wrong, and what would be right."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message)
        self.message, self.fix = message, fix


def read_number(cell: str) -> float:
    """A number with a decimal comma or point; UnreadableCellError where either may be meant."""
    text = re.sub(r"[' \u00a0\u2009]", "", cell)
    commas, points = text.count(","), text.count(".")
    if commas and points:
        # The one further right parts the decimals; the other groups thousands.
        thousands = "," if text.rfind(".") > text.rfind(",") else "."
        text = text.replace(thousands, "")
    elif max(commas, points) > 1:
        text = text.replace(",", "").replace(".", "")
    elif re.fullmatch(r"[1-9][0-9]{0,2}[,.][0-9]{3}", text):
        whole, _, rest = text.replace(",", ".").partition(".")
        message = f"'{cell}' may be {whole}{rest} or {whole}.{rest}."
        raise UnreadableCellError(
            message, f"Write {whole}{rest}, or {whole}.{rest.rstrip('0') or '0'}."
        )
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise UnreadableCellError(
            f"'{cell}' is not a number.", "Write a number such as 12.50."
        ) from None


def read_money(cell: str, currency: str) -> float:
    """A price; its currency may stand beside it, and has to be this one."""
    text = cell.strip()
    codes = re.findall(r"(?<![A-Za-z])[A-Z]{3}(?![A-Za-z])", text)
    for sign, code in (*_MONEY.items(), *((code, code) for code in codes)):
        if sign in text:
            # Many currencies are written with a dollar sign: CAD, AUD, NZD.
            if code != currency and not (sign == "$" and currency.endswith("D")):
                message = f"'{cell}' is in {code}, but the list is in {currency}."
                raise UnreadableCellError(message, f"Write the price in {currency}.")
            text = text.replace(sign, "").strip()
    amount = read_number(text.removesuffix(",-").removesuffix(".-"))
    return round(amount, 2)


def read_amount(cell: str, unit: str, units: dict[str, float]) -> float:
    """A length in mm or a weight in kg, as ``units`` has it; ``unit`` is that of a bare number."""
    match = _AMOUNT.fullmatch(_plain(cell))
    if match is None:
        raise UnreadableCellError(
            f"'{cell}' is not a number.", "Write a number such as 430, or 43 cm."
        )
    return _tidy(read_number(match["number"]) * _factor(match["unit"] or unit, units, cell))


def read_span(cell: str, unit: str) -> tuple[float, float]:
    """The lowest and highest setting in mm; one number twice where the part does not adjust."""
    match = _SPAN.fullmatch(_plain(cell))
    if match is None:
        alone = read_amount(cell, unit, IN_MM)
        return alone, alone
    last = match["unit"] or unit
    low = read_number(match["low"]) * _factor(match["first"] or last, IN_MM, cell)
    high = read_number(match["high"]) * _factor(last, IN_MM, cell)
    if low > high:
        raise UnreadableCellError(
            f"'{cell}' runs backwards.", "Write the lower number first: 360-420."
        )
    return _tidy(low), _tidy(high)


def read_days(cell: str) -> int:
    """A whole number of days."""
    text = re.sub(r" ?(working )?days?$", "", _plain(cell))
    days = read_number(text)
    if days != int(days):
        raise UnreadableCellError(f"'{cell}' is not a whole number of days.", "Write 5.")
    return int(days)


def read_flag(cell: str) -> bool:
    """Yes or no."""
    text = _plain(cell)
    if text in _YES or text in _NO:
        return text in _YES
    raise UnreadableCellError(f"'{cell}' is neither yes nor no.", "Write yes, or leave it empty.")


def read_day(cell: str) -> date:
    """A day with its year; UnreadableCellError where day and month may be either."""
    text = cell.strip()
    iso = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})", text)
    usual = re.fullmatch(r"([0-9]{1,2})([./])([0-9]{1,2})[./]([0-9]{4})", text)
    try:
        if iso:
            return date(int(iso[1]), int(iso[2]), int(iso[3]))
        if usual:
            first, second, year = int(usual[1]), int(usual[3]), int(usual[4])
            if usual[2] == "/" and first <= 12 and second <= 12 and first != second:
                message = f"'{cell}' may be two days."
                raise UnreadableCellError(
                    message, f"Write {year}-{second:02}-{first:02} or turn it."
                )
            if usual[2] == "/" and second > 12:
                first, second = second, first
            return date(year, second, first)
    except ValueError:
        pass
    raise UnreadableCellError(f"'{cell}' is no day.", "Write 2027-03-31.")


def read_degrees(cell: str) -> tuple[float, float]:
    """How far a part tilts, degrees; one number is from level on."""
    text = re.sub(r"\s*(°|degrees?|deg\.?)", "", _plain(cell).replace("\N{MINUS SIGN}", "-"))
    signed = r"-?[0-9]+(?:[.,][0-9]+)?"
    match = re.fullmatch(rf"({signed}) ?(?:to|\.\.|\N{{EN DASH}}|/|-) ?\+?({signed})", text)
    if match is None:
        alone = read_number(text.removeprefix("+"))
        return min(alone, 0.0), max(alone, 0.0)
    return _tidy(read_number(match[1])), _tidy(read_number(match[2]))


def quantity_prices(cell: str, currency: str) -> list[tuple[int, float]]:
    """What one costs from so many pieces on, parted by +, a semicolon, a bar or a new line."""
    prices = []
    for piece in filter(None, (word.strip() for word in re.split(r"[+;|\n]", cell))):
        match = re.fullmatch(
            r"(?:from )?([0-9]{1,6}) ?(?:pieces?|pcs\.?)? ?(?::|=|@| at ) ?(.+)",
            piece,
            re.IGNORECASE,
        )
        if match is None:
            fix = "Write the pieces, a colon and the price of one: 5: 165.00 + 20: 149.50."
            raise UnreadableCellError(f"'{piece}' is no price from so many pieces.", fix)
        prices.append((int(match[1]), read_money(match[2], currency)))
    return prices


def read_list(cell: str) -> list[str]:
    """The items of a list, parted by +, a comma, a semicolon, a bar or a new line."""
    return [word.strip() for word in re.split(r"[+,;|\n]", cell) if word.strip()]


def _factor(unit: str, units: dict[str, float], cell: str) -> float:
    unit = _MORE_UNITS.get(unit, unit)
    if unit not in units:
        known = ", ".join(units)
        raise UnreadableCellError(
            f"'{cell}': '{unit}' is no unit known here.", f"Known are {known}."
        )
    return units[unit]


def _plain(cell: str) -> str:
    return " ".join(cell.casefold().split())


def _tidy(value: float) -> float:
    """Tenths of a millimetre or of a kilogram: what conversion adds beyond is no measure."""
    return round(value, 1)
