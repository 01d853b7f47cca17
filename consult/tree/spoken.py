"""What is said aloud: sentences a listener can keep in mind, words a caller knows."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from consult.tree.draft import Block, Draft
from consult.tree.readability import FEW_WORDS, Sentence, age, score, sentences

MOST_WORDS = 30
"""Of a sentence; nobody keeps a longer one in their head. Common practice, no source."""
MOST_ASKED = 60
"""Words of all that is asked at once. Common practice, no source."""
READING_AGE = 14
"""Where the tree names no other. Common practice, no source."""

_SHOWN = 3


def check_spoken(draft: Draft) -> None:
    """Note sentences and questions that are too long, and files that are hard to follow."""
    limit = _limit(draft)
    for file, top in draft.tops.items():
        said: list[tuple[Block, str, Sentence]] = []
        for block, key in _spoken(file, top, draft):
            text = block.text(key)
            if text is None:
                continue
            found = _sentences(text)
            said += [(block, key, each) for each in found]
            if key == "ask":
                _check_asked(block, sum(each.words for each in found), draft)
        for block, key, each in said:
            if each.words > MOST_WORDS:
                _tell_long(block, key, each, draft)
        _check_age(top, [each for _, _, each in said], limit, draft)


@lru_cache(maxsize=8192)
def _sentences(text: str) -> tuple[Sentence, ...]:
    return tuple(sentences(text))


def _spoken(file: str, top: Block, draft: Draft) -> Iterator[tuple[Block, str]]:
    for name, block in draft.questions.items():
        if draft.home[name] == file:
            yield block, "ask"
            yield block, "coach"
    for part in ("cautions", "advice", "needs"):
        for block in draft.blocks_of(top, part):
            yield block, "say"
            yield block, "because"


def _check_asked(block: Block, words: int, draft: Draft) -> None:
    if words <= MOST_ASKED:
        return
    said = f"This question has {words} words, which is too long to remember."
    fix = (
        f"Ask it in two questions of less than {MOST_ASKED} words, or move the instructions to "
        "coach."
    )
    draft.says(block.place("ask"), "long-ask", said, fix, warning=True)


def _tell_long(block: Block, key: str, sentence: Sentence, draft: Draft) -> None:
    where = block.marked.inside((*block.steps, key), sentence.offset)
    said = f"The sentence '{_short(sentence.text)}' has {sentence.words} words."
    draft.says(
        where, "long-sentence", said, f"Split it; use at most {MOST_WORDS} words.", warning=True
    )


def _check_age(top: Block, said: list[Sentence], limit: int, draft: Draft) -> None:
    if sum(each.words for each in said) < FEW_WORDS:
        return
    found = age(score(said))
    if found <= limit:
        return
    by_score = sorted({each.text: -score([each]) for each in said}.items(), key=lambda one: one[1])
    shown = "; ".join(f"'{_short(text)}'" for text, _ in by_score[:_SHOWN])
    words = f"The spoken text of this file has a reading age of {found}. The limit is {limit}."
    fix = f"Use shorter words and sentences. The hardest: {shown}."
    draft.says(top.key("questions"), "hard-to-follow", words, fix, warning=True)


def _limit(draft: Draft) -> int:
    text = draft.top.text("reading_age") if draft.top else None
    return int(text) if text is not None and text.isascii() and text.isdigit() else READING_AGE


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:57]}..."
