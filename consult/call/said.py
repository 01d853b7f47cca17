"""An answer by words: one of some choices, several of them, yes or no, or a date."""

from __future__ import annotations

import calendar
import re
from contextlib import suppress
from datetime import date, timedelta
from difflib import get_close_matches
from typing import TYPE_CHECKING

from consult.hearing.spoken import in_digits, plain
from consult.problems import listed
from consult.units import Proposal, Unclear

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.tree.model import Question

_YES = frozenset(["y", "yes", "yep", "yeah", "yup", "true", "ok", "okay", "sure"])
_NO = frozenset(["n", "no", "nope", "nah", "false", "none", "never"])
_NONE = _NO | {"not", "nothing", "nobody", "nowhere", "neither"}
"""How the label of a choice begins that says no."""
_NO_MORE = re.compile(r"(?:nothing|none|no) (?:else|more)|that's (?:all|it)")
"""What may follow the choices that were named, and is none."""
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
_ALIKE = 0.7
"""How like a label a slip of it is; "parquet" is no carpet."""
_FEW = 3
"""Choices that are proposed at most; more are sooner found on the list."""
_DENIES = re.compile(
    r"\b(?:no|not|never|none|nothing|nobody|without|except|but|neither|nor|\w+n't)\b", re.I
)
_WORD = re.compile(r"[^\W\d_]+")
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
    given = {first, *rest}
    for yes, words, civil in ((True, _YES, _CIVIL_YES), (False, _NO, _CIVIL_NO)):
        if first in words and given <= words | _CIVIL | civil:
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
    match = _match(question, text)
    if match is not None:
        return match
    meant = [_match(question, part) for part in _parts(text)]
    if len(meant) > 1 and None not in meant:
        if len(set(meant)) == 1:
            return str(meant[0])
        raise Unclear("Only one of these can be chosen. Which one fits best?")
    raise _no_such(question, text)


def choice_of_doubt(question: Question, text: str) -> str | None:
    """The choice, by name, that is meant by "not sure" and the like; None where there is none."""
    return question.doubt or (_match(question, text) if question.choices else None)


def several_choices(question: Question, text: str) -> frozenset[str]:
    """The choices that were meant, by name; raises Unclear."""
    whole = _match(question, text, scattered=False)
    parts = [text] if whole else _parts(text)
    if len(parts) > 1 and _NO_MORE.fullmatch(bare_words(parts[-1])):
        del parts[-1]
    choices = [_match(question, part) for part in parts]
    if None in choices:
        at = choices.index(None)
        # A reading of one part is no answer where another part is not clear either.
        beside = (parts[:at], parts[at + 1 :]) if choices.count(None) == 1 else None
        raise _no_such(question, parts[at], beside)
    chosen = [choice for choice in choices if choice is not None]
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
    begins = _begun(question, word) or [
        name for name in names if name.replace("_", " ").startswith(word)
    ]
    begins = _and_holding(question, word, begins)
    # A warning sign is never guessed from scattered words.
    if scattered and not begins and not _read_out(question) and len(word) >= _TELLING:
        parts = [f" {part}" for part in word.replace(",", " ").split()]
        begins = [
            name
            for name, label in question.choices.items()
            if all(part in f" {bare_words(label)}" for part in parts)
        ]
    if not begins:
        return _in_many_words(question, word)
    return begins[0] if len(begins) == 1 else None


def _read_out(question: Question) -> bool:
    """Whether it is a list of warning signs, of which none is ever guessed."""
    return bool(question.signs) or question.doubt is not None


def _begun(question: Question, word: str) -> list[str]:
    """The choices whose labels begin so, by name."""
    return [name for name, label in question.choices.items() if bare_words(label).startswith(word)]


