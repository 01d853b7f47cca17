"""What is deleted, moved, renamed and typed: what the files say then, and what is undone."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from consult.content.editing import session
from consult.content.editing.choices import subjects
from consult.content.editing.patching import Refused
from consult.paths import shipped_trees
from consult.problems import Problem, Where
from tests.ui.edit.below import Below
from tests.ui.edit.content_desk import trees
from tests.ui.edit.test_adding import corner


async def delete(at: Below, letter: str | None, *steps: str | int) -> object:
    """Delete what the session is at, or what a field of it is in."""
    doing = at.changing.delete(at.at(*steps) if steps else None)
    return await at.answering(doing, letter)


async def test_a_way_on_is_added_moved_and_deleted(tmp_path: Path) -> None:
    """A plain next becomes ways with an otherwise; deleting them makes it plain again."""
    at = Below(trees(tmp_path))
    before = at.text("work.yaml")
    at.go("tasks")
    for number, (label, go) in enumerate((("has: Keyboard", "end"), ("has: Talking", "arm_use"))):
        done = await at.add("route", label, go)
        assert done is not None
        assert done.field == at.at("next", number, "when")
    assert at.value("next", 0, "when") == "keyboard in tasks"
    assert at.value("next", 1, "when") == "phone in tasks"
    assert at.value("next", 2, "otherwise") == "arm_use"
    moved = at.changing.move(-1, at.at("next", 1, "when"))
    assert moved.field == at.at("next", 0)
    assert at.value("next", 0, "when") == "phone in tasks"
    for _ in range(2):
        await delete(at, "y", "next", 0, "go")
        assert "a way on of tasks" in at.pages[-1]
    assert at.value("next") == "arm_use"
    assert at.text("work.yaml") == before


async def test_questions_are_moved_renamed_and_deleted(tmp_path: Path) -> None:
    """A choice moves, a question is renamed everywhere and deleted with those before it led on."""
    at = Below(trees(tmp_path))
    at.go("tasks")
    at.changing.move(-1, at.at("choices", "phone"))
    text = at.text("work.yaml")
    assert text.index("phone: Talking") < text.index("keyboard: Keyboard")
    done = await at.answering(at.changing.rename(), "Daily work", "daily_work")
    assert len(at.complaints) == 1
    assert done is not None
    assert "tasks is now called daily_work everywhere" in done.told
    assert at.session.entry.name == "daily_work"
    assert "in tasks" not in "".join(at.session.folder.texts.values())
    assert not at.mistakes
    moved = at.changing.move(1, None)
    assert moved.place == at.session.place
    at.go("hours")
    assert await delete(at, None) is None
    await delete(at, "y")
    assert "send them to daily_work" in at.pages[-1]
    assert "first: daily_work" in at.text("work.yaml")


async def test_deleted_alone_its_ways_are_a_mistake(tmp_path: Path) -> None:
    """Where what led to it is not sent on, the check says so; undone, nothing is wrong."""
    at = Below(trees(tmp_path))
    at.go("tasks")
    await delete(at, "d")
    assert any("tasks" in said for said in at.mistakes)
    assert at.session.undo().told == "Undone: deleting tasks."
    assert not at.mistakes


async def test_what_cannot_be_deleted_or_renamed(tmp_path: Path) -> None:
    """A file as a whole; a part has its name in its form; a name that is there is refused."""
    at = Below(trees(tmp_path))
    at.go("work.yaml")
    with pytest.raises(Refused, match="whole file cannot be deleted"):
        await at.answering(at.changing.delete(None))
    with pytest.raises(Refused, match="A file cannot be renamed"):
        await at.answering(at.changing.rename())
    at.go("GB")
    with pytest.raises(Refused, match="in the form"):
        await at.answering(at.changing.rename())
    at.go("tasks")
    with pytest.raises(Refused, match="already"):
        await at.answering(at.changing.rename(), "hours")
    assert await at.answering(at.changing.rename(), " tasks ") is None
    at.go("numbness")
    await at.answering(at.changing.rename(), "no_feeling")
    at.go("no_feeling")


async def test_questions_of_a_pool(tmp_path: Path) -> None:
    """One moves in it, one is taken out and asked after it, the last may not be."""
    at = corner(tmp_path, "Put a question into a pool")
    at.go("decides")
    at.changing.move(-1, at.at("best_of", 1))
    assert at.members("decides") == ["glare", "seat_height"]
    await delete(at, "y", "best_of", 0)
    assert "asked after the pool" in at.pages[-1]
    assert not at.mistakes
    assert at.value("next") == "glare"
    assert at.members("decides") == ["seat_height"]
    with pytest.raises(Refused, match="at least one question"):
        await delete(at, "y", "best_of", 0)


async def test_a_question_of_a_pool_is_renamed_and_deleted(tmp_path: Path) -> None:
    """The pool names it by its new name, so does what reads it; deleted, it leaves the pool."""
    at = corner(tmp_path, "Put a question into a pool")
    at.go("glare")
    await at.answering(at.changing.rename(), "dazzled")
    assert not at.mistakes
    assert at.members("decides") == ["seat_height", "dazzled"]
    at.go("dazzled")
    await delete(at, "y")
    assert at.members("decides") == ["seat_height"]
    assert "dazzled" not in str(at.session.sheets.questions("corner.yaml"))


def test_undo_and_redo_name_what_they_did(tmp_path: Path) -> None:
    """What is typed in one go is one step; undo and redo say which and go there."""
    at = Below(trees(tmp_path))
    before = at.text("work.yaml")
    at.go("tasks")
    for typed in (" Really", " Really now"):
        at.type_in(f"And what do you do most of that time?{typed}", "ask")
        at.clock += 1.0
    at.go("numbness")
    done = at.session.undo()
    assert done.told == "Undone: wording of tasks."
    assert at.text("work.yaml") == before
    assert done.place == at.session.place
    assert at.session.entry.name == "tasks"
    assert at.session.redo().told == "Redone: wording of tasks."
    assert "time? Really now" in at.text("work.yaml")
    at.type_in("And what do you do most of that time? Later", "ask")
    at.clock += session.ONE_GO + 1.0
    at.type_in("And what do you do most of that time? Later still", "ask")
    at.session.undo()
    assert at.value("ask").endswith("time? Later")
    at.session.undo()
    assert at.value("ask").endswith("time? Really now")
    at.session.undo()
    with pytest.raises(Refused, match="nothing to undo"):
        at.session.undo()


def test_mistakes_come_before_warnings_and_the_nearest_first(tmp_path: Path) -> None:
    """Those of this file by their distance, then of others, then warnings; each is gone to once."""
    at = Below(trees(tmp_path))
    here = at.session
    assert here.next_problem() is None
    at.go("lean_back_to_listen")
    at.type_in("meetings in tasks or hours >> 6", "when")
    at.go("hours")
    at.type_in("One {a} b.", "coach")
    read_out, odd = here.folder.problems()
    assert "{a} would be read out" in read_out.message
    hours = here.sheets.good["work.yaml"].key("questions", "hours")
    warning = Problem(hours, "Odd.", severity="warning")
    elsewhere = Problem(Where("seating.yaml", 1, 1), "Wrong there.")
    here.problems = [warning, elsewhere, odd, read_out]
    assert here.status.endswith("1 file not saved (Ctrl+S)  |  3 mistakes and 1 warning (Alt+M)")

    def gone_to() -> list[Problem]:
        indexes = (here.next_problem() for _ in here.problems)
        return [here.visit(index) for index in indexes if index is not None]

    assert gone_to() == [read_out, odd, elsewhere, warning]
    at.go("no_arms_wanted")
    assert gone_to() == [odd, read_out, elsewhere, warning]
    at.go("numb")
    assert gone_to()[0] == elsewhere


EXAMPLE = shipped_trees() / "examples" / "desk_fitting"


def example(folder: Path) -> Below:
    """The worked example of another product."""
    return Below(Path(copytree(EXAMPLE, folder / "trees")))


async def test_another_product_is_edited(tmp_path: Path) -> None:
    """It opens without a mistake. A need asks for a feature of desks; one of chairs is wrong, and
    so is a name in what is declared that no question has."""
    at = example(tmp_path)
    assert at.mistakes == []
    at.go("memories")
    assert at.value("feature") == "remembers_heights"
    await at.answering(at.choosing.word(at.at("feature")), None)
    assert "stops_on_contact" in at.pages[-1]
    assert "seat_slide" not in at.pages[-1]
    # A condition can ask for what is declared, and for nothing that chairs have.
    named = dict(subjects(at.session.sheets, "desk_fitting.yaml"))
    assert named["fit.desk_height"] == "Desk height for sitting, in cm"
    assert not {"fit.seat_height", "fit.load", "range.headrest"} & named.keys()
    tree, fitting = at.text("desk_fitting.yaml"), at.text("fitting.yaml")
    texts = {
        "desk_fitting.yaml": tree.replace("feature: stops_on_contact", "feature: seat_slide"),
        "fitting.yaml": fitting.replace("from: room_width", "from: room_with"),
    }
    at.session.edit(texts, "two mistakes")
    assert set(at.mistakes) == {
        "The range has no feature 'seat_slide'.",
        "No question 'room_with' of the tree answers with a length, mass or count.",
    }


def test_an_adjustment_is_typed_into_its_field(tmp_path: Path) -> None:
    """What advice changes of a figure stands in the form; written otherwise it is a mistake."""
    at = example(tmp_path)
    at.go("stand_on_the_mat")
    at.type_in("heel + 15 mm, at most 6 cm", "adjusts")
    assert "    adjusts: heel + 15 mm, at most 6 cm\n" in at.text("desk_fitting.yaml")
    assert at.mistakes == []
    at.type_in("heel 15 mm", "adjusts")
    assert at.mistakes == ["'heel 15 mm' does not say which figure changes, and by how much."]


def test_parts_quantities_and_contacts_are_typed(tmp_path: Path) -> None:
    """Figures stand without quotes, in the place of the old ones; what is wrong is told."""
    at = example(tmp_path)
    at.go("FRAME-TWO")
    at.type_in("349.50", "price")
    at.type_in("70 to 118 cm", "height")
    assert "price: 349.5" in at.text("fitting.yaml")
    assert "height: 70 to 118 cm, load: 80 kg" in at.text("fitting.yaml")
    assert at.mistakes == []
    at.type_in("80 cm", "load")
    assert at.mistakes == ["'80 cm' is no mass."]
    at.session.undo()
    at.go("standing_desk_height")
    assert at.value("label") == "Desk height for standing"
    at.type_in("3 cm", "below")
    assert "below: 3 cm\n" in at.text("fitting.yaml")
    assert at.mistakes == []


def test_a_part_of_a_chair_and_contacts_are_typed(tmp_path: Path) -> None:
    """Only the line at hand changes; a word where a figure belongs is told of."""
    folder = trees(tmp_path)
    (folder / "range.yaml").write_bytes((shipped_trees() / "range.yaml").read_bytes())
    at = Below(folder)
    at.go("LIFT-LOW")
    before = at.text("range.yaml")
    at.type_in("36.5", "price")
    assert at.text("range.yaml") == before.replace("price: 34\n", "price: 36.5\n", 1)
    at.type_in("dear", "price")
    assert any("text in 'price'" in one for one in at.mistakes)
    at.go("GB")
    at.type_in("speak to your midwife", "clinician")
    assert "    clinician: speak to your midwife\n" in at.text("contacts.yaml")
