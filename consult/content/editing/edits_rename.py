"""Rename a question everywhere in a folder of trees."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from consult.content.editing.edits import set_value, with_key
from consult.content.editing.patching import (
    Patch,
    Refused,
    changed,
    data_with,
    spans_of,
)
from consult.marked.marks import Steps
from consult.marked.plain import block_at
from consult.problems import listed
from consult.tree.folder import includes
from consult.tree.model import END

NAME_FORM = re.compile(r"[a-z][a-z0-9_]{0,59}")
"""What names look like in trees."""
_PLACES = ("next", "go", "otherwise", "first", "after_stop", "best_of")
_CONDITIONS = ("when", "skip_when", "ask_when", "open_when", "then", "adjusts")
NAMED_PARTS = {"cautions": "caution", "advice": "advice", "needs": "need"}
"""What a promise calls each."""
_PARTS = ("cautions", "advice", "needs", "always")


def rename(texts: Mapping[str, str], old: str, new: str, file: str | None = None) -> dict[str, str]:
    """All texts, a question or include step named ``new`` in them instead of ``old``.

    Routes, conditions and blanks follow, in every tree that shares questions with ``file``, where
    the question stands; it need only be said where several files have one of that name. Where a
    sub-tree speaks of a question that each of two trees has, both are renamed. Kept calls and demo
    calls go on under the name they were led with.
    """
    # All that conditions need is not wanted before somebody renames.
    from consult.tree.condition import RESERVED

    datas = {name: _data(text) for name, text in texts.items() if name.endswith(".yaml")}
    home = _home(datas, old, file)
    if new == old:
        return dict(texts)
    _refuse_odd(new)
    if new in RESERVED or new in (END, "contact"):
        raise Refused(f"A question cannot be called '{new}', because the word has another meaning.")
    broken = sorted(name for name, data in datas.items() if data is None)
    if broken:
        raise Refused(f"Correct {listed(broken)} first, because it cannot be read.")
    trees = {name: data for name, data in datas.items() if "tree" in data}
    homes, shared = _together(trees, home, old)
    for name in sorted(shared):
        _refuse_taken(datas[name], name, new)
    # What simulated callers say goes with the question, unless another tree has one so called.
    alone = not any(old in block_at(trees[name], "questions") for name in trees.keys() - homes)
    callers = {n for n, data in datas.items() if alone and "callers" in data}
    renamed = dict(texts)
    for name in shared:
        renamed[name] = renamed_in(texts[name], old, new, own=name in homes)
    if any(trees[name].get("works_out") == "fitting" for name in shared):
        for name in (name for name, data in datas.items() if "fitting" in data):
            renamed[name] = _in_fitting(texts[name], old, new)
    for name in callers:
        asked = block_at(datas[name], "questions")
        if old in asked and new not in asked:
            renamed[name] = with_key(texts[name], ("questions", old), new)
    return renamed


def rename_part(
    texts: Mapping[str, str], file: str, part: str, old: str, new: str
) -> dict[str, str]:
    """All texts, a caution, advice or need of ``file`` named ``new`` in them instead of ``old``.

    What is promised of it (``always``) and what must not be said with it follow.
    """
    _refuse_odd(new)
    trees = _trees(texts)
    taken_in = (_taken_in(trees, name) for name in trees)
    shared = set[str]().union(*(files for files in taken_in if file in files))
    renamed = dict(texts)
    for name in sorted(shared):
        here = [item.get("name") for item in trees[name].get(part) or [] if isinstance(item, dict)]
        if new in here:
            raise Refused(f"{name} already has '{new}' among its {part}. Choose another name.")
        for steps, value in _texts(trees[name], ()):
            pattern = _of_part(steps, part, old, own=name == file)
            if pattern is not None and pattern.search(value):
                renamed[name] = _put(renamed[name], steps, pattern, new)
    return renamed


def _refuse_odd(name: str) -> None:
    if not NAME_FORM.fullmatch(name):
        message = "Names have small letters, digits and underscores, and start with a letter."
        raise Refused(f"{message} At most 60.")


def _of_part(steps: Steps, part: str, old: str, *, own: bool) -> re.Pattern[str] | None:
    """What to look for at a place that may speak of a part; None where none may."""
    if steps[0] == "always" and steps[-1] in ("when", "then"):
        return re.compile(rf"(?<=\b{NAMED_PARTS[part]}\.){re.escape(old)}(?!\w)")
    is_name = own and steps[0] == part and steps[2:] == ("name",)
    is_other = part == "advice" and steps[0] == part and steps[2:3] == ("contradicts",)
    return re.compile(rf"^{re.escape(old)}$") if is_name or is_other else None


def trees_with(texts: Mapping[str, str], file: str, question: str = "") -> frozenset[str]:
    """The trees, as calls name them, in which a file is asked; of a question, all that is renamed
    with it."""
    trees = _trees(texts)
    homes = _together(trees, file, question)[0] if question else {file}
    return frozenset(str(trees[n]["tree"]) for n in trees if _taken_in(trees, n) & homes)


def _trees(texts: Mapping[str, str]) -> dict[str, Any]:
    """What each tree says that can be read."""
    datas = {name: _data(text) or {} for name, text in texts.items() if name.endswith(".yaml")}
    return {name: data for name, data in datas.items() if "tree" in data}


def _data(text: str) -> Any:
    try:
        return spans_of(text).data
    except Refused:
        return None


def _home(datas: Mapping[str, Any], old: str, file: str | None) -> str:
    trees = {name: data for name, data in datas.items() if "tree" in block_at(data)}
    having = [name for name, data in trees.items() if old in block_at(data, "questions")]
    if file is not None:
        if file not in having:
            raise Refused(f"There is no question '{old}' in {file}.")
        return file
    if not having:
        raise Refused(f"There is no question '{old}'.")
    if len(having) > 1:
        raise Refused(f"'{old}' is a question in {listed(having)}. Choose one.")
    return having[0]


def _taken_in(datas: Mapping[str, Any], name: str) -> set[str]:
    """A file and all that it includes, directly or not."""
    taken: set[str] = set()
    todo = [name]
    while todo:
        file = todo.pop()
        if file in taken or file not in datas:
            continue
        taken.add(file)
        todo += [f"{name}.yaml" for name in includes(datas[file])]
    return taken


def _together(trees: Mapping[str, Any], home: str, old: str) -> tuple[set[str], set[str]]:
    """Where questions of this name stand that must be renamed together, and in which files.

    A file shares one set of names with all that its trees take in. Where a sub-tree that speaks of
    the question is taken in by another main tree too, it speaks of that tree's question as well.
    """
    every = {name: _taken_in(trees, name) for name in trees}
    homes = {home}
    while True:
        shared = set().union(*(files for files in every.values() if files & homes))
        speaking = {name for name in shared if any(_mentions(trees[name], old))}
        reached = set().union(*(files for files in every.values() if files & speaking))
        more = {name for name in reached if old in block_at(trees[name], "questions")}
        if more <= homes:
            return homes, shared
        homes |= more


def _refuse_taken(data: Any, name: str, new: str) -> None:
    if new in block_at(data, "questions"):
        raise Refused(f"{name} already has a question '{new}'. Choose another name.")
    steps = block_at(data, "questions").values()
    if any(new == str(choice) for step in steps for choice in block_at(step, "choices")):
        message = f"'{new}' is the name of a choice in {name}, so conditions could not tell which"
        raise Refused(f"{message} you mean. Choose another name.")


def _mentions(data: Any, old: str) -> Iterator[tuple[Steps, re.Pattern[str]]]:
    """Where a file speaks of the question: the way to the value, and what to look for in it."""
    word = re.compile(rf"(?:(?<![\w.])|(?<=\basked\.)){re.escape(old)}(?!\w)")
    # Alone or in a sum, which may go over several lines.
    blank = re.compile(rf"(?<![\w.]){re.escape(old)}(?![\w.])(?=[^<>]*>)")
    whole = re.compile(rf"^{re.escape(old)}$")
    for steps, value in _texts(data, ()):
        last = next((step for step in reversed(steps) if isinstance(step, str)), "")
        part = steps[0]
        if len(steps) == 1 or part == "questions" or part in _PARTS:
            if last in _PLACES and (isinstance(steps[-1], str) or last == "best_of"):
                pattern = whole
            elif last in _CONDITIONS and "choices" not in steps[2:3]:
                pattern = word
            elif part == "questions" or part in _PARTS:
                pattern = blank
            else:
                continue
            if pattern.search(value):
                yield steps, pattern


def _texts(data: Any, steps: Steps) -> Iterator[tuple[Steps, str]]:
    if isinstance(data, str):
        yield steps, data
    elif isinstance(data, dict):
        for name, value in data.items():
            yield from _texts(value, (*steps, name))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _texts(value, (*steps, index))


def renamed_in(text: str, old: str, new: str, *, own: bool) -> str:
    """What a file says of a question under its new name; ``own``: the question stands in it."""
    mentions = list(_mentions(spans_of(text).data, old))
    for steps, pattern in mentions:
        text = _put(text, steps, pattern, new)
    return with_key(text, ("questions", old), new) if own else text


def _in_fitting(text: str, old: str, new: str) -> str:
    """What a fitting is made of, under the new name of a question."""
    data = spans_of(text).data
    word = re.compile(rf"(?<![\w.]){re.escape(old)}(?![\w.])")
    for steps, value in _texts(data.get("quantities"), ("quantities",)):
        if steps[-1] == "from" and word.search(value):
            text = _put(text, steps, word, new)
    return with_key(text, ("usual", old), new) if old in block_at(data, "usual") else text


def _put(text: str, steps: Steps, pattern: re.Pattern[str], new: str) -> str:
    """The name changed inside a value, whose layout stays; written anew where that cannot be."""
    spans = spans_of(text)
    piece, value = spans.pieces[steps], pattern.sub(new, spans.at(steps))
    patch = Patch(piece.start, piece.end, pattern.sub(new, spans.text[piece.start : piece.end]))
    try:
        return changed(text, [patch], data_with(spans.data, steps, lambda _: value))
    except Refused:
        return set_value(text, steps, value)
