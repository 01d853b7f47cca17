"""What stands in one cell of a price list, read as a number, a span, a list or a word."""

from __future__ import annotations

import re
from datetime import date

from consult.scale import IN_KG, IN_MM

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


def number(cell: str) -> float:
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
        said = f"'{cell}' may be {whole}{rest} or {whole}.{rest}."
        raise UnreadableCellError(
            said, f"Write {whole}{rest}, or {whole}.{rest.rstrip('0') or '0'}."
        )
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise UnreadableCellError(
            f"'{cell}' is not a number.", "Write a number such as 12.50."
        ) from None


def money(cell: str, currency: str) -> float:
    """A price; its currency may stand beside it, and has to be this one."""
    text = cell.strip()
    for sign, code in (*_MONEY.items(), *((code, code) for code in _codes(text))):
        if sign in text:
            # Many currencies are written with a dollar sign: CAD, AUD, NZD.
            if code != currency and not (sign == "$" and currency.endswith("D")):
                said = f"'{cell}' is in {code}, but the list is in {currency}."
                raise UnreadableCellError(said, f"Write the price in {currency}.")
            text = text.replace(sign, "").strip()
    found = number(text.removesuffix(",-").removesuffix(".-"))
    return round(found, 2)


def length(cell: str, unit: str) -> float:
    """A length in mm; ``unit`` is that of a number without one."""
    return _amount(cell, unit, IN_MM)


def mass(cell: str, unit: str) -> float:
    """A weight in kg; ``unit`` is that of a number without one."""
    return _amount(cell, unit, IN_KG)


def span(cell: str, unit: str) -> tuple[float, float]:
    """The lowest and highest setting in mm; one number twice where the part does not adjust."""
    found = _SPAN.fullmatch(_plain(cell))
    if found is None:
        alone = length(cell, unit)
        return alone, alone
    last = found["unit"] or unit
    low = number(found["low"]) * _factor(found["first"] or last, IN_MM, cell)
    high = number(found["high"]) * _factor(last, IN_MM, cell)
    if low > high:
        raise UnreadableCellError(
            f"'{cell}' runs backwards.", "Write the lower number first: 360-420."
        )
    return _tidy(low), _tidy(high)


def days(cell: str) -> int:
    """A whole number of days."""
    text = re.sub(r" ?(working )?days?$", "", _plain(cell))
    found = number(text)
    if found != int(found):
        raise UnreadableCellError(f"'{cell}' is not a whole number of days.", "Write 5.")
    return int(found)


def flag(cell: str) -> bool:
    """Yes or no."""
    text = _plain(cell)
    if text in _YES or text in _NO:
        return text in _YES
    raise UnreadableCellError(f"'{cell}' is neither yes nor no.", "Write yes, or leave it empty.")


def day(cell: str) -> date:
    """A day with its year; UnreadableCellError where day and month may be either."""
    text = cell.strip()
    iso = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})", text)
    other = re.fullmatch(r"([0-9]{1,2})([./])([0-9]{1,2})[./]([0-9]{4})", text)
    try:
        if iso:
            return date(int(iso[1]), int(iso[2]), int(iso[3]))
        if other:
            first, second, year = int(other[1]), int(other[3]), int(other[4])
            if other[2] == "/" and first <= 12 and second <= 12 and first != second:
                said = f"'{cell}' may be two days."
                raise UnreadableCellError(said, f"Write {year}-{second:02}-{first:02} or turn it.")
            if other[2] == "/" and second > 12:
                first, second = second, first
            return date(year, second, first)
    except ValueError:
        pass
    raise UnreadableCellError(f"'{cell}' is no day.", "Write 2027-03-31.")


def items(cell: str) -> list[str]:
    """The items of a list, parted by +, a comma, a semicolon, a bar or a new line."""
    return [one.strip() for one in re.split(r"[+,;|\n]", cell) if one.strip()]


def _amount(cell: str, unit: str, units: dict[str, float]) -> float:
    found = _AMOUNT.fullmatch(_plain(cell))
    if found is None:
        raise UnreadableCellError(
            f"'{cell}' is not a number.", "Write a number such as 430, or 43 cm."
        )
    return _tidy(number(found["number"]) * _factor(found["unit"] or unit, units, cell))


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


def _codes(text: str) -> list[str]:
    """Currencies written by their code."""
    return re.findall(r"(?<![A-Za-z])[A-Z]{3}(?![A-Za-z])", text)
