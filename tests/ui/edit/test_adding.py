"""What Alt+A adds: what it asks for, what stands in the files then, and where it leads."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from consult.content.editing.patching import Refused
from consult.paths import shipped_trees
from tests.content.guide import RECIPES, WHOLE, shown
from tests.ui.edit.below import Below
from tests.ui.edit.content_desk import trees


def corner(folder: Path, recipe: str = "") -> Below:
    """The folder of the guide, as a recipe leaves it."""
    (folder / "trees").mkdir()
    for file, text in (shown(RECIPES[recipe]) if recipe else {"corner.yaml": WHOLE}).items():
        (folder / "trees" / file).write_text(text, "utf-8")
    return Below(folder / "trees")


async def test_a_caution_is_added(tmp_path: Path) -> None:
    """Level, words and when are asked for by choosing; its form opens; nothing is a mistake."""
    at = Below(trees(tmp_path))
    at.go("tasks")
    said = "Please look up from your paper now and then."
    done = await at.add("caution:", "note:", said, "has: Reading")
    assert done is not None
    assert done.in_form
    assert "Ctrl+Z undoes it." in done.told
    assert at.session.entry.kind == "caution"
    assert at.value("level") == "note"
    assert at.value("when") == "paper in tasks"
    assert at.value("say") == said
    assert not at.mistakes


async def test_a_question_is_added_into_the_way(tmp_path: Path) -> None:
    """The question before leads to it and it leads on; it has a name and no mistakes."""
    at = Below(trees(tmp_path))
    at.go("tasks")
    done = await at.add("question:", "Do you share the chair?")
    assert done is not None
    assert done.field == at.at("answer")
    assert at.session.entry.name == "share_chair"
    assert at.value("next") == "arm_use"
    at.go("tasks")
    assert at.value("next") == "share_chair"
    assert not at.mistakes


async def test_who_leaves_adds_nothing(tmp_path: Path) -> None:
    """At whichever page, of every kind of thing."""
    at = Below(trees(tmp_path))
    at.go("tasks")
    before = dict(at.session.folder.texts)
    for answers in (
        ("question:",),
        ("pool:",),
        ("topic:", "Noise"),
        ("sub-tree:", "Noise"),
        ("choice:",),
        ("route:", "has: Reading"),
        ("caution:", "note:", "Look up."),
        ("need:", "seat_slide"),
        ("always:", "consent:", "yes"),
    ):
        assert await at.add(*answers, None) is None
    assert at.session.folder.texts == before


async def test_only_what_fits_is_offered(tmp_path: Path) -> None:
    """A choice where choices may be answered, steps behind steps; and nothing in broken YAML."""
    at = Below(trees(tmp_path))
    for name, offered, not_offered in (
        ("tasks", "Choice:", "Another"),
        ("hours", "Route:", "Choice:"),
        ("numbness", "Question:", "Topic:"),
        ("the_work", "Topic:", "Route:"),
    ):
        at.go(name)
        await at.add(None)
        assert offered in at.pages[-1]
        assert not_offered not in at.pages[-1]
    at.session.edit({"seating.yaml": 'tree: "'}, "breaking it")
    with pytest.raises(Refused, match="Correct the YAML first"):
        await at.add()


async def test_conditions_are_put_together(tmp_path: Path) -> None:
    """The question and the answer are asked for; and, or and anew join it to what stands there."""
    at = Below(trees(tmp_path))
    at.go("lean_back_to_listen")
    built = at.choosing.built(at.value("when"))
    new = await at.answering(built, "or:", "hours: How many", "is more than", "6")
    assert new == "meetings in tasks or hours > 6"
    new = await at.answering(at.choosing.built(new), "and:", "consent:", "yes")
    assert new == "(meetings in tasks or hours > 6) and consent"
    assert await at.answering(at.choosing.built(""), "consent:", "no") == "not consent"
    again = at.choosing.built("consent")
    assert (
        await at.answering(again, "replace:", "hours:", "another", "consent:", "yes") == "consent"
    )
    assert await at.answering(at.choosing.built("consent"), "and:", None) is None
    at.type_in("(meetings in tasks or hours > 6) and consent", "when")
    assert not at.mistakes


def test_another_kind_of_answer(tmp_path: Path) -> None:
    """A length gets a unit; what does not go with the new kind leaves, saying so."""
    at = Below(trees(tmp_path))
    at.go("hours")
    for kind, unit in (("length", "cm"), ("mass", "kg")):
        assert not at.choosing.answer_becomes(kind).told
        assert at.value("unit") == unit
    told = at.choosing.answer_becomes("text").told
    assert "Removed" in told
    assert "unit" in told
    assert "expect" in told
    assert (at.value("unit"), at.value("expect")) == ("", "")


async def test_a_pool_its_questions_and_what_is_beside_them(tmp_path: Path) -> None:
    """One is added to it; a question added beside one of them is asked after the pool."""
    at = corner(tmp_path)
    at.go("seat_height")
    done = await at.add("pool:", "What decides")
    assert done is not None
    assert done.in_form
    assert (at.session.entry.kind, at.session.entry.name) == ("pool", "decides")
    done = await at.answering(at.adding.asked("member"), "glare:")
    assert done is not None
    assert done.field == ("questions", "decides", "best_of", 1)
    assert at.members("decides") == ["seat_height", "glare"]
    assert not at.mistakes
    at.go("seat_height")
    await at.add("question:", "Is it warm?")
    at.go("decides")
    assert at.value("next") == "warm"
    at.go("glare")
    before = at.session.sheets.comes_after(at.session.entry)
    assert "decides, while it is worth its time" in before
    assert not at.mistakes


async def test_a_second_topic(tmp_path: Path) -> None:
    """The adviser's question gets it too; another that opens topics chooses among them."""
    at = corner(tmp_path)
    at.go("light")
    for title in ("Noise", "Plants"):
        await at.add("topic:", title, "this and that", f"What about {title}?")
        assert not at.mistakes
    at.go("topics_opened")
    assert (at.value("choices", "noise"), at.value("choices", "plants")) == ("Noise", "Plants")
    at.go("light")
    await at.add("question:", "Which would help?")
    at.choosing.answer_becomes("choices")
    at.type_in("topics", "sets")
    assert await at.add("choice:", "plants:") is not None
    assert at.value("choices", "plants") == "Plants"
    assert not at.mistakes


