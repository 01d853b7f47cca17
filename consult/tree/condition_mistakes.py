"""Slips in conditions, each called what it is: signs and words that other languages have."""

from __future__ import annotations

import re

from consult.tree.quantities import LENGTH_UNITS, MASS_UNITS

_ODD: dict[str, tuple[str, str]] = {
    "'": ("Names are written without quotes.", "Write lower_back in pain_sites."),
    '"': ("Names are written without quotes.", "Write lower_back in pain_sites."),
    "=": ("A single = does not compare.", "Write == for 'is the same as'."),
    "!": ("A ! cannot be used alone.", "Write != for 'is not', or not."),
    "&": ("& is not a word of conditions.", "Write and."),
    "|": ("| is not a word of conditions.", "Write or."),
    "\n": ("A condition is one line.", "Write it on one line, or after >-."),
    "#": ("A condition cannot contain a comment.", "Put the comment on a line of its own."),
    ",": (
        "A comma is not allowed here.",
        "Write and or or; a number has a point: 2.5; a list is pain_sites has any of (neck, hips).",
    ),
    "[": ("Square brackets are not allowed in a condition.", "Write lower_back in pain_sites."),
    "\u2264": ("\u2264 is not a sign of conditions.", "Write <=."),
    "\u2265": ("\u2265 is not a sign of conditions.", "Write >=."),
    "\u2260": ("\u2260 is not a sign of conditions.", "Write !=."),
    "\u00d7": ("\u00d7 is not a sign of conditions.", "Write * to multiply."),
    "\u00f7": ("\u00f7 is not a sign of conditions.", "Write / to divide."),
    "%": ("A number in a condition has no %.", "Leave it out, or write 0.5 for 50 %."),
    **dict.fromkeys(
        "\u2013\u2014\u2212", ("A long dash is not a sign of conditions.", "Write - to subtract.")
    ),
    "\u00ac": ("\u00ac is not a sign of conditions.", "Write not."),
    "\uff1e": ("This > is a wide one, which conditions do not have.", "Write >."),
    "\uff1c": ("This < is a wide one, which conditions do not have.", "Write <."),
    "\uff1d": ("This = is a wide one, which conditions do not have.", "Write ==."),
    "\u00bd": ("\u00bd is not a number of conditions.", "Write 0.5."),
    "\u00bc": ("\u00bc is not a number of conditions.", "Write 0.25."),
    "\u00be": ("\u00be is not a number of conditions.", "Write 0.75."),
    "`": ("Names are written without quotes.", "Write lower_back in pain_sites."),
}
_CURLY = "\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb"
ODD_WORDS: dict[str, tuple[str, str]] = {
    word: (f"'{word}' is not a word of conditions.", fix)
    for words, fix in (
        ("is", "Write == or !=."),
        ("If if", "Leave it out: when: says it already."),
        ("True true", "Write yes."),
        ("False false", "Write no."),
        ("None", "Write none, or not known(...)."),
        ("AND", "Write and."),
        ("OR", "Write or."),
        ("NOT", "Write not."),
    )
    for word in words.split()
}
_MEANT = (
    (
        r"\b([a-z][a-z0-9_]*) is (not )?(?:un)?known\b",
        "'is known' is not written so in a condition.",
        "Write known({0}), or not known({0}).",
    ),
    (r"(===|!==)", "{0} is not a sign of conditions.", "Write ==, or != for 'is not'."),
    (
        r"\b([a-z][a-z0-9_]*) (?:equals|equal to|is equal to) ",
        "'equals' is not a word of conditions.",
        "Write {0} ==.",
    ),
    (
        r"\b(?!(?:and|or|in|not)\b)([a-z][a-z0-9_]*) not (?!in\b|known\b)([a-z][a-z0-9_]*)",
        "'not' cannot stand between two names.",
        "Write {0} != {1}.",
    ),
    (
        r"\b([a-z][a-z0-9_]*) in [\[(] *([a-z][a-z0-9_]*) *, *([a-z][a-z0-9_]*)",
        "A list cannot follow 'in'.",
        "Write {0} == {1} or {0} == {2}; with several choices, {0} has any of ({1}, {2}).",
    ),
    (
        r"&(gt|lt|ge|le|amp);",
        "&{0}; is written for a web page, not for a condition.",
        "Write the sign itself: > or <.",
    ),
    (r"=([<>])", "={0} is not a sign of conditions.", "Write {0}=."),
    (
        r"\b([a-z][a-z0-9_.]*) (?:is )?between\b",
        "'between' is not a word of conditions.",
        "Write 70 <= {0} <= 80.",
    ),
    (
        r"\b((?:greater|more|larger|higher|bigger) than)\b",
        "'{0}' is not written in words in a condition.",
        "Write >.",
    ),
    (
        r"\b((?:less|smaller|lower|fewer) than)\b",
        "'{0}' is not written in words in a condition.",
        "Write <.",
    ),
    (
        r"\b([a-z][a-z0-9_]*) (?:contains|includes) ([a-z][a-z0-9_]*)",
        "'contains' is not a word of conditions.",
        "Write {1} in {0}.",
    ),
    (r"(?:'([0-9.]+)'|\"([0-9.]+)\")", "A number is written without quotes.", "Write {0}."),
    (
        r"[0-9] *(\"|'|\u2032|\u2033)",
        "A number in a condition has no unit, not {0} either.",
        "Leave the unit out: a question counts in its own, fit. and body. in cm.",
    ),
    (
        r"\bunknown\(([a-z_0-9]+)\)",
        "'unknown' is not a word of conditions.",
        "Write not known({0}).",
    ),
)
"""What people write, with what is wrong, and what would be right for the words in brackets."""
WORDS_THAT_MAY_BE_NAMES = ("equals", "between", "contains", "includes")
"""Those of them with which a condition could be read: ``p and between > 3``."""


