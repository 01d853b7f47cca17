"""Every recipe of the guide is followed, and what the guide shows is what comes of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from consult.content.editing.edits import add_item, delete, move, set_value
from consult.content.editing.edits_groups import add_pool, add_topic, into_pool, new_tree
from consult.content.editing.edits_questions import (
    add_advice,
    add_caution,
    add_choice,
    add_include,
    add_need,
    add_question,
    add_route,
)
from consult.content.editing.edits_rename import rename
from consult.fit.range_model import FEATURES
from consult.tree.check import check_tree
from consult.ui.edit.adding import ADDED
from consult.ui.edit.fields import FIELDS
from consult.ui.edit.keys import KEYS

GUIDE = (Path(__file__).parents[2] / "trees" / "GUIDE.md").read_text("utf-8")
FILE = "corner.yaml"
_BLOCK = re.compile(
    r"^(Whole|Before|After)(?:, in `([a-z_.]+)`)?:\n\n```yaml\n(.*?)```$", re.M | re.S
)
Texts = Mapping[str, str]

WHOLE = next(found.group(3) for found in _BLOCK.finditer(GUIDE))
RECIPES = {
    part.partition("\n")[0].partition(". ")[2]: part
    for part in re.split(r"^## (?=\d+\. )", GUIDE.partition("## When you are done")[0], flags=re.M)[
        1:
    ]
}
SOURCE = "common_practice"


def in_corner(edit: Callable[[str], str]) -> Callable[[Texts], Texts]:
    """An edit of the one file."""
    return lambda texts: {**texts, FILE: edit(texts[FILE])}


def question(name: str, *steps: str) -> tuple[str, ...]:
    return ("questions", name, *steps)


def after_consent(text: str) -> str:
    consent = {
        "ask": "May I ask about your eyes, and note what you say?",
        "answer": "yes-no",
        "sets": "consent",
        "unknown": "refused",
        "next": "light",
    }
    text = set_value(text, question("glare", "private"), "health")
    text = set_value(text, question("glare", "skip_when"), "not consent")
    text = add_item(text, ("questions",), "consent", consent, 0)
    return set_value(text, ("first",), "consent")


def with_shelf(texts: Texts) -> Texts:
    shelf = "tree: shelf\ntitle: The shelf\nversion: 2026.11\nfirst: shelf_height\nquestions:\n"
    fields = {
        "ask": "How high is the shelf that you reach for?",
        "coach": "Measure from the floor to the top of the board.",
        "answer": "length",
        "unit": "cm",
        "expect": "40 to 220",
        "read_by": "people",
        "next": "end",
    }
    return {
        FILE: add_include(texts[FILE], "the_shelf", "shelf", "seat_height"),
        "shelf.yaml": add_question(shelf, "shelf_height", None, fields),
    }


def with_topic(texts: Texts) -> Texts:
    title, ask = "Reading at night", "Is there a bedside lamp?"
    changes = "which lamp, and where it stands"
    text = add_topic(texts[FILE], "reading_night", title, changes, "seat_height")
    text = set_value(text, question("the_reading_night", "open_when"), "light == lamp")
    own = new_tree("reading_night", title, "2026.11", "there_bedside_lamp", ask)
    own = set_value(own, question("there_bedside_lamp", "read_by"), "people")
    return {FILE: text, "reading_night.yaml": own}


def with_source(texts: Texts) -> Texts:
    entry = {
        "title": "A book about lamps",
        "publisher": "A publisher",
        "year": 2020,
        "place": "ISBN of the book, page 12",
        "says": "Light from behind the shoulder does not shine back off the page.",
        "have": "opened",
    }
    own = "sources: Sources of the reading corner\n"
    return {
        FILE: set_value(texts[FILE], ("advice", 0, "source"), "lamp_book"),
        "sources.yaml": add_item(own, ("entries",), "lamp_book", entry),
    }


def with_plain_words(texts: Texts) -> Texts:
    ask = "Does anything on the page shine in your eyes?"
    own = "plain_words: Words of the reading corner\n"
    own = add_item(own, ("words",), "dazzle", "shine in your eyes")
    own = add_item(own, ("words",), "dazzled", "have the light in your eyes")
    return {
        FILE: set_value(texts[FILE], question("glare", "ask"), ask),
        "plain_words.yaml": own,
    }


def without_the_seat(text: str) -> str:
    text = delete(text, question("seat_height"))
    text = set_value(text, question("light", "next"), "glare")
    return delete(text, ("advice", 1))


STEPS: Mapping[str, Callable[[Texts], Texts]] = {
    "Change the wording": in_corner(
        lambda text: set_value(
            text,
            question("glare", "ask"),
            "Is the page too bright, or does anything on it dazzle you?",
        )
    ),
    "Write a long text": in_corner(
        lambda text: set_value(
            text,
            question("seat_height", "coach"),
            "Measure from the floor to the top of the seat, at its front edge. Sit on it while "
            "somebody else holds the tape: a soft seat gives way.",
        )
    ),
    "Add a choice": in_corner(lambda text: add_choice(text, "light", "candle", "A candle")),
    "Change the order of the choices": in_corner(
        lambda text: move(text, question("light", "choices", "window"), -1)
    ),
    "Add a question": in_corner(
        lambda text: add_question(
            text,
            "daylight",
            "light",
            {
                "ask": "Can you move the seat to a window?",
                "answer": "yes-no",
                "read_by": "people",
            },
        )
    ),
    "Add a route that depends on a number": in_corner(
        lambda text: add_route(text, "seat_height", "seat_height > 55", "end")
    ),
    "Ask something only sometimes": in_corner(
        lambda text: set_value(text, question("glare", "skip_when"), "light == window")
    ),
    "Add a caution": in_corner(
        lambda text: add_caution(
            text,
            {
                "name": "very_low_seat",
                "level": "note",
                "when": "seat_height < 36",
                "say": "A seat at <seat_height> is very low. Please hold on to something when "
                "you get up.",
                "source": SOURCE,
            },
        )
    ),
    "Add advice": in_corner(
        lambda text: add_advice(
            text,
            {
                "name": "away_from_the_window",
                "when": "light == window and glare",
                "topic": "window",
                "say": "Turn the seat so that the window is beside you.",
                "because": "With the window in front or behind, either you or the page is dazzled.",
                "source": SOURCE,
            },
        )
    ),
    "Add a need": in_corner(
        lambda text: add_need(
            text,
            {
                "name": "sliding_seat",
                "when": "glare",
                "feature": "seat_slide",
                "strength": "prefer",
                "because": "You can then move a little out of the light.",
                "source": SOURCE,
            },
        )
    ),
    "Rename a question": lambda texts: rename(texts, "glare", "dazzled"),
    "Ask about health, after consent": in_corner(after_consent),
    "Put questions into a file of their own": with_shelf,
    "Take a question out": in_corner(without_the_seat),
    "Put a question into a pool": in_corner(
        lambda text: into_pool(add_pool(text, "decides", "seat_height"), "decides", "glare")
    ),
    "Make a topic": with_topic,
    "Say where it comes from": with_source,
    "Keep a word out": with_plain_words,
}


def shown(recipe: str) -> Texts:
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


@pytest.mark.parametrize("name", RECIPES)
def test_a_recipe_does_what_it_shows(name: str, tmp_path: Path) -> None:
    """Its edits make of the first blocks the second ones, and the check finds nothing in them."""
    wanted = shown(RECIPES[name])
    assert STEPS[name]({FILE: WHOLE}) == wanted
    assert wanted[FILE] != WHOLE
    overlay = {tmp_path / file: text for file, text in wanted.items()}
    found = check_tree(tmp_path / FILE, frozenset(FEATURES), overlay)
    assert [str(problem) for problem in found] == []


def test_the_first_tree_is_sound(tmp_path: Path) -> None:
    """The tree to begin from has nothing wrong with it."""
    assert check_tree(tmp_path / FILE, frozenset(FEATURES), {tmp_path / FILE: WHOLE}) == []


def test_there_are_enough_recipes() -> None:
    """Ten at least, numbered in order, and each one tried here."""
    assert RECIPES.keys() == STEPS.keys()
    assert len(RECIPES) >= 10
    numbers = re.findall(r"^## (\d+)\. ", GUIDE, flags=re.M)
    assert numbers == [str(number) for number in range(1, len(numbers) + 1)]


def test_the_keys_are_those_of_the_desk() -> None:
    """Every key that the guide names is a key of the desk or of any text field."""
    known = {one.shown for one in KEYS} | {each for one in KEYS for each in one.key.split(",")}
    plain = {each.casefold().replace(" ", "") for each in known}
    named = set(re.findall(r"\b(?:F\d+|(?:Ctrl|Alt)\+\w+)\b", GUIDE))
    assert len(named) > 10
    for key in named:
        assert any(key.casefold() in each for each in plain), key


def test_what_is_added_is_offered() -> None:
    """What the guide adds with Alt+A stands in the list that the key opens, in its words."""
    offered = {words.partition(":")[0] for words in ADDED.values()}
    named = set(re.findall(r"Alt\+A,\s+then\s+(Way on|\w+)", GUIDE))
    assert len(named) > 5
    assert named <= offered


def test_the_fields_are_those_of_the_forms() -> None:
    """A field that a recipe has filled in is called so in some form."""
    labels = {one.label for fields in FIELDS.values() for one in fields}
    for label in re.findall(r"[Ff]ield ([A-Z]\w+(?: when| by)?)", GUIDE):
        assert label in labels, label
