"""How hard a text is to understand: its sentences, and the age at which it is read with ease.

The Automated Readability Index counts letters, words and sentences:
4.71 x letters / words + 0.5 x words / sentences - 21.43, rounded up. R. J. Smith and E. A. Senter,
Automated Readability Index, AMRL-TR-66-220, Aerospace Medical Research Laboratories, 1967. That
a score of 1 is read at five to six, 2 at six to seven, and so on to 14 for adults, is the usual
table beside it, from memory.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

FEW_WORDS = 100
"""Below this a score says little about a text; common practice, no source."""

_SENTENCE = re.compile(r"[^.!?\n]+(?:[.!?]+(?![\s\"')\]]|$)[^.!?\n]*)*[.!?]*[\"')\]]*")
_BLANK = re.compile(r"<[^<>\n]*>")
_WORD = re.compile(r"[^\s]*[^\W_][^\s]*")


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence with its size."""

    text: str
    offset: int
    """Where it begins in its text, from 0."""
    words: int
    letters: int
    """Letters and digits."""


def sentences(text: str) -> Iterator[Sentence]:
    """The sentences of a text; a blank to fill in counts as one short word."""
    for found in _SENTENCE.finditer(text):
        said = found.group()
        plain = _BLANK.sub("that", said)
        words = _WORD.findall(plain)
        if words:
            offset = found.start() + len(said) - len(said.lstrip())
            letters = sum(map(str.isalnum, plain))
            yield Sentence(said.strip(), offset, len(words), letters)


def score(said: Sequence[Sentence]) -> float:
    """The index of all the sentences together; of none, nothing."""
    words = sum(each.words for each in said)
    letters = sum(each.letters for each in said)
    return 4.71 * letters / words + 0.5 * words / len(said) - 21.43 if words else 0.0


def age(of_score: float) -> int:
    """Years of age at which a text of this score is read with ease: 6 to 19, the table's ends."""
    return min(max(1, math.ceil(of_score)), 14) + 5
