"""What is said aloud: sentences a listener can keep in mind, words a caller knows."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.marked.marks import is_there
from consult.marked.schema import load_followed
from consult.problems import shortened
from consult.tree.draft import Block, Draft
from consult.tree.questions import choices_of

if TYPE_CHECKING:
    from consult.marked.marks import Steps, Texts
    from consult.problems import Problem

MOST_WORDS = 30
"""Of a sentence; nobody keeps a longer one in their head. Common practice, no source."""
MOST_IN_QUESTION = 22
"""Of a sentence of a question, which is answered as soon as it is heard. Common practice, no
source."""
MOST_ASKED = 60
"""Words of all that is asked at once. Common practice, no source."""
MOST_REASON = 16
"""Words of a reason: about six seconds of a call. Common practice, no source."""
READING_AGE = 14
"""Where the tree names no other. Common practice, no source."""

_SHOWN = 3
_READ = {
    "topics": ("title", "changes"),
    "questions": ("ask", "coach"),
    "cautions": ("say",),
    "advice": ("say", "because"),
    "needs": ("because",),
}
"""Part of a file -> what of it is read aloud, or shown to people who are on the telephone."""


def check_spoken(path: Path, draft: Draft) -> None:
    """Note sentences, questions and reasons that are too long, files that are hard to follow, and
    words that have a better one in the list beside the tree."""
    words = _plain_words(path, draft)
    for file, top in draft.tops.items():
        spoken: list[SizedSentence] = []
        for block, key in _spoken(file, top, draft):
            sized_sentences = sentences(block.text(key) or "")
            spoken += sized_sentences
            _check_length(block, key, sized_sentences, draft)
            allowed = {
                sentence.offset
                for sentence in sized_sentences
                if _begins_with_whoever(block, key, sentence, draft)
            }
            _check_words(block, (key,), words, draft, but=allowed)
        for block, steps in _labels(file, top, draft):
            _check_words(block, steps, words, draft)
        _check_age(top, spoken, draft)


def _plain_words(path: Path, draft: Draft) -> PlainWords:
    file = path.with_name(PLAIN_WORDS_FILE)
    if not is_there(file, draft.texts):
        return PlainWords({})
    words, problems = load_plain_words(file, draft.texts)
    draft.files.append(str(file))
    draft.problems += problems
    return words or PlainWords({})


def _spoken(file: str, top: Block, draft: Draft) -> Iterator[tuple[Block, str]]:
    """Whole sentences: what the reading age is worked out from."""
    for name, block in draft.questions.items():
        if draft.home[name] == file:
            yield from ((block, key) for key in _READ["questions"])
    for block in draft.topics.values() if top is draft.top else ():
        yield from ((block, key) for key in _READ["topics"])
    for part in ("cautions", "advice", "needs"):
        yield from ((block, key) for block in draft.blocks_of(top, part) for key in _READ[part])


def _labels(file: str, top: Block, draft: Draft) -> Iterator[tuple[Block, tuple[str, ...]]]:
    """Words that people read, but that are no sentences of the call."""
    yield top, ("title",)
    for name, block in draft.questions.items():
        if draft.home[name] == file:
            yield from ((block, ("choices", choice)) for choice in choices_of(block))
    for block in draft.blocks_of(top, "advice"):
        yield block, ("employer",)


def _check_length(block: Block, key: str, sized: Sequence[SizedSentence], draft: Draft) -> None:
    most = MOST_IN_QUESTION if key == "ask" else MOST_WORDS
    for sentence in sized:
        if sentence.words > most:
            message = f"The sentence '{shortened(sentence.text)}' has {sentence.words} words."
            where, fix = (
                block.inside((key,), sentence.offset),
                f"Split it; use at most {most} words.",
            )
            draft.says(where, "long-sentence", message, fix, warning=True)
    words = sum(sentence.words for sentence in sized)
    if key == "ask" and words > MOST_ASKED:
        message = f"This question has {words} words, which is too long to remember."
        fix = f"Ask it in two questions of less than {MOST_ASKED} words, or move the instructions"
        draft.says(block.place("ask"), "long-ask", message, f"{fix} to coach.", warning=True)
    if key == "because" and words > MOST_REASON:
        message = f"This reason has {words} words."
        fix = f"Say in at most {MOST_REASON} what happens to the person, or leave it out."
        draft.says(block.place("because"), "long-reason", message, fix, warning=True)


def _begins_with_whoever(block: Block, key: str, sentence: SizedSentence, draft: Draft) -> bool:
    if sentence.text.split(maxsplit=1)[0].casefold() != "whoever":
        return False
    where = block.inside((key,), sentence.offset)
    message = "Nobody starts a sentence with 'Whoever' when they talk."
    fix = "Speak to the person who listens: If you ..., you ..."
    draft.says(where, "whoever", message, fix, warning=True)
    return True


def _check_words(
    block: Block, steps: Steps, words: PlainWords, draft: Draft, but: Set[int] = frozenset()
) -> None:
    """``but``: where something has been said already."""
    for offset, phrase, better in words.found(block.text(*steps) or ""):
        if offset not in but:
            message = f"There is a plainer word for '{shortened(' '.join(phrase.split()))}'."
            where = block.inside(steps, offset)
            draft.says(where, "plain-word", message, f"Better: {better}.", warning=True)


def _check_age(top: Block, sized: list[SizedSentence], draft: Draft) -> None:
    asked = draft.top.text("reading_age") if draft.top else None
    limit = int(asked) if asked and asked.isascii() and asked.isdigit() else READING_AGE
    years = age(score(sized))
    if years <= limit or sum(sentence.words for sentence in sized) < FEW_WORDS:
        return
    by_score = sorted(
        {sentence.text: -score([sentence]) for sentence in sized}.items(), key=lambda pair: pair[1]
    )
    shown = "; ".join(f"'{shortened(text)}'" for text, _ in by_score[:_SHOWN])
    words = f"The spoken text of this file has a reading age of {years}. The limit is {limit}."
    fix = f"Use shorter words and sentences. The hardest: {shown}."
    draft.says(top.key("questions"), "hard-to-follow", words, fix, warning=True)


# -- how hard a text is to understand: the age at which it is read with ease ----------------------
# The Automated Readability Index counts letters, words and sentences: 4.71 x letters / words +
# 0.5 x words / sentences - 21.43, rounded up. R. J. Smith and E. A. Senter, Automated
# Readability Index, AMRL-TR-66-220, Aerospace Medical Research Laboratories, 1967. That a score
# of 1 is read at five to six, 2 at six to seven, and so on to 14 for adults, is the usual table
# beside it, from memory.

FEW_WORDS = 100
"""Below this a score says little about a text; common practice, no source."""

_SENTENCE = re.compile(r"[^.!?\n]+(?:[.!?]+(?![\s\"')\]]|$)[^.!?\n]*)*[.!?]*[\"')\]]*")
_BLANK = re.compile(r"<[^<>\n]*>")
_WORD = re.compile(r"[^\s]*[^\W_][^\s]*")


@dataclass(frozen=True, slots=True)
class SizedSentence:
    text: str
    offset: int
    """Where it begins in its text, from 0."""
    words: int
    letters: int
    """Letters and digits."""


# The editor checks after every key, and all texts but one are as they were.
@lru_cache(maxsize=8192)
def sentences(text: str) -> Sequence[SizedSentence]:
    """The sentences of a text; a blank to fill in counts as one short word."""
    said_in_it: list[SizedSentence] = []
    for match in _SENTENCE.finditer(text):
        sentence = match.group()
        plain = _BLANK.sub("that", sentence)
        words = _WORD.findall(plain)
        if words:
            offset = match.start() + len(sentence) - len(sentence.lstrip())
            letters = sum(map(str.isalnum, plain))
            said_in_it.append(SizedSentence(sentence.strip(), offset, len(words), letters))
    return said_in_it


def score(sized: Sequence[SizedSentence]) -> float:
    """The index of all the sentences together; of none, nothing."""
    words = sum(sentence.words for sentence in sized)
    letters = sum(sentence.letters for sentence in sized)
    return 4.71 * letters / words + 0.5 * words / len(sized) - 21.43 if words else 0.0


def age(of_score: float) -> int:
    """Years of age at which a text of this score is read with ease: 6 to 19, the table's ends."""
    return min(max(1, math.ceil(of_score)), 14) + 5


