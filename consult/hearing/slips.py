"""Mends common typing errors in numbers, units and hedges: "fourty", "inchs", "l57", "16O".

A word is only corrected where one meaning is near. Number words are corrected from a list, never
by likeness: "height" is one letter from "eight", and "mine" from "nine".
"""

from __future__ import annotations

import re
from difflib import get_close_matches

from consult.hearing.quantity import UNIT_WORDS

_NUMBERS = {
    wrong: right
    for right, wrongs in {
        "two": "tow",
        "four": "fuor",
        "eight": "eigth eihgt",
        "twelve": "twelv tweleve twelwe",
        "thirteen": "thirten therteen",
        "fourteen": "forteen fourten",
        "fifteen": "fiveteen fiften",
        "sixteen": "sixten",
        "seventeen": "seventen",
        "eighteen": "eigthteen eighten",
        "nineteen": "ninteen nineten",
        "twenty": "tweny twenny twentey",
        "thirty": "thrity thirthy thrty thirtey",
        "forty": "fourty fourthy forthy fortey",
        "fifty": "fivety fity fiffty fiftey",
        "sixty": "sixtey sixity",
        "seventy": "sevnty seventey sevinty",
        "eighty": "eigthy eightey eigty",
        "ninety": "ninty ninetey",
        "hundred": "hundered hundrd hunderd hunderad hundread",
        "half": "haf hlaf halff",
        "quarter": "quater qaurter quarer",
        "quarters": "quaters qaurters",
        "foot": "foor fot foto foots",
        "feet": "feets fett",
        "inch": "inhc ich ihcn",
    }.items()
    for wrong in wrongs.split()
}
"""Misspelt words with one plain meaning; common practice, no source."""
_LONG = (
    *("millimetre", "millimetres", "millimeter", "millimeters", "centimetre", "centimetres"),
    *("centimeter", "centimeters", "metres", "meters", "inches", "stone", "stones"),
    *("pound", "pounds", "kilos", "kilogram", "kilograms"),
    *("about", "around", "roughly", "approximately", "nearly", "almost", "probably", "maybe"),
)
"""Words long enough to be known by likeness."""
_ALIKE = 0.8
"""As ``difflib`` measures likeness: one wrong letter in five."""
_RIGHT = {"near", "stool", "store", "mine"}
"""Words of their own that look like one of these."""
_MISTYPED = {"inche": "inch", "inchs": "inches", "centermeter": "cm", "centermeters": "cm"} | {
    "centermetre": "cm",
    "centermetres": "cm",
}
_WORD = re.compile(r"[^\W\d_]{3,}")
_ONE = re.compile(r"(?<![^\W\d_])l(?=[\d.,])|(?<=\d)l(?![^\W\d_])|(?<![^\W_])l(?![^\W_])")
"""A small L where only the figure 1 makes sense."""
_NOUGHT = re.compile(r"(?<=\d)o(?![^\W\d_])")


def mended(text: str) -> str:
    """The text, in small letters, without its common slips."""
    return _WORD.sub(_word, _NOUGHT.sub("0", _ONE.sub("1", text)))


def _word(found: re.Match[str]) -> str:
    word = found[0]
    known = _NUMBERS.get(word) or _MISTYPED.get(word)
    right = word in _RIGHT or word in UNIT_WORDS or word.endswith("ish")
    if known or right or len(word) < 4:
        return known or word
    # The first letter is seldom wrong, and keeps "found" from being "pound".
    alike = [one for one in _LONG if one[0] == word[0]]
    return next(iter(get_close_matches(word, alike, n=1, cutoff=_ALIKE)), word)
