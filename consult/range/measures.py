"""Measures as a fitting file writes them, and in words what is wrong with one or with a sum."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from consult.marked.marks import Marked, Steps
from consult.problems import Problem
from consult.units import from_unit

if TYPE_CHECKING:
    from consult.range.parts import Span

NUMBER = r"[0-9]{1,4}(?:\.[0-9]{1,2})?"
"""A number as files write it."""
_MEASURE = re.compile(rf"({NUMBER})(?: to ({NUMBER}))? (mm|cm|m|in|kg)")
_DIGITS = r"[0-9]+(?:[.,][0-9]+)?"
_ALMOST = re.compile(
    rf"(?P<low>-?{_DIGITS}) ?(?P<first>[A-Za-z]*)"
    rf"(?:(?P<to> ?(?:to|-|\u2013|\u2014|\.\.) ?)(?P<high>{_DIGITS}) ?(?P<unit>[A-Za-z]*))?"
)
"""Something that is nearly a measure: 15kg, 68,5 - 116 cm, 60 cm to 70 cm."""


def measure(text: Any) -> tuple[Span, str] | None:
    """'62 to 128 cm' or '80 kg' as two figures in mm or kg, and which; None for anything else."""
    match = _MEASURE.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        return None
    unit = match[3]
    low, high = (from_unit(float(number), unit) for number in (match[1], match[2] or match[1]))
    return (low, high), "kg" if unit == "kg" else "mm"


def no_measure(marked: Marked, text: Any, steps: Steps, unit: str = "") -> Problem:
    """What is wrong with a text at the place of a measure; ``unit`` is mm or kg."""
    message, example = f"'{text}' is not a measure here.", "25 mm"
    example = {"kg": "80 kg", "mm": "62 to 128 cm"}.get(unit, example)
    match = _ALMOST.fullmatch(text.strip()) if isinstance(text, str) else None
    if match is not None:
        low, high = match["low"].replace(",", "."), (match["high"] or "").replace(",", ".")
        written = (match["unit"] or match["first"] or unit).lower()
        example = f"{low} to {high} {written}" if high else f"{low} {written}"
        if not written or written not in ("mm", "cm", "m", "in", "kg"):
            message, example = f"'{text}' has no unit that is known here.", f"{low} {unit or 'mm'}"
        elif "," in text:
            message = f"'{text}' has a comma, and a number has a decimal point."
        elif low.startswith("-"):
            message, example = f"'{text}' is below zero.", f"{low[1:]} {written}"
        elif match["first"] and high:
            message = f"'{text}' says its unit twice."
        elif high and float(low) > float(high):
            message, example = f"'{text}' runs backwards.", f"{high} to {low} {written}"
        elif high and match["to"].strip() != "to":
            message = f"'{text}' needs the word to between its two numbers."
        elif written != (match["unit"] or match["first"]):
            message = f"'{text}' has a unit in capitals."
        elif unit and unit != ("kg" if written == "kg" else "mm"):
            message = f"'{text}' is {'no mass' if unit == 'kg' else 'no length'}."
            example = "80 kg" if unit == "kg" else "62 to 128 cm"
        elif measure(text) is None:
            message = f"'{text}' has no space before its unit."
    return Problem(marked.value(*steps), message, f"Write: {example}.", "measure")


def no_sum(text: str) -> tuple[str, str]:
    """Why a sum cannot be added up, and what would be right."""
    fix = "Write names and lengths with + or - between them: body.stature - 20 mm."
    if match := re.search("[\u2010-\u2015\u2212]", text):
        return f"The {match[0]} in '{text}' is no minus sign.", "Write the sign - of the keyboard."
    if match := re.search("[\u00d7\u00f7/():]", text):
        return f"The {match[0]} in '{text}' is not a sign of sums.", f"{fix} Also * with a number."
    if re.search(r"[0-9],[0-9]", text):
        return f"'{text}' has a comma, and a number has a decimal point.", "Write 2.5 cm."
    if re.search(rf"(?:^|[+-] ){NUMBER} \*", text):
        return f"In '{text}' the number stands before its name.", "Write the name first: arm * 2."
    if re.search(r"\S[+*]|[+*]\S", text):
        return f"In '{text}' a sign has no space beside it.", "Write a space on both sides: a + b."
    if match := re.search(rf"(?<![\w.*] )(?<![\w.]){NUMBER}(?= ?[+-]|$)", text):
        return f"The {match[0]} in '{text}' has no unit.", f"Write {match[0]} mm, or its unit."
    if match := re.search(rf"\b({NUMBER})(mm|cm|m|in|kg)\b", text):
        message = f"There is no space between {match[1]} and {match[2]} in '{text}'."
        return message, f"Write {match[1]} {match[2]}."
    return f"'{text}' cannot be added up.", fix