# -- words that the trees do without, each with a better one: a file that the content lead edits --

PLAIN_WORDS_FILE = "plain_words.yaml"
PLAIN_WORDS = "plain_words"
"""What such a file begins with."""
_SCHEMA = Path(__file__).with_name("plain_words.schema.json")


@dataclass(frozen=True, eq=False)
class PlainWords:
    """Word or phrase, in small letters -> what to say instead."""

    better: Mapping[str, str]

    def found(self, text: str) -> Sequence[tuple[int, str, str]]:
        """Where in a text a word of the list stands: offset, the word there, what is better.

        Whole words only, small or capital, over a line break too; of two that begin alike the
        longer.
        """
        return _found(self, text)

    @cached_property
    def words(self) -> tuple[str, ...]:
        """The longest first, so that of two that begin alike it is tried first."""
        return tuple(sorted(self.better, key=len, reverse=True))

    @cached_property
    def folded(self) -> tuple[str, ...]:
        """Their bare letters."""
        return tuple(words.casefold() for words in self.better)

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """Any of them, each a group of its own."""
        words = (r"\s+".join(map(re.escape, words.split(" "))) for words in self.words)
        of_each = "|".join(f"({word})" for word in words)
        return re.compile(rf"(?<![\w'-])(?:{of_each})(?![\w'-])", re.IGNORECASE)


@lru_cache(maxsize=16384)
def _found(words: PlainWords, text: str) -> Sequence[tuple[int, str, str]]:
    # Hardly any text has one, and a look at the bare letters tells so at little cost.
    letters = " ".join(text.casefold().split())
    if not any(word in letters for word in words.folded):
        return ()
    better = [words.better[word] for word in words.words]
    matches = words.pattern.finditer(text)
    return [(match.start(), match.group(), better[(match.lastindex or 1) - 1]) for match in matches]


@lru_cache(maxsize=8)
def _same(better: tuple[tuple[str, str], ...]) -> PlainWords:
    """One object for one list, so that what was found with it is remembered."""
    return PlainWords(dict(better))


def load_plain_words(
    path: Path, texts: Texts | None = None
) -> tuple[PlainWords | None, list[Problem]]:
    """Read such a file; None where it has errors, which stand among the problems."""
    marked, problems = load_followed(path, _SCHEMA, texts)
    if marked is None:
        return None, problems
    return _same(tuple(marked.data["words"].items())), problems
