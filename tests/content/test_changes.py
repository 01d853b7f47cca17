"""What differs between two trees, in words: nothing made up, nothing left out."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.content.changes import folders, trees
from consult.content.changes.words import LONGEST_WORDING, moved_members, reworded
from consult.paths import trees_folder
from consult.problems import Where
from consult.tree.condition import Condition, parse_condition
from consult.tree.model import Always, Question, Route, Topic, Tree
from tests.call.calls import HOSTILE, basis_of, small
from tests.content.library.libraries import SHIPPED, write
from tests.long import examples

ROUTES = """\
tree: little
title: A little tree
version: 1
first: fond_of_it
questions:
  fond_of_it:
    ask: Are you fond of it?
    answer: yes-no
    next: [{when: fond_of_it, go: why_so}, {otherwise: bye}]
  why_so: {ask: Why?, answer: text, next: bye}
  bye: {ask: Anything else?, answer: text, next: end}
"""


def changes(old: Tree, new: Tree) -> list[str]:
    """Every difference in words."""
    return [each.text for each in trees.changes(old, new)]


def changed_folders(old: Path, new: Path) -> list[str]:
    """The same of two folders."""
    return [each.text for each in folders.changed_folders(old, new)]


@cache
def tree(name: str = "seating") -> Tree:
    """A shipped main tree."""
    return basis_of(name).tree


@cache
def promising() -> Tree:
    """The shipped tree with something that must always hold."""
    when, then = parse_condition("consent"), parse_condition("known(consent)")
    always = Always("asked_first", Where("a", 1, 1), when, then, "It is the law.", ("our_rule",))
    return replace(tree(), always=(always,))


@pytest.mark.parametrize("name", ["seating", "follow_up"])
def test_a_tree_does_not_differ_from_itself(name: str) -> None:
    """Nor from the same tree loaded from other files."""
    assert changes(tree(name), tree(name)) == []
    elsewhere = replace(tree(name), files=tuple(f"/else/{Path(f).name}" for f in tree(name).files))
    assert changes(tree(name), elsewhere) == []


# -- every edit of a single field is mentioned ---------------------------------------------------

_OTHER: Mapping[str, tuple[Any, ...]] = {
    "answer": ("length", "count"),
    "level": ("note", "refer", "stop"),
    "strength": ("must", "prefer"),
    "private": ("health", "personal", None),
    "measures": ("stature", "weight", None),
    "sets": ("heel", "lenses", None),
    "card": ("seat_height", None),
    "unit": ("mm", "in", None),
    "expect": ((10.0, 20.0), (10.0, 20.5), None),
    "exclusive": ("none", "some", None),
    "contact": ("emergency", "urgent", None),
    "contradicts": (("one",), ("one", "other"), ()),
    "called": (("one",), ("one", "other"), ()),
    "after_stop": ("consent", "who_sits", None),
    "doubt": ("not_sure", "stroke", None),
    "advises": ("a_buyer", "the_sitter"),
    "pool": ("what_decides", None),
    "topic": ("screen", "sharing"),
}
_ASKING = ("skip_when", "ask_when", "when")


def others(name: str, value: Any) -> Iterator[Any]:
    """Values a field could have instead."""
    if name in _OTHER:
        yield from (each for each in _OTHER[name] if each != value)
    elif isinstance(value, bool):
        yield not value
    elif isinstance(value, str):
        yield from (f"{value} more", f"{value}.", value.upper() + "x", f"{value}  ", "zz")
    elif isinstance(value, Condition) or (value is None and name in _ASKING):
        yield from (parse_condition("known(stature)"), parse_condition("stature > 100"))
    elif isinstance(value, Mapping):
        yield from mappings(value)


def mappings(value: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Fewer, more, renamed, in another order, and each with another text."""
    if not value:
        yield {"one": "One"}
        return
    names = list(value)
    yield {name: value[name] for name in names[1:]}
    yield {**value, "brand_new": "Brand new"}
    yield {("renamed" if name == names[0] else name): value[name] for name in names}
    last = value[names[-1]]
    other = replace(last, title=f"{last.title}!") if isinstance(last, Topic) else f"{last}!"
    yield {name: other if name == names[-1] else label for name, label in value.items()}
    if len(names) > 1:
        yield {name: value[name] for name in reversed(names)}


def edits(thing: Any) -> Iterator[tuple[str, Any]]:
    """Every field of a question, a rule or a tree with another value, and what it is called."""
    for field in fields(thing):
        if field.name == "where":
            continue
        value = getattr(thing, field.name)
        if isinstance(value, tuple) and value and is_dataclass(value[0]):
            for changed in lists(value):
                yield field.name, replace(thing, **{field.name: changed})
        elif field.name == "questions":
            for name, asked in value.items():
                for what, edited in edits(asked):
                    if what != "name":
                        yield f"{name}.{what}", replace(thing, questions={**value, name: edited})
            for order in orders(value):
                yield "questions", replace(thing, questions=order)
        elif field.name == "files":
            yield "files", replace(thing, files=(*value, "extra.yaml"))
            yield "files", replace(thing, files=value[:-1])
        elif value is None or not isinstance(value, tuple) or field.name in _OTHER:
            for other in others(field.name, value):
                yield field.name, replace(thing, **{field.name: other})


