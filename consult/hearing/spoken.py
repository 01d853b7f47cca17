"""Number words, spoken fractions and the typography of numbers become plain digits.

``in_digits("Five foot two and a half")`` is ``"5 foot 2 and 1/2"``. Fractions stay fractions, so
that a reader can tell "5 and a half foot" from the doubtful "5.5 foot".
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable

from consult.hearing.quantity import UNIT_WORDS

_TO_NINETEEN = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_TO_NINETY = "twenty thirty forty fifty sixty seventy eighty ninety"
_SMALL = {word: number for number, word in enumerate(_TO_NINETEEN.split())}
_SMALL |= dict.fromkeys(("nought", "nothing", "nil"), 0)
_TENS = {word: 10 * number for number, word in enumerate(_TO_NINETY.split(), start=2)}
_PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4,
    "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip

_SIGNS = str.maketrans(
    dict.fromkeys("’‘‛′ʹʼ´`＇", "'")
    | dict.fromkeys("”“„‟″ʺ˝＂", '"')
    | dict.fromkeys("–—‒―−‐‑﹣－", "-")
    | {"⁄": "/", "∕": "/", "÷": "?", "٫": ".", "٬": ",", "،": ",", "≈": "~", "∼": "~"}
)
_TOKEN = re.compile(
    r"""(?<![\d.,/])\d+/\d+(?![\d.,/])  # a fraction
    | \d+(?:[.,]\d+)*                   # a number, perhaps with decimals
    | (?<![^\W_])\.\d+                  # .5, but not the 2 of "ft.2"
    | [^\W\d_]+(?:'[^\W\d_]+)*          # a word, it's included
    | \S""",
    re.VERBOSE,
)
_HYPHENED = re.compile(r"([^\W\d_]+)-(?=([^\W\d_]+))")


def tokens(text: str) -> list[str]:
    """Numbers, words and single signs of a text, in order; spaces are dropped."""
    return _TOKEN.findall(text)


def plain(text: str) -> str:
    """The text in small letters, any script's digits as 0-9, one kind of quote and dash.

    Vulgar fractions become "1/2" with space around; invisible marks go; a sign that would turn
    into digits by accident (a superscript, "㎡") is left as it is, to be refused later.
    """
    folded = "".join(_plain_character(character) for character in text.translate(_SIGNS))
    return folded.translate(_SIGNS).replace("''", '"').casefold()


def _plain_character(character: str) -> str:
    category = unicodedata.category(character)
    if category == "Nd":
        return str(unicodedata.decimal(character))
    if category == "Cf":
        return ""
    folded = unicodedata.normalize("NFKC", character)
    if unicodedata.decomposition(character).startswith("<fraction>"):
        return f" {folded.replace('⁄', '/')} "
    return character if any(c.isdigit() for c in folded) else folded


def in_digits(text: str) -> str:
    """The text with number words and spoken fractions as digits, tokens one space apart."""
    return " ".join(_Words(tokens(_HYPHENED.sub(_apart, plain(text)))).converted())


def _apart(hyphened: re.Match[str]) -> str:
    """A space for the hyphen of "three-quarter"; that of "six-eight" may mean a range."""
    words = hyphened[1], hyphened[2]
    number = all(word in _SMALL or word in _TENS for word in words)
    return f"{words[0]}{'-' if number else ' '}"


class TokenPass:
    """One pass over tokens; ``at`` is the next one to read."""

    def __init__(self, words: list[str]) -> None:
        self.words, self.at = words, 0

    def _peek(self, ahead: int = 0) -> str:
        at = self.at + ahead
        return self.words[at] if at < len(self.words) else ""


class _Words(TokenPass):
    def __init__(self, words: list[str]) -> None:
        super().__init__([])
        for word in words:  # "fortyish" is "forty ish"
            stem = word.removesuffix("ish")
            known = stem != word and (stem in _SMALL or stem in _TENS or stem in UNIT_WORDS)
            self.words += [stem, "ish"] if known else [word]

    def converted(self) -> list[str]:
        out: list[str] = []
        while self.at < len(self.words):
            digits = self._fraction() or self._number()
            if digits or "/" in self._peek():
                out += digits or self._other()
                if self._peek() == "of":  # the "of a" of "three quarters of a metre" says nothing
                    self.at += 2 if self._peek(1) in ("a", "an") else 1
            else:
                out += self._article(out) or self._other()
        return out

    def _other(self) -> list[str]:
        self.at += 1
        return [self.words[self.at - 1]]

    def _fraction(self) -> list[str]:
        """half | a quarter | three quarters, with the 'of a' or 'an' before its unit."""
        count, length = 1, 1
        if self._peek() not in _PARTS:
            first = self._peek()
            count = 1 if first in ("a", "an") else _SMALL.get(first, 0)
            if first.isdecimal() and len(first) < 3 and self._peek(1).endswith("s"):
                count = int(first)
            length = 2
        name = self._peek(length - 1)
        plural = name.endswith("s") or (count == 3 and name == "quarter")  # "three quarter inch"
        if name not in _PARTS or not count or (count > 1 and not plural):
            return []
        self.at += length
        if self._peek() in ("a", "an"):
            self.at += 1
        return [f"{count}/{_PARTS[name]}"]

    def _article(self, before: list[str]) -> list[str]:
        """'an inch' is '1 inch'; the article of '1/2 an inch' says nothing."""
        if self._peek() not in ("a", "an") or not self._peek(1):
            return []
        self.at += 1
        if "/" in self._peek():  # "and a 1/2"
            return self._other()
        if before and "/" in before[-1] and self._peek().isalpha():
            return self._other()
        return ["1"]

    def _number(self) -> list[str]:
        began = self.at
        if self._peek() == "point":
            text = "0"
        elif self._peek().isdecimal() and self._peek(1) == "point":
            text = self._other()[0]
        else:
            whole = self._cardinal()
            if whole is None:
                return []
            text = str(whole)
        if self._peek() == "point":
            start, self.at = self.at, self.at + 1
            decimals = self._digits()
            if decimals:
                return [f"{text}.{decimals}"]
            self.at = start
            if start == began:
                return []
        return [text]

    def _digits(self) -> str:
        """What follows "point": five seven | fifty-seven | 57."""
        if self._peek().isdecimal():
            return self._other()[0]
        digits = ""
        while 0 <= _SMALL.get(self._peek(), 0 if self._peek() == "oh" else -1) < 10:
            digits += str(_SMALL.get(self._other()[0], 0))
        rest = None if digits else self._below_hundred()
        return digits if rest is None else str(rest)

    def _cardinal(self) -> int | None:
        start = self.at
        if self._peek() == "a" and self._peek(1) in ("hundred", "thousand"):
            self.at += 1
        total = self._below_thousand()
        if self._peek() == "thousand":
            self.at += 1
            total = (1 if total is None else total) * 1000 + (self._rest(self._below_thousand) or 0)
        if total is None:
            self.at = start
        return total

    def _below_thousand(self) -> int | None:
        number = None if self._peek() == "hundred" else self._below_hundred()
        if self._peek() == "hundred":
            self.at += 1
            number = 1 if number is None else number
            return number * 100 + (self._rest(self._below_hundred) or 0)
        if number == 1:  # "one fifty-seven", as heights in cm are said
            start = self.at
            if self._peek() == "oh" and 0 < _SMALL.get(self._peek(1), 0) < 10:
                self.at += 2
                return 100 + _SMALL[self.words[self.at - 1]]
            hyphen = self._peek() == "-"
            self.at += hyphen
            tail = self._below_hundred()
            if tail is not None and tail >= (20 if hyphen else 10) and self._peek() not in _PARTS:
                return 100 + tail
            self.at = start
        return number

    def _rest(self, read: Callable[[], int | None]) -> int | None:
        """The number after 'hundred' or 'thousand', with or without 'and'."""
        start = self.at
        if self._peek() == "and":
            self.at += 1
        if self._peek(1) not in _PARTS:
            number = read()
            if number is not None:
                return number
        self.at = start
        return None

    def _below_hundred(self) -> int | None:
        word = self._peek()
        if word in _SMALL:
            self.at += 1
            return _SMALL[word]
        if word not in _TENS:
            return None
        self.at += 1
        ahead = 1 if self._peek() == "-" else 0
        unit = _SMALL.get(self._peek(ahead), 0)
        if 0 < unit < 10 and self._peek(ahead + 1) not in _PARTS:
            self.at += ahead + 1
            return _TENS[word] + unit
        return _TENS[word]