async def test_a_choice_gets_its_share(tmp_path: Path) -> None:
    """The callers of a folder answer with it as often as with any other."""
    folder = trees(tmp_path)
    (folder / "callers.yaml").write_text(
        "callers: Callers\nquestions:\n  arm_use:\n"
        "    shares: {arms_rested: 60, arms_seldom: 30, arms_never: 10}\n",
        "utf-8",
    )
    at = Below(folder)
    at.go("arm_use")
    done = await at.add("choice", "On one side only")
    assert done is not None
    assert done.field == at.at("choices", "one_side_only")
    assert "arms_never: 8, one_side_only: 25}" in at.text("callers.yaml")
    assert "callers.yaml has a share for it" in done.told


async def test_another_part_and_quantity_like_one(tmp_path: Path) -> None:
    """Its code and name are asked for; all else is as in the one at hand, below which it stands."""
    folder = trees(tmp_path)
    copytree(shipped_trees() / "examples" / "desk_fitting", tmp_path / "desks")
    (folder / "range.yaml").write_bytes((shipped_trees() / "range.yaml").read_bytes())
    at = Below(folder)
    at.go("LIFT-LOW")
    kind, place = at.session.entry.kind, at.session.place
    assert kind == "part"
    done = await at.add("LIFT-NEW", "New lift")
    assert done is not None
    assert "LIFT-NEW is as LIFT-LOW was" in done.told
    assert at.session.place.steps == (place.steps[0], int(place.steps[1]) + 1)
    assert "code: LIFT-NEW\n    name: New lift\n" in at.text("range.yaml")
    at = Below(tmp_path / "desks")
    at.go("TOP-140")
    await at.add("TOP-180", "Top of 180 cm")
    assert at.value("code") == "TOP-180"
    assert at.value("width") == "140 cm"
    at.go("standing_desk_height")
    await at.add("other_height", "Other height")
    assert (at.session.entry.name, at.value("label")) == ("other_height", "Other height")
    assert not at.mistakes