def lists(value: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    """Cautions, routes and the like: one fewer, turned about, and each field of each edited."""
    yield value[1:]
    yield value[:-1]
    if len(value) > 1:
        yield (*value[1:], value[0])
        yield (value[1], value[0], *value[2:])
    for place, each in enumerate(value):
        for _, edited in edits(each):
            yield (*value[:place], edited, *value[place + 1 :])


def orders(value: Mapping[str, Question]) -> Iterator[Mapping[str, Question]]:
    names = list(value)
    yield {name: value[name] for name in names if name != names[3]}
    yield {name: value[name] for name in (*names[1:], names[0])}
    yield {**value, "brand_new": replace(value[names[0]], name="brand_new", ask="Well?")}
    yield {
        ("brand_new" if name == names[2] else name): replace(
            value[name], name="brand_new" if name == names[2] else name
        )
        for name in names
    }


def everything(start: Tree) -> list[tuple[str, Tree]]:
    return list(edits(start))


@pytest.mark.parametrize("start", [promising, lambda: tree("follow_up")])
def test_every_edit_of_one_field_is_mentioned(start: Any) -> None:
    """Both ways; a few thousand edits, of which a fixed draw is tried."""
    before: Tree = start()
    # What opens a topic follows from the topic, and from the choices of those who open it.
    found = [one for one in everything(before) if not one[0].endswith("gate")]
    assert len(found) > 1500
    kinds = {what.rpartition(".")[2] for what, _ in found}
    model = {field.name for kind in (Tree, Question) for field in fields(kind)} - {"where"}
    # Seconds come from a maker's own calls, not from an edit.
    model -= {"gate", "seconds"}
    assert kinds >= model - {"always", "name"} - ({"needs"} if not before.needs else set())
    drawn = random.Random(11).sample(found, examples(600))
    silent = [
        what
        for what, after in drawn
        if not (told := changes(before, after)) or not all(map(str.strip, told))
    ]
    assert silent == []
    assert [what for what, after in drawn[:60] if not changes(after, before)] == []


def only(after: Tree, before: Tree | None = None) -> str:
    """The one change there is."""
    (told,) = changes(before or tree(), after)
    return told


def asking(name: str, **changed: Any) -> Tree:
    """The shipped tree with one question changed."""
    questions = tree().questions
    return replace(tree(), questions={**questions, name: replace(questions[name], **changed)})


def test_the_words_of_a_change() -> None:
    """As the content lead reads them."""
    assert only(asking("reasons", ask="Why do you ring?")) == (
        "The question 'reasons' now asks “Why do you ring?”; "
        "before it was “What made you ring us today?”."
    )
    assert only(asking("lower_leg", expect=(330.0, 520.0))) == (
        "The question 'lower leg' now expects 33 to 52 cm; before, 32 to 52 cm."
    )
    assert only(asking("heel", private="personal")) == (
        "The question 'heel' now counts as personal data; before, as not private."
    )
    assert only(asking("who_sits", unknown_allowed=True)).endswith("may now be left unknown.")
    choices = dict(tree().questions["reasons"].choices)
    label = choices.pop("chair_worn")
    assert only(asking("reasons", choices=choices)) == (
        f"The choice “{label}” of 'reasons' was removed."
    )
    first = tree().cautions[0]
    lowered = (replace(first, level="note"), *tree().cautions[1:])
    assert only(replace(tree(), cautions=lowered)) == (
        "The caution 'under eighteen' (stop) was lowered from stop to note."
    )


def test_routes_in_words(tmp_path: Path) -> None:
    """Where the call goes, when, and where it went."""
    start = small(tmp_path, ROUTES).tree
    asked = start.questions["fond_of_it"]

    def routed(*routes: Route) -> Tree:
        return replace(
            start, questions={**start.questions, "fond_of_it": replace(asked, routes=routes)}
        )

    told = only(routed(replace(asked.routes[0], go="end"), *asked.routes[1:]), start)
    assert told == (
        "After 'fond of it', the call when the caller says yes to 'fond of it' goes to the end of "
        "the call now; before, to 'why so'."
    )
    known = Route(parse_condition("known(fond_of_it)"), "bye", Where("a", 1, 1))
    told = only(routed(known, *asked.routes), start)
    assert told == "After 'fond of it', a route to 'bye' when 'fond of it' is known is new."


def test_safety_comes_first() -> None:
    """A caution is told before whatever else changed, the version last."""
    after = replace(asking("sex", ask="Whose figures?"), version="9", cautions=tree().cautions[1:])
    told = changes(tree(), after)
    assert "'under eighteen' (stop) was removed" in told[0]
    assert told[-1] == f"The version is now 9; it was {tree().version}."


def test_a_long_wording_shows_what_differs() -> None:
    """Not its beginning, which both have; a line each of reasonable length."""
    words = " ".join(f"word{number}" for number in range(400))
    told = reworded("It", words, words.replace("word200", "other words altogether"))
    assert "other words altogether" in told
    assert "word200" in told
    assert len(told) < 3 * LONGEST_WORDING


@settings(max_examples=examples(200))
@given(st.text(max_size=300) | st.sampled_from(HOSTILE), st.text(max_size=300))
def test_two_wordings_never_read_alike(old: str, new: str) -> None:
    """Whatever was written, some line says that it changed and shows more than one text."""
    if old == new:
        return
    told = reworded("It", old, new)
    assert len(told) < 3 * LONGEST_WORDING + 100
    if " ".join(old.split()) != " ".join(new.split()) and old.strip() and new.strip():
        now, _, before = told.partition("; before it was ")
        assert now.removeprefix("It now says ") != before.removesuffix(".")


@given(st.permutations(range(12)), st.integers(0, 12))
def test_the_fewest_that_moved_are_named(order: list[int], many: int) -> None:
    """Putting back only those named gives the old order; one that moved is one line."""
    old, new = list(range(many)), [each for each in order if each < many]
    named = [each for each, _ in moved_members(old, new, str)]
    assert [each for each in new if each not in named] == [e for e in old if e not in named]
    if many > 2:
        assert len(list(moved_members(old, [*old[1:], old[0]], str))) == 1


@pytest.mark.parametrize(
    ("swapped", "says"),
    [
        ({"180": "160"}, ["The strongest chair is now rated for 160 kg; before, for 180 kg."]),
        ({"180": "200"}, ["The strongest chair is now rated for 200 kg; before, for 180 kg."]),
        ({}, []),
    ],
)
def test_ratings_of_another_range(
    tmp_path: Path, swapped: Mapping[str, str], says: list[str]
) -> None:
    """With new codes for all its parts, what each kind and the strongest chair carry is told."""
    old = (trees_folder() / "range.yaml").read_text("utf-8")
    # Every code is another one, as in the price list of another maker.
    new = re.sub(r"\b(?=[A-Z]+-[A-Z0-9-]+\b)", "X", old)
    for rating, other in swapped.items():
        new = new.replace(f"rating: {rating}", f"rating: {other}")
    before = write(tmp_path / "old", {"range.yaml": old})
    after = write(tmp_path / "new", {"range.yaml": new})
    found = [each for each in folders.changed_folders(before, after) if each.is_safety]
    assert not any(each.weaker for each in found)
    told = [each.text for each in found]
    assert told[:1] == says
    assert len(told) == (len(RATED) if swapped else 0)
    for what in RATED if swapped else ():
        assert any(text.startswith(f"{what} now rated for ") for text in told)


RATED = ["The strongest chair is", "The seats are", "The gas lifts are", "The backs are"]
"""What the shipped range rates for its highest."""


def test_a_rating_that_is_changed_is_told_once(tmp_path: Path) -> None:
    """By its part, and for the whole chair where that carries less; not by its kind as well."""
    text = (trees_folder() / "range.yaml").read_text("utf-8")
    old = write(tmp_path / "old", {"range.yaml": text})
    new = write(tmp_path / "new", {"range.yaml": text.replace("rating: 180", "rating: 150")})
    told = [each for each in changed_folders(old, new) if "rated for" in each]
    assert told[-1] == "The strongest chair is now rated for 150 kg; before, for 180 kg."
    assert all(each.startswith("The part ") for each in told[:-1])


def test_folders(tmp_path: Path) -> None:
    """Versions aside; files beside the trees are named with what they are."""
    assert changed_folders(trees_folder(), trees_folder()) == []
    old = write(tmp_path / "old", {**SHIPPED, "range.yaml": "range: a\n"})
    new = write(tmp_path / "new", SHIPPED)
    for name, text in {
        "seating.yaml": SHIPPED["seating.yaml"].replace("2026.11 ", "2031.01 "),
        "signs.yaml": SHIPPED["signs.yaml"] + "# said\n",
        "contacts.yaml": SHIPPED["contacts.yaml"].replace("999", "112"),
        "summary/caller.md.j2": "# For me\n",
        "summary/card.md.j2": "# Card\n",
    }.items():
        (new / name).write_text(text)
    assert changed_folders(old, new) == [
        "The contact 'emergency' of GB now says “call 112”; before it was “call 999”.",
        "The file range.yaml, the chairs and their prices, was removed.",
        "The file contacts.yaml, whom callers are told to contact, changed.",
        "The file signs.yaml changed only in its comments or layout.",
        "The template summary/caller.md.j2 changed.",
        "The template summary/card.md.j2 is new.",
    ]
    (new / "second.yaml").write_text("tree: [")
    assert f"second.yaml cannot be compared: {new / 'second.yaml'} has mistakes." in (
        " ".join(changed_folders(old, new))
    )
