"""The recipes of the guide, read out of it: the steps, and the files before and after."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

GUIDE = (Path(__file__).parents[2] / "trees" / "GUIDE.md").read_text("utf-8")
FILE = "corner.yaml"
_BLOCK = re.compile(
    r"^(Whole|Before|After)(?:, in `([a-z_.]+)`)?:\n\n```(?:yaml|csv)\n(.*?)```$", re.M | re.S
)
WHOLE = next(found.group(3) for found in _BLOCK.finditer(GUIDE))
RECIPES = {
    part.partition("\n")[0].partition(". ")[2]: part
    for part in re.split(r"^## (?=\d+\. )", GUIDE.partition("## When you are done")[0], flags=re.M)[
        1:
    ]
}
_MARKED = re.compile(r"\*\*(?P<press>[^*]+)\*\*|(?<!\*)\*(?P<field>[^*]+)\*|`(?P<type>[^`]+)`")
_KEYS = {"esc": "escape"}


def steps(recipe: str) -> Iterator[tuple[str, str]]:
    """What the numbered lines say to do: a key to press, a field to go to, a text to type."""
    for line in re.findall(r"^\d+\. (.*(?:\n {3,}.*)*)", recipe, flags=re.M):
        for found in _MARKED.finditer(" ".join(line.split("\n   "))):
            kind = str(found.lastgroup)
            text = found.group(kind)
            if kind == "press":
                text = _KEYS.get(text.casefold(), text.casefold())
            yield kind, text


def shown(recipe: str) -> Mapping[str, str]:
    """The files as the guide shows them at the end: each Before replaced by its After."""
    found = [match.groups() for match in _BLOCK.finditer(recipe)]
    before = [block for word, _, block in found if word == "Before"]
    after = [block for word, file, block in found if word == "After" and file is None]
    text = WHOLE
    for old, new in zip(before, after, strict=True):
        assert text.count(old) == 1, f"this stands {text.count(old)} times:\n{old}"
        text = text.replace(old, new)
    others = {file: block for word, file, block in found if word == "After" and file is not None}
    return {FILE: text, **others}