def _and_holding(question: Question, word: str, begins: list[str]) -> list[str]:
    """Where nothing begins with the word, the choices in whose labels it stands; never for a few
    letters. In a list of signs both: "numb" begins one sign and stands within another.
    """
    if len(word) < _TELLING or (begins and not _read_out(question)):
        return begins
    holding = (n for n, label in question.choices.items() if f" {word}" in f" {bare_words(label)}")
    return list(dict.fromkeys([*begins, *holding]))


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
    if _NOTHING.fullmatch(word):
        return _agreeing(question, yes=False)
    if _read_out(question):
        # "No thanks" may mean that they will not hear the list.
        return None
    with suppress(Unclear):
        return _agreeing(question, yes_no(word))
    bare = without_lead(word)
    return _match(question, bare) if bare != word else None


def _no_such(
    question: Question,
    text: str,
    beside: tuple[Sequence[str], Sequence[str]] | None = ((), ()),
) -> Unclear:
    """What to ask back of a part of an answer that is no choice; with the parts before and after
    it, or None where they are no choices either.

    The choices that share a word with it are proposed; about health only those that stand in it as
    a whole, and never a warning sign, nor one that the words may deny.
    """
    word, shown, labels = bare_words(text), text.strip()[:40], question.choices
    if word in _YES | _NO:
        return Unclear(f"“{shown}” does not say which. Type a number or the first letters.")
    several = _and_holding(question, word, _begun(question, word) if word else [])
    likely = several if len(several) > 1 else _sharing(question, word)
    proposed: tuple[Proposal, ...] = ()
    if beside and not _read_out(question) and len(likely) <= _FEW and not _DENIES.search(text):
        numbers = {name: str(number) for number, name in enumerate(labels, 1)}
        proposed = tuple(
            Proposal(", ".join((*beside[0], numbers[name], *beside[1])), labels[name])
            for name in likely
        )
    if len(several) > 1:
        which = listed(labels[name] for name in several)
        return Unclear(f"“{shown}” could be {which}. Type more letters, or the number.", proposed)
    hint = f"Type a number from 1 to {len(labels)}, or the first letters."
    if proposed:
        hint = f"Did they say {listed(proposal.words for proposal in proposed)}?"
    return Unclear(f"“{shown}” is not one of the answers. {hint}", proposed)


def _sharing(question: Question, word: str) -> list[str]:
    """The choices that alone have a telling word in common with a text; else the most alike."""
    heard = [part for part in _WORD.findall(word[:200]) if len(part) >= _TELLING]
    words = {
        name: _WORD.findall(f"{bare_words(label)} {name.replace('_', ' ')}")
        for name, label in question.choices.items()
        if name != question.exclusive
    }
    if question.private == "health":
        label = {name: f" {bare_words(question.choices[name])} " for name in words}
        choices = {name for name in words if label[name] in f" {word} "}
    else:
        holding = [[n for n, own in words.items() if any(_akin(a, b) for b in own)] for a in heard]
        choices = {names[0] for names in holding if len(names) == 1}
    if not choices:
        by_label = {bare_words(question.choices[name]): name for name in words}
        alike = get_close_matches(word[:60], by_label, n=1, cutoff=_ALIKE)
        choices = {by_label[near] for near in alike}
    return [name for name in words if name in choices]


def _akin(word: str, second: str) -> bool:
    """Whether one word is the other with an ending: "wooden" and "wood"."""
    short, long = sorted((word, second), key=len)
    return len(short) >= _TELLING and long.startswith(short)


def without_lead(text: str) -> str:
    """The text without "it's about", "my" and the like before it."""
    return _LEADING.sub("", text)


# -- dates as callers say them, "next Tuesday" ----------------------------------------------------

