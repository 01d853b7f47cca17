"""An answer by words: one of some choices, several of them, or yes or no."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import TYPE_CHECKING

from consult.problems import listed, nearest
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.tree.model import Question

_YES = frozenset(["y", "yes", "yep", "yeah", "yup", "true", "ok", "okay", "sure"])
_NO = frozenset(["n", "no", "nope", "nah", "false", "none", "never"])
_NONE = _NO | {"not", "nothing", "nobody", "nowhere", "neither"}
"""How the label of a choice begins that says no."""
_NOTHING = re.compile(r"(?:nothing|none|not any)(?: (?:else|more|of (?:these|those|them)|at all))*")
_CIVIL = {
    *("thanks", "thank", "you", "please", "of", "course", "that's", "that", "is", "it's"),
    *("right", "fine", "go", "on", "ahead", "then"),
}
"""Words beside a yes or no that change nothing."""
_WHO = {"i", "he", "she", "they", "it"}
_CIVIL_YES = {"do", "am", "does", "can", "will", "are", "by", "all", "means", "absolutely", *_WHO}
_CIVIL_NO = {"not", "i'm", "don't", "doesn't", "isn't", "won't", "can't", "aren't", *_WHO}
_TELLING = 4
"""Letters that are enough to find a choice by words from the middle of its label."""
_LEADING = re.compile(
    r"^(?:(?:i|we|she|he|they|it|it's|i'm|am|is|are|that's|just|only|usually|mostly|wear|wearing|wears"
    r"|in|my|her|his|a|an|the|got|have|i've|about|probably|erm|um|oh|well)[ ,]+)+"
)


def bare_words(text: str) -> str:
    """The text in small letters, without the signs around it and double blanks."""
    return " ".join(text.replace("\u2019", "'").lower().strip(" .!").split())


def yes_no(text: str) -> bool:
    """Yes or no, alone or with words that change nothing; consent hangs on it.

    "no arms, casters for hard floor" answers another question, and "ok, no" is no clear yes.
    """
    first, *rest = re.findall(r"[^\W\d_]+(?:'[^\W\d_]+)*|[^\W_]", bare_words(text)) or [""]
    said = {first, *rest}
    for yes, words, civil in ((True, _YES, _CIVIL_YES), (False, _NO, _CIVIL_NO)):
        if first in words and said <= words | _CIVIL | civil:
            return yes
    raise Unclear("Yes or no? (y or n will do)")


def is_yes_or_no(text: str) -> bool:
    """Whether a text says no more than yes or no."""
    with suppress(Unclear):
        yes_no(text)
        return True
    return False


def one_choice(question: Question, text: str) -> str:
    """The choice that was meant, by name; raises Unclear."""
    found = _match(question, text)
    if found is not None:
        return found
    parts = _parts(text)
    if len(parts) > 1 and all(_match(question, part) for part in parts):
        raise Unclear("Only one of these can be chosen. Which one fits best?")
    raise _no_such(question, text)


def several_choices(question: Question, text: str) -> frozenset[str]:
    """The choices that were meant, by name; raises Unclear."""
    whole = _match(question, text, scattered=False)
    chosen: list[str] = []
    for part in [text] if whole else _parts(text):
        found = _match(question, part)
        if found is None:
            raise _no_such(question, part)
        chosen.append(found)
    if not chosen:
        raise _no_such(question, text)
    alone = question.exclusive
    if alone in chosen and len(set(chosen)) > 1:
        raise Unclear(
            f"“{question.choices[alone]}” cannot be chosen with another answer. Which is right?"
        )
    return frozenset(chosen)


def _parts(text: str) -> list[str]:
    """The pieces of "1, 3 and 5" or "1 3 5"."""
    pieces = [
        piece.strip() for piece in re.split(r"[,;+&\n]|\band\b", text, flags=re.I) if piece.strip()
    ]
    split: list[str] = []
    for piece in pieces:
        figures = piece.split()
        split.extend(figures if all(figure.isdecimal() for figure in figures) else [piece])
    return split


def _match(question: Question, text: str, *, scattered: bool = True) -> str | None:
    """A choice by its number, name or label, or by words that only one label begins with; failing
    that, only one name; failing that, that only one label holds; failing that, holds word by word
    ("no, one height") if ``scattered``."""
    names = list(question.choices)
    word = bare_words(text)
    if not word:
        return None
    if word.isdecimal():
        at = int(word) if len(word) < 4 else 0
        return names[at - 1] if 1 <= at <= len(names) else None
    for name, label in question.choices.items():
        if word in (name, name.replace("_", " "), bare_words(label)):
            return name
    if word in _YES | _NO:
        return _agreeing(question, word in _YES)
    begins = [
        name for name, label in question.choices.items() if bare_words(label).startswith(word)
    ] or [name for name in names if name.replace("_", " ").startswith(word)]
    if not begins and len(word) >= _TELLING:
        begins = [
            name
            for name, label in question.choices.items()
            if f" {word}" in f" {bare_words(label)}"
        ]
    # A warning sign is never guessed from scattered words.
    if scattered and not begins and not question.signs and len(word) >= _TELLING:
        parts = [f" {part}" for part in word.replace(",", " ").split()]
        begins = [
            name
            for name, label in question.choices.items()
            if all(part in f" {bare_words(label)}" for part in parts)
        ]
    if not begins and not question.signs:
        return _in_many_words(question, word)
    return begins[0] if len(begins) == 1 else None


def _agreeing(question: Question, yes: bool) -> str | None:
    """The one choice that a bare yes or no can mean; "no" never means "Now and then"."""
    first = _YES if yes else _NONE
    names = [
        name
        for name, label in question.choices.items()
        if re.split(r"[^\w']", bare_words(label), maxsplit=1)[0] in first
    ]
    if len(names) > 1 and question.exclusive in names and not yes:
        return question.exclusive
    return names[0] if len(names) == 1 else None


def _in_many_words(question: Question, word: str) -> str | None:
    """A choice in a sentence: "no thanks", "nothing else", "my lower back"."""
    with suppress(Unclear):
        return _agreeing(question, yes_no(word))
    if _NOTHING.fullmatch(word):
        return _agreeing(question, yes=False)
    bare = without_lead(word)
    return _match(question, bare) if bare != word else None


def _no_such(question: Question, text: str) -> Unclear:
    word = bare_words(text)
    begins = [
        label for label in question.choices.values() if word and bare_words(label).startswith(word)
    ]
    if not begins and len(word) >= _TELLING:
        begins = [
            label for label in question.choices.values() if f" {word}" in f" {bare_words(label)}"
        ]
    shown = text.strip()[:40]
    if len(begins) > 1:
        return Unclear(f"“{shown}” could be {listed(begins)}. Type more letters, or the number.")
    if word in _YES | _NO:
        return Unclear(f"“{shown}” does not say which. Type a number or the first letters.")
    labels = {label.lower(): label for label in question.choices.values()}
    close = nearest(word[:60], labels)
    hint = close or f"Type a number from 1 to {len(labels)}, or the first letters."
    return Unclear(f"“{shown}” is not one of the answers. {hint}")


def without_lead(text: str) -> str:
    """The text without "it's about", "my" and the like before it."""
    return _LEADING.sub("", text)
