"""The recipes of the guide, read out of it: the steps, and the files before and after."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

GUIDE = (Path(__file__).parents[2] / "trees" / "GUIDE.md").read_text("utf-8")
FILE = "corner.yaml"
_BLOCK = re.compile(
    r"^(Whole|Before|After|Theirs)(?:, in `([a-z_.]+)`)?:\n\n```(?:yaml|csv)\n(.*?)```$",
    re.M | re.S,
)
WHOLES = {
    file or FILE: text
    for word, file, text in (found.groups() for found in _BLOCK.finditer(GUIDE))
    if word == "Whole"
}
WHOLE = WHOLES[FILE]
BY_EDITOR = ("sources.yaml", "plain_words.yaml")
"""Files that the guide has written with a text editor."""
RECIPES = {
    part.partition("\n")[0].partition(". ")[2]: part
    for part in re.split(r"^## (?=\d+\. )", GUIDE.partition("## When you are done")[0], flags=re.M)[
        1:
    ]
}
_MARKED = re.compile(
    r"(?P<other>Somebody else saves)|"
    r"\*\*(?P<press>[^*]+)\*\*|(?<!\*)\*(?P<field>[^*]+)\*|`(?P<type>[^`]+)`"
)
_KEYS = {"esc": "escape"}


def steps(recipe: str) -> Iterator[tuple[str, str]]:
    """What the numbered lines say to do: a key to press, a field to go to, a text to type; or
    what somebody else does."""
    for line in re.findall(r"^\d+\. (.*(?:\n {3,}.*)*)", recipe, flags=re.M):
        for found in _MARKED.finditer(" ".join(line.split("\n   "))):
            kind = str(found.lastgroup)
            text = found.group(kind)
            if kind == "press":
                text = _KEYS.get(text.casefold(), text.casefold())
            yield kind, text


def begun(recipe: str) -> Mapping[str, str]:
    """The files as they are at the beginning."""
    blocks = [match.groups() for match in _BLOCK.finditer(recipe)]
    named = {file or FILE for _, file, _ in blocks}
    written = {file: text for word, file, text in blocks if word == "After" and file in BY_EDITOR}
    return {**{file: text for file, text in WHOLES.items() if file in {FILE, *named}}, **written}


def shown(recipe: str, end: str = "After") -> Mapping[str, str]:
    """The files as the guide shows them at the end: each Before replaced by its After.

    With ``end`` "Theirs", as somebody else saves them meanwhile.
    """
    texts = dict(begun(recipe))
    blocks = [match.groups() for match in _BLOCK.finditer(recipe)]
    for file in {file for _, file, _ in blocks}:
        before = [text for word, one, text in blocks if (word, one) == ("Before", file)]
        after = [text for word, one, text in blocks if (word, one) == (end, file)]
        if not before:
            texts.update(dict.fromkeys([file] if after else [], "".join(after)))
            continue
        for old, new in zip(before, after, strict=True):
            text = texts[file or FILE]
            assert text.count(old) == 1, f"this stands {text.count(old)} times:\n{old}"
            texts[file or FILE] = text.replace(old, new)
    return texts
