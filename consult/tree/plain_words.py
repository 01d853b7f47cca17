"""Words that the trees do without, each with a better one: a file that the content lead edits."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.marked.schema import load_followed

if TYPE_CHECKING:
    from consult.marked.marks import Texts
    from consult.problems import Problem

FILE = "plain_words.yaml"
KEY = "plain_words"
"""What such a file begins with."""
SCHEMA = Path(__file__).with_name("plain_words.schema.json")


@dataclass(frozen=True, eq=False)
class PlainWords:
    """Word or phrase, in small letters -> what to say instead."""

    better: Mapping[str, str]

    def found(self, text: str) -> Iterator[tuple[int, str, str]]:
        """Where in a text a word of the list stands: offset, the word there, what is better.

        Whole words only, small or capital, over a line break too; of two that begin alike the
        longer.
        """
        yield from _found(self, text) if self.better else ()

    def search(self, text: str) -> Iterator[tuple[int, str, str]]:
        """The same, not remembered."""
        # Hardly any text has one, and a look at the bare letters tells so at little cost.
        letters = " ".join(text.casefold().split())
        if not any(words in letters for words in self._folded):
            return
        for match in self._pattern.finditer(text):
            yield match.start(), match.group(), self.better[self._words[(match.lastindex or 1) - 1]]

    @cached_property
    def _words(self) -> tuple[str, ...]:
        """The longest first, so that of two that begin alike it is tried first."""
        return tuple(sorted(self.better, key=len, reverse=True))

    @cached_property
    def _folded(self) -> tuple[str, ...]:
        return tuple(words.casefold() for words in self.better)

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        words = (r"\s+".join(map(re.escape, words.split(" "))) for words in self._words)
        of_each = "|".join(f"({word})" for word in words)
        return re.compile(rf"(?<![\w'-])(?:{of_each})(?![\w'-])", re.IGNORECASE)


# The editor checks after every key, and all texts but one are as they were.
@lru_cache(maxsize=16384)
def _found(words: PlainWords, text: str) -> tuple[tuple[int, str, str], ...]:
    return tuple(words.search(text))


@lru_cache(maxsize=8)
def _same(better: tuple[tuple[str, str], ...]) -> PlainWords:
    """One object for one list, so that what was found with it is remembered."""
    return PlainWords(dict(better))


def load_plain_words(
    path: Path, texts: Texts | None = None
) -> tuple[PlainWords | None, list[Problem]]:
    """Read such a file; None where it has errors, which stand among the problems."""
    marked, problems = load_followed(path, SCHEMA, texts)
    if marked is None:
        return None, problems
    return _same(tuple(marked.data["words"].items())), problems
