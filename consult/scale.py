"""Units, and how a length, a mass, an amount of money or a lead time is written.

The factors are exact by definition: 1 in = 25.4 mm, 1 lb = 0.45359237 kg.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

System = Literal["metric", "imperial", "both"]

IN_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
IN_KG = {"kg": 1.0, "lb": 0.45359237, "st": 6.35029318}
_FACTORS = IN_MM | IN_KG

_FEET_FROM = 72 * IN_MM["in"]
"""mm; tape measures and furniture are marked in inches, so only what is longer is in feet."""


def from_unit(value: float, unit: str) -> float:
    """``value`` of cm, mm, m, in or ft in mm; of kg, st or lb in kg. ValueError for others."""
    return value * _factor(unit)


def to_unit(value: float, unit: str) -> float:
    """``value`` in mm (or kg) in ``unit``. ValueError for a unit that is not known."""
    return value / _factor(unit)


def _factor(unit: str) -> float:
    if unit not in _FACTORS:
        raise ValueError(f"'{unit}' is not a unit here; the units are {', '.join(_FACTORS)}.")
    return _FACTORS[unit]


def format_length(mm: float, system: System) -> str:
    """A length or a difference of lengths: "37.5 cm", "14¾ in", "49¾ in", or both ways."""
    metric, imperial = _tenths(mm / 10, "cm"), _feet_and_inches(mm, _FEET_FROM)
    return _written(metric, imperial, system)


def format_stature(mm: float, system: System) -> str:
    """The height of a person, which people know in feet and inches: "5 ft 2½ in"."""
    return _written(_tenths(mm / 10, "cm"), _feet_and_inches(mm, IN_MM["ft"]), system)


def format_range(low: float, high: float, system: System) -> str:
    """Lengths from one to another, the unit said once: "15 to 16¾ in"; one length where they read
    alike."""
    ways: tuple[System, ...] = ("metric", "imperial") if system == "both" else (system,)
    ranges = [_range(format_length(low, way), format_length(high, way)) for way in ways]
    return ranges[0] if len(ranges) == 1 else f"{ranges[0]} ({ranges[1]})"


def _range(low: str, high: str) -> str:
    if low == high:
        return low
    figure, _, unit = low.rpartition(" ")
    # A range that comes to feet is written out.
    alike = high.endswith(f" {unit}") and "ft" not in low + high
    return f"{figure if alike else low} to {high}"


def bare_length(mm: float, system: Literal["metric", "imperial"]) -> str:
    """A length for a column headed cm or in: "37.5", "49¾"; never in feet."""
    if system == "metric":
        return _tenths(mm / 10, "").rstrip()
    quarters = round(abs(mm) / (IN_MM["in"] / 4))
    return _minus(mm, quarters > 0) + (_quarters(quarters) or "0")


def format_mass(kg: float, system: System) -> str:
    """A mass or a difference: "59 kg", "9 st 4 lb", "59 kg (9 st 4 lb)"."""
    return _written(_tenths(kg, "kg"), _stones_and_pounds(kg), system)


def _written(metric: str, imperial: str, system: System) -> str:
    if system == "both":
        return f"{metric} ({imperial})"
    return metric if system == "metric" else imperial


def _tenths(value: float, unit: str) -> str:
    number = f"{abs(value):.1f}".removesuffix(".0")
    return f"{_minus(value, number != '0')}{number} {unit}"


def _minus(value: float, shows: bool) -> str:
    """The sign of a negative difference; a value that rounds to nothing has none."""
    return "−" if value < 0 and shows else ""


def _feet_and_inches(mm: float, feet_from: float) -> str:
    quarters = round(abs(mm) / (IN_MM["in"] / 4))
    feet = quarters // 48 if abs(mm) >= feet_from else 0
    number = _quarters(quarters - 48 * feet)
    words = [f"{feet} ft"] if feet else []
    if number or not feet:
        words.append(f"{number or '0'} in")
    return _minus(mm, quarters > 0) + " ".join(words)


def _quarters(count: int) -> str:
    """Quarters of an inch: "14¾"; '' for none."""
    inches, part = divmod(count, 4)
    return f"{inches or ''}{('', '¼', '½', '¾')[part]}"


def _stones_and_pounds(kg: float) -> str:
    pounds = round(abs(kg) / IN_KG["lb"])
    stones, rest = divmod(pounds, 14)
    words = [f"{stones} st"] if stones else []
    if rest or not stones:
        words.append(f"{rest} lb")
    return _minus(kg, pounds > 0) + " ".join(words)


# -- money ----------------------------------------------------------------------------------------
# The currency is the range's, which follows the settings; its code stands before the amount,
# because a sign such as $ means several currencies and is not in every face.

FREE = "no charge"


def money(amount: float, currency: str, *, whole: bool = False) -> str:
    """ "EUR 1,234.50"; "no charge" for nothing. ``whole`` leaves cents out where cells are few."""
    if not round(amount, 2):
        return FREE
    return f"{currency} {amount:,.{0 if whole else 2}f}"


def dearer(difference: float, currency: str) -> str:
    """A difference in price: "EUR 12.00 more"; '' where it costs the same."""
    if not round(difference, 2):
        return ""
    return f"{money(abs(difference), currency)} {'more' if difference > 0 else 'less'}"


# -- working days: what every lead time of a range counts, wherever a date is told of it ----------

_FRIDAY = 4
_CLOSED = {(12, 25), (12, 26), (1, 1)}
"""Month and day when hardly anybody works (common practice, no source)."""


def working_day(today: date, days: int) -> date:
    """So many working days on, without weekends, Christmas and New Year.

    Other holidays are not known. Never such a day itself, so no days from a Saturday is the Monday
    after it.
    """
    day = today
    while days > 0 or not _worked(day):
        day += timedelta(days=1)
        days -= _worked(day)
    return day


def _worked(day: date) -> bool:
    return day.weekday() <= _FRIDAY and (day.month, day.day) not in _CLOSED


def days_words(days: int) -> str:
    """A lead time as people read it."""
    return "1 working day" if days == 1 else f"{days} working days"