def other_words(text: str) -> tuple[str, str, int] | None:
    """What is wrong, what would be right and where, of words that mean something else here."""
    for pattern, message, fix in _MEANT:
        if match := re.search(pattern, text):
            words = [group for group in match.groups() if group]
            return message.format(*words), fix.format(*words), match.start()
    return None


def odd_sign(text: str, position: int) -> tuple[str, str]:
    """What is wrong with a sign that conditions do not have, and what would be right."""
    character = text[position]
    if character in _ODD:
        return _ODD[character]
    if character in "0123456789.":
        message = "This number is not written as conditions need it."
        return message, "Write 72 or 72.5; names start with a letter."
    if character in _CURLY:
        return _ODD['"']
    if character.isspace() or not character.isprintable():
        message = (
            "This character looks like a space or is invisible, and conditions cannot have it."
        )
        return message, "Delete it, and type a space if you want one."
    return f"{character} is not allowed in a condition.", "See trees/LANGUAGE.md."


def cannot_be_read(text: str, offset: int) -> tuple[str, str]:
    """The same for a condition of words that are all allowed, but make no sense together."""
    if text.count("(") != text.count(")"):
        fix = "Add the missing bracket, or delete the extra one."
        return "A bracket is missing its partner.", fix
    if text.rstrip().endswith((" and", " or", " not", " in", "=", "<", ">", "+", "-", "*", "/")):
        return "The condition is not finished.", "Write what comes after the last word."
    near = text[max(offset, 0) :].split(" ")[0][:30]
    if near == "<>":
        return "<> is not a sign of conditions.", "Write !=."
    if near.strip("()") in (*LENGTH_UNITS, *MASS_UNITS):
        fix = "Leave the unit out: a question counts in its own, fit. and body. in cm."
        return "A number in a condition has no unit.", fix
    message = f"cannot be read from '{near}' on" if near else "is not finished"
    return f"The condition {message}.", "Join comparisons with and or or, and write == to compare."
