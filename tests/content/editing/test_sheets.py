"""What a draft says piece by piece: the outline, its fields, and what may be chosen for them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.content.editing.choices import NO_CHOICE, asked_of, joined, options, subjects
from consult.content.editing.edits_questions import led
from consult.content.editing.edits_rename import NAME_FORM
from consult.content.editing.fields import FIELDS, name_from, with_typed
from consult.content.editing.sheets import Place, Sheets
from consult.tree.model import SETS

SAMPLE = Path(__file__).parents[2] / "ui" / "edit" / "sample"
TEXTS = {file.name: file.read_text("utf-8") for file in SAMPLE.glob("*.yaml")}
TASKS = Place("work.yaml", ("questions", "tasks"))


def sheets(**changed: str) -> Sheets:
    """The sample, read."""
    found = Sheets()
    found.update(TEXTS | {f"{name}.yaml": text for name, text in changed.items()})
    return found


@given(st.text(max_size=80), st.sets(st.sampled_from(["a", "question", "sit", "sit_2"])))
def test_every_text_gives_a_name(words: str, taken: set[str]) -> None:
    """Whatever is typed, the name is one that trees take, and nobody has it."""
    name = name_from(words, taken, "question")
    assert NAME_FORM.fullmatch(name)
    assert name not in taken


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("How high is your desk?", "high_desk"),
        ("Épaules à l'aise", "epaules_l_aise"),
        ("3 legs", "question_3_legs"),
        ("אבג", "question"),
    ],
)
def test_names_say_what_was_typed(words: str, name: str) -> None:
    """The telling words make the name."""
    assert name_from(words, (), "question") == name


def test_the_outline_has_everything_in_order() -> None:
    """Trees in the order they run each other, other files after; each thing at its line."""
    found = sheets()
    assert found.files == ["seating.yaml", "work.yaml", "contacts.yaml"]
    kinds = [(one.kind, one.name) for one in found.entries("seating.yaml")]
    assert kinds == [
        ("file", "seating.yaml"),
        ("question", "caller_name"),
        ("question", "consent"),
        ("question", "numb"),
        ("include", "the_work"),
        ("caution", "numbness"),
    ]
    for one in found.entries("work.yaml")[1:]:
        assert one.name in TEXTS["work.yaml"].splitlines()[one.line - 1]
        assert found.at_line("work.yaml", one.line) == one


def test_a_file_that_cannot_be_read_keeps_its_last_form() -> None:
    """What stood there is still shown, and what is wrong is said."""
    found = sheets()
    found.update(TEXTS | {"work.yaml": 'tree: "open'})
    assert found.value(TASKS, "ask") == "And what do you do most of that time?"
    assert found.trouble["work.yaml"].where.line == 1
    found.update(TEXTS)
    assert not found.trouble


def test_who_reads_a_question_and_what_leads_to_it() -> None:
    """By the name as a word of its own."""
    found = sheets()
    numb, tasks = found.entry(Place("seating.yaml", ("questions", "numb"))), found.entry(TASKS)
    assert numb is not None
    assert tasks is not None
    assert {one.name for one in found.readers(numb)} == {"numbness"}
    assert found.comes_after(numb) == ["consent"]
    assert found.comes_after(tasks) == ["hours"]
    assert found.mains("work.yaml") == ["seating.yaml"]


def test_trees_that_include_each_other_in_a_circle() -> None:
    """While the mistake is being mended, each is shown as a tree of its own."""
    tree = "tree: {0}\nfirst: a\nquestions:\n  a:\n    include: {1}\n    next: end\n"
    found = Sheets()
    found.update({"one.yaml": tree.format("one", "two"), "two.yaml": tree.format("two", "one")})
    assert found.files == ["one.yaml", "two.yaml"]
    assert found.mains("two.yaml") == found.family("two.yaml") == ["two.yaml"]


def test_what_may_stand_in_a_field() -> None:
    """Every field that is chosen offers something, and nothing only where it may be empty."""
    found = sheets()
    for entry in found.steps_of():
        for field in FIELDS.get(entry.kind, ()):
            if field.how == "pick" and entry.kind != "need":
                words = options(entry, (field.key,), found)
                assert (NO_CHOICE in words) == (not field.needed)
                assert words
    tasks = found.entry(TASKS)
    assert tasks is not None
    assert set(options(tasks, ("sets",), found)) == {*SETS, NO_CHOICE}
    onward = list(options(tasks, ("next",), found))
    assert onward[:3] == ["hours", "tasks", "arm_use"]
    assert {"consent", "end"} <= set(onward)


def test_what_a_condition_may_ask() -> None:
    """By the kind of answer; and, or with brackets where they are needed."""
    found = sheets()
    assert list(asked_of("consent", found, "work.yaml"))[:2] == ["consent", "not consent"]
    assert "paper in tasks" in asked_of("tasks", found, "work.yaml")
    assert "hours > {}" in asked_of("hours", found, "work.yaml")
    for name, _ in subjects(found, "work.yaml"):
        assert asked_of(name, found, "work.yaml")
    assert joined("", "and", "a") == "a"
    assert joined("a or b", "and", "c") == "(a or b) and c"
    assert joined("a or b", "or", "c") == "a or b or c"


def test_short_names_are_one_or_a_list() -> None:
    """Commas part them; none takes the line out."""
    place = TASKS.inside("called")
    text = TEXTS["work.yaml"]
    assert "called: [job, day's work]" not in text
    assert "called: [job, work]" in with_typed(text, "question", place.steps, " job , work,, job")
    assert "called: job" in with_typed(text, "question", place.steps, "job")
    assert "called: [task, work]" not in with_typed(text, "question", place.steps, " ")


def test_what_led_to_a_question_leads_on() -> None:
    """Routes, plain ways and the first question alike; what a stop leads to is asked for."""
    text = TEXTS["work.yaml"].replace("first: hours\n", "first: hours\nafter_stop: hours\n")
    new = led(text, "hours", "tasks", after_stop=False)
    assert "first: tasks\nafter_stop: hours\n" in new
    assert "after_stop: tasks\n" in led(text, "hours", "tasks")


@pytest.mark.parametrize(
    ("typed", "stands"),
    [
        ("seat lower", {"seat": "lower"}),
        ("seat: lower,  footrest add,", {"seat": "lower", "footrest": "add"}),
        ("seat", "seat"),
        ("", None),
    ],
)
def test_moves_are_typed_as_pairs(typed: str, stands: object) -> None:
    """Half a pair stays as typed for the check to tell of; nothing takes the name out."""
    text = "advice:\n  - name: rest\n    say: Rest.\n    moves: {desk: raise}\n"
    place = Place("work.yaml", ("advice", 0, "moves"))
    found = Sheets()
    found.update({"work.yaml": with_typed(text, "advice", place.steps, typed)})
    assert found.data(place) == stands


def test_a_source_is_named_and_so_are_several() -> None:
    """By the names of the list, with commas between, as the form of a piece asks for them."""
    place = Place("work.yaml", ("advice", 0, "source"))
    field = next(one for one in FIELDS["advice"] if one.key == "source")
    assert field.how == "names"
    text = with_typed(TEXTS["work.yaml"], "advice", place.steps, "hse_breaks, common_practice")
    assert "    source: [hse_breaks, common_practice]\n" in text
    assert with_typed(text, "advice", place.steps, "hse_breaks") == TEXTS["work.yaml"]
