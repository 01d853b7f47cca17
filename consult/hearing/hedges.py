"""Marks how sure a number was said: "about", "just under", "and a bit", "give or take 2".

Each becomes a single sign, so that the grammar of numbers need not know the words. Phrases that
say nothing about the value, such as "from the floor", are taken out.
"""

from __future__ import annotations

import re
from difflib import get_close_matches

from consult.hearing.quantity import UNIT_WORDS

ABOUT, UNDER, OVER, BIT, ODD, SPREAD = "~", "≲", "≳", "∔", "⊕", "±"
_LITTLE = (
    r"(?:only )?(?:just|slightly|fractionally|marginally"
    r"|(?:a )?(?:wee |little |tiny )?(?:bit|little|shade|touch|hair|tad|fraction|smidge))"
)
_SAYS_NOTHING = (
    r"\bin (?:height|total|all)\b"
    r"|\b(?:without|no) (?:any )?shoes\b"
    r"|\bin (?:my |his |her )?(?:socks|bare feet|stocking(?:ed)? feet)\b"
    r"|\b(?:from|off|to|above|at) the (?:floor|ground|knee|crease|seat|top|edge|front|back)\b"
    r"|\b(?:with|including) (?:the|a|its) (?:drawer|rail|frame)\b"
    r"|\bcomes (?:to|out at)\b|\bto be (?:exact|precise)\b|\bon the (?:dot|nose)\b"
    r"|\bbang on\b|\blet(?:'s| me) see\b"
)
_MARKS = [
    (re.compile(pattern), sign)
    for pattern, sign in (
        (_SAYS_NOTHING, " "),
        (r"\+ ?/? ?-|\bplus (?:or )?minus\b|\bgive or take\b", f" {SPREAD} "),
        (rf"(?<={SPREAD} ) *(?:a )?couple\b(?: of)?", " 2 "),
        (r"\b(?:a )?couple\b(?: of)?(?= [^\W\d_])", f" 2 {SPREAD} 1/2 "),
        (r"\b(?:a )?few\b(?= [^\W\d_])", f" 3.5 {SPREAD} 1.5 "),
        (
            r"\bor something(?: like that)?\b|\bsomething like\b|\blooks? like\b|\bnear enough\b"
            r"|\bnot sure\b(?:,? but\b)?|\b(?:i )?(?:don't|do not|dont) know\b(?:,? but\b)?"
            r"|\blast time i (?:looked|checked|weighed(?: myself)?)\b|\bjust about\b|\bcall it\b"
            r"|\b(?:i'd|i would) (?:say|guess|think)\b|\bin the region of\b|\bat a guess\b"
            r"|\?\s*$",
            f" {ABOUT} ",
        ),
        (
            rf"\b(?:or )?{_LITTLE} (?:under|below|less(?: than)?|short(?:er)? (?:of|than)|shy of)\b"
            r"|\b(?:nearly|almost|not quite|getting on for|coming up to)\b",
            f" {UNDER} ",
        ),
        (
            rf"\b(?:or )?{_LITTLE} (?:over|above|more(?: than)?|past|taller than|heavier than)\b",
            f" {OVER} ",
        ),
        (r"\band (?:a (?:little )?(?:bit|touch|little)|something|some|change)\b", f" {BIT} "),
        (r"[\s-]*\b(?:odd|something)\b", f" {ODD} "),
        (
            r"\b(?:about|around|round about|round|roughly|approximately|approx|circa|ca"
            r"|maybe|probably|perhaps|i think|i guess|i reckon|i suppose|guess|say"
            r"|more or less|or so|or thereabouts)\b\.?|\bc\b[ .]*(?=\d)|\bc(?=\d)",
            f" {ABOUT} ",
        ),
    )
]
"""Tried from the top. How far each reaches is judged in ``meaning``."""


def marked(text: str) -> str:
    """The text, in small letters, with its hedges as signs."""
    for pattern, sign in _MARKS:
        text = pattern.sub(sign, text)
    return text


# -- mends common typing errors in numbers, units and hedges: "fourty", "inchs", "l57", "16O" -----
# A word is only corrected where one meaning is near. Number words are corrected from a list,
# never by likeness: "height" is one letter from "eight", and "mine" from "nine".

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