_MONTHS = {name.lower(): at for at, name in enumerate(calendar.month_name) if name} | {
    name.lower(): at for at, name in enumerate(calendar.month_abbr) if name
}
_MONTHS["sept"] = 9
_DAYS = {name.lower(): at for at, name in enumerate(calendar.day_name)} | {
    name.lower(): at for at, name in enumerate(calendar.day_abbr)
}
_DAYS |= {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_ASK = "Which date is that? For example 2 December, 2026-12-02, next Tuesday or in 2 weeks."
_FARTHEST_YEARS = 3


def parse_date(text: str, today: date) -> date:
    """The day meant, on or after ``today``; Unclear with a question back where it is not plain.

    Days without a year are the next such day. Figures are day, month, year, as in Europe.
    """
    if len(text) > 60:
        raise Unclear(_ASK)
    text = plain(text).strip(" .,")
    text = re.sub(r"\b(on|the|of|by)\b|(?<=\d)(st|nd|rd|th)\b|,", " ", text)
    text = " ".join(text.replace("weeks' ", "weeks ").replace("days' ", "days ").split())
    day = _relative(text, today) or _weekday(text, today) or _calendar(text, today)
    if day is None:
        raise Unclear(_ASK)
    if day < today:
        raise Unclear(f"{day:%d %B %Y} is in the past. Which future date do you mean?")
    if day.year > today.year + _FARTHEST_YEARS:
        raise Unclear(f"{day:%d %B %Y} is years away. Is the year right?")
    return day


def _relative(text: str, today: date) -> date | None:
    if text in ("today", "tomorrow"):
        return today + timedelta(days=text == "tomorrow")
    if text in ("next week", "in a week"):
        return today + timedelta(weeks=1)
    counted = in_digits(text)
    match = re.fullmatch(
        r"(?:in )?(?:about )?(\d{1,3}) (day|week|fortnight|month)s?(?: time)?", counted
    )
    if not match:
        return None
    count, unit = int(match[1]), match[2]
    if unit == "month":
        months = today.month - 1 + count
        year, month = today.year + months // 12, months % 12 + 1
        return date(year, month, min(today.day, calendar.monthrange(year, month)[1]))
    return today + timedelta(days=count * {"day": 1, "week": 7, "fortnight": 14}[unit])


def _weekday(text: str, today: date) -> date | None:
    """The coming day of a name, or the one a week later for "Tuesday week".

    "Next Friday" said on a Wednesday may be either, so it is asked.
    """
    name = text.removeprefix("next ").removeprefix("this ")
    later = re.fullmatch(r"(\w+) week|a week (\w+)", name)
    if later:
        name = later[1] or later[2]
    if name not in _DAYS:
        return None
    ahead = (_DAYS[name] - today.weekday() - 1) % 7 + 1
    coming = today + timedelta(days=ahead)
    if later:
        return coming + timedelta(weeks=1)
    if text.startswith("next ") and ahead + today.weekday() < 7:
        days = (coming, coming + timedelta(weeks=1))
        shown = [Proposal(f"{day:%Y-%m-%d}", f"{day:%A} {day.day} {day:%B}") for day in days]
        raise Unclear(f"Is that {shown[0].words} or {shown[1].words}?", tuple(shown))
    return coming


def _calendar(text: str, today: date) -> date | None:
    if match := re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", text):
        return _day(int(match[1]), int(match[2]), int(match[3]))
    if match := re.fullmatch(r"(\d{1,2})[-/. ](\d{1,2})(?:[-/. ](\d{4}|\d{2}))?", text):
        return _coming(int(match[1]), int(match[2]), match[3], today)
    words = text.split()
    months = [_MONTHS[word] for word in words if word in _MONTHS]
    figures = [word for word in words if word.isdecimal() and len(word) <= 4]
    if len(months) == 1 and len(figures) in (1, 2) and len(months) + len(figures) >= len(words) - 1:
        leftover = [word for word in words if word not in _MONTHS and word not in figures]
        if all(word in _DAYS for word in leftover):
            year = figures[1] if len(figures) == 2 else None
            day = _coming(int(figures[0]), months[0], year, today)
            if day and leftover and day.weekday() != _DAYS[leftover[0]]:
                raise Unclear(f"{day:%d %B %Y} is a {day:%A}. Which day do you mean?")
            return day
    return None


def _coming(day: int, month: int, year: str | None, today: date) -> date | None:
    if year is not None:
        return _day(int(year) + (2000 if len(year) == 2 else 0), month, day)
    this_year = _day(today.year, month, day)
    if this_year and this_year < today:
        return _day(today.year + 1, month, day)
    return this_year or _day(today.year + 1, month, day)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
