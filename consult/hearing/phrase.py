"""The shape of a spoken quantity: numbers, units, ranges, and how sure they were said.

"about", "just under" and "give or take 2" become a single sign each, so that the grammar of numbers
need not know the words. Phrases that say nothing about the value ("from the floor") are taken out.
"""

from __future__ import annotations

import re
from dataclasses import replace
from difflib import get_close_matches
from typing import cast

from consult.hearing.quantity import (
    SMALLER,
    UNIT_WORDS,
    Lean,
    Reading,
    SpanWord,
    SpokenNumber,
    SpokenPart,
    SpokenPhrase,
    Unclear,
    added_readings,
    check_small,
    clipped,
    decimal,
    fraction,
)
from consult.hearing.spoken import TokenPass, in_digits, plain, tokens

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

_MISSPELT = {
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
        "inch": "inhc ich ihcn inche",
        "inches": "inchs",
        "cm": "centermeter centermeters centermetre centermetres",
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
_WORD = re.compile(r"[^\W\d_]{3,}")
_ONE = re.compile(r"(?<![^\W\d_])l(?=[\d.,])|(?<=\d)l(?![^\W\d_])|(?<![^\W_])l(?![^\W_])")
"""A small L where only the figure 1 makes sense."""
_NOUGHT = re.compile(r"(?<=\d)o(?![^\W\d_])")


def mended(text: str) -> str:
    """The text, in small letters, without its common slips."""
    return _WORD.sub(_word, _NOUGHT.sub("0", _ONE.sub("1", text)))


def _word(match: re.Match[str]) -> str:
    word = match[0]
    known = _MISSPELT.get(word)
    right = word in _RIGHT or word in UNIT_WORDS or word.endswith("ish")
    if known or right or len(word) < 4:
        return known or word
    # The first letter is seldom wrong, and keeps "found" from being "pound".
    alike = [long for long in _LONG if long[0] == word[0]]
    return next(iter(get_close_matches(word, alike, n=1, cutoff=_ALIKE)), word)


# -- parses the shape of a spoken quantity: numbers, units, ranges. ``meaning`` judges it ---------
# The grammar, with ``FRAC`` a fraction such as 1/2::
#
#     phrase  = ["between"] reading [("to" | "-" | "or" | "and") reading | "±" reading
#               | ["(" | "=" | "," | "/"] reading [")"]]
#     reading = number [unit ["and" FRAC | [joint] number [small unit] ["and" FRAC]]]
#             | number number [unit]                       (doubtful; kept as it is)
#             | DIGIT DIGIT DIGIT [unit]                   (doubtful as well)
#     number  = NUM [["and" | "-"] FRAC] | FRAC
#
# A hyphen before a fraction makes a mixed number, "1-1/2"; it is a range only after zero. Hedges
# may stand anywhere.

_LONGEST = 200
"""Characters; an answer longer than this is not a quantity."""

_FILLERS = (
    "exactly precisely dead tall high long wide deep thick barefoot it it's its is i'm im i am "
    "she's he's they're she he we're they weigh weighs says that's that the tape my from just only "
    "measures measured found got i've get make comes somewhere "
    "erm um er uh uhm hmm hm oh ah well so like ok okay yes yeah right . ! ;"
)
_FILLER_WORDS = {*_FILLERS.split()}
_LINKS: dict[str, SpanWord] = {
    "to": "to", "or": "to", "-": "dash", SPREAD: "spread",
    "(": "same", "[": "same", "=": "same", ",": "list", "/": "list",
}  # fmt: skip
_LEANS: dict[str, Lean] = {UNDER: "under", OVER: "over", BIT: "bit", ODD: "odd"}
_HEDGES = {ABOUT, "ish", *_LEANS}
_SIGNS = {*_LINKS, "between", "and", ")", "]"}
_ALONE = {"inch", "foot", "metre", "meter", "centimetre", "centimeter", "stone", "pound", "kilo"}
"""Units said without their number: "inch and a half"."""


def read_phrase(text: str) -> SpokenPhrase:
    """The phrase in ``text``.

    Raises:
        Unclear: it has no number, holds other words, or does not follow the grammar.
    """
    if len(text) > _LONGEST:
        raise Unclear("That is too long for a measurement. Can you give just the number and unit?")
    if not text.strip():
        raise Unclear("Nothing was typed. What did they say?")
    return _Reader(text, tokens(in_digits(marked(mended(plain(text)))))).phrase()


def _split(word: str) -> list[str]:
    """The pieces of "41/42", which is no fraction; any other word as it is."""
    top, slash, bottom = word.partition("/")
    return [top, slash, bottom] if slash and len(top) > 1 and fraction(word) is None else [word]


class _Reader(TokenPass):
    def __init__(self, text: str, words: list[str]) -> None:
        self.text = text
        words = ["-" if word == "minus" else word for word in words if word not in _FILLER_WORDS]
        words = [piece for word in words for piece in _split(word)]
        self.about = ABOUT in words or "ish" in words
        leans = {_LEANS[word] for word in words if word in _LEANS}
        self.lean: Lean = next(iter(leans), "")
        words = [
            word
            for at, word in enumerate(words)
            # the hyphen of "40-ish" belongs to the word
            if word not in _HEDGES and words[at : at + 2] != ["-", "ish"]
        ]
        while words and words[0] == ",":  # "oh, about 40"
            words.pop(0)
        while words and words[-1] in (",", SPREAD):  # "40 cm, give or take"
            self.about |= words.pop() == SPREAD
        if words and words[0] in _ALONE:
            words.insert(0, "1")
        if not any(word[-1].isdecimal() for word in words):
            raise Unclear(f'There is no number in "{clipped(text)}". How much is it?')
        super().__init__(words)
        for word in words:
            if not word[-1].isdecimal() and word not in UNIT_WORDS and word not in _SIGNS:
                raise Unclear(f'What does "{clipped(word)}" mean here? Can you leave it out?')
        if words[0] == "-":
            raise Unclear("A measurement cannot be below zero. What did they say?")
        if len(leans) > 1:
            raise self._lost()

    def phrase(self) -> SpokenPhrase:
        between = self._peek() == "between"
        self.at += between
        first = self._reading(joints=(",",) if between else (",", "and"))
        if self.at == len(self.words) and not between:
            return SpokenPhrase(first, about=self.about, lean=self.lean)
        word = self._peek()
        link: SpanWord = "to" if between and word == "and" else _LINKS.get(word, "none")
        if link == "none" and first.parts[-1].unit and word[:1].isdecimal() and not between:
            link = "same"  # "160 cm 5 ft 3"
        elif link == "none" or (between and link not in ("to", "dash")):
            raise self._lost()
        else:
            self.at += 1
        if word == "," and self._peek() in ("(", "["):
            link = "same"
            self.at += 1
        second = self._reading(joints=(",", "and"))
        if link == "same" and word[:1].isdecimal() and second.bare:
            raise self._lost()
        if link == "same" and self._peek() in (")", "]"):
            self.at += 1
        if self.at != len(self.words):
            raise self._lost()
        return SpokenPhrase(first, link, second, self.about, self.lean)

    def _reading(self, joints: tuple[str, ...]) -> Reading:
        spelled = self._spelled()
        if spelled is not None:
            return spelled
        number = self._number()
        hyphens = self._peek() == "-" and self._peek(1) in UNIT_WORDS  # "5-foot-2", "29-inch"
        self.at += hyphens
        unit = self._unit()
        if unit is None:
            if not self._peek()[:1].isdecimal():
                return Reading((SpokenPart(number, None),))
            return Reading((SpokenPart(number, None), SpokenPart(self._number(), self._unit())))
        first = self._and_fraction(SpokenPart(number, unit))
        if first.number is number and number.written.isdecimal() and unit in SMALLER:
            small = self._small(unit, (*joints, "-") if hyphens else joints)
            if small is not None:
                return Reading((first, small))
        return Reading((first,))

    def _spelled(self) -> Reading | None:
        """Three digits said one by one, "one six two"."""
        digits = [self._peek(ahead) for ahead in range(3)]
        if not all(len(digit) == 1 and digit.isdecimal() for digit in digits):
            return None
        if self._peek(3)[:1].isdecimal():
            return None
        self.at += 3
        number = decimal("".join(digits))
        return Reading((SpokenPart(cast(SpokenNumber, number), self._unit()),), "".join(digits))

    def _small(self, big: str, joints: tuple[str, ...]) -> SpokenPart | None:
        """The inches after feet and their like; None, with nothing taken, where none follow."""
        start = self.at
        hyphen = self._peek() == "-" and "-" not in joints  # 5'-2": the unit must be said
        if hyphen or self._peek() in joints:
            self.at += 1
        if self._peek()[:1].isdecimal():
            number = self._number()
            unit = self._unit()
            if unit in SMALLER[big] or (unit is None and big != "cm" and not hyphen):
                part = SpokenPart(number, unit or next(iter(SMALLER[big])))
                whole = number.written.replace(",", ".").partition(".")[0]
                if big == "m" and unit is None and len(whole) != 2:
                    ask = f"How many centimetres is the {number.value:g} after the metres?"
                    raise Unclear(f"{ask} Can you give it all in cm?")
                part = self._and_fraction(part)
                check_small(part, big)
                return part
        self.at = start
        return None

    def _and_fraction(self, part: SpokenPart) -> SpokenPart:
        """'2 in and 1/2' is '2 1/2 in', unless the fraction brings its own unit."""
        if self._peek() == "and" and self._peek(2) not in UNIT_WORDS:
            rest = fraction(self._peek(1))
            if rest is not None:
                self.at += 2
                return replace(part, number=added_readings(part.number, rest))
        return part

    def _number(self) -> SpokenNumber:
        word = self._peek()
        number = fraction(word) or decimal(word)
        if number is None:
            raise self._lost()
        self.at += 1
        if number.written.isdecimal():
            joint = self._peek()
            joined = joint == "and" or (joint == "-" and number.value > 0)
            rest = fraction(self._peek(1 if joined else 0))
            if rest is not None and not (joint == "and" and self._ends_between()):
                self.at += joined + 1
                return added_readings(number, rest, spoken=joint == "and")
        return number

    def _ends_between(self) -> bool:
        """Whether the next "and" is the one of "between 1 and 1/2", not that of "1 and 1/2"."""
        return self.words[0] == "between" and "and" not in self.words[self.at + 1 :]

    def _unit(self) -> str | None:
        unit = UNIT_WORDS.get(self._peek())
        self.at += unit is not None
        return unit

    def _lost(self) -> Unclear:
        words = clipped(self.text)
        return Unclear(f'What is meant by "{words}"? Can you give one number and its unit?')
