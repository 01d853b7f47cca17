"""Marks how sure a number was said: "about", "just under", "and a bit", "give or take 2".

Each becomes a single sign, so that the grammar of numbers need not know the words. Phrases that
say nothing about the value, such as "from the floor", are taken out.
"""

from __future__ import annotations

import re

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
