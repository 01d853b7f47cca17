"""Pools, topics, parts and contacts at the content desk, by keyboard, as the guide says."""

from __future__ import annotations

from pathlib import Path

from textual.widgets import OptionList

from consult.paths import shipped_trees
from consult.ui.edit.field_widgets import DoLine
from tests.content.guide import RECIPES, WHOLE, shown
from tests.ui.edit.content_desk import ContentDesk, content_desk, trees


def corner(folder: Path) -> Path:
    """The folder of the guide."""
    (folder / "trees").mkdir()
    (folder / "trees" / "corner.yaml").write_text(WHOLE, "utf-8")
    return folder / "trees"


def outline(at: ContentDesk) -> list[str]:
    lines = at.desk.query_one("#e-lines", OptionList)
    return [str(one.prompt).rstrip() for one in lines.options]


def texts(at: ContentDesk) -> dict[str, str]:
    return dict(at.session.folder.texts)


async def test_questions_of_a_pool_are_moved_and_taken_out(tmp_path: Path) -> None:
    """One moves in it, one is taken out and asked after it, the last may not be."""
    async with content_desk(corner(tmp_path), (80, 24)) as at:
        await at.find("How high is the seat")
        await at.press("alt+a")
        await at.choose("pool:")
        await at.choose("What decides")
        await at.settle()
        assert at.form.entry is not None
        assert (at.form.entry.kind, at.form.entry.name) == ("pool", "decides")
        at.desk.addition_asked(DoLine.Pressed("member"))
        await at.choose("glare:")
        await at.settle()
        assert at.form.at() == ("questions", "decides", "best_of", 1)
        assert not at.mistakes
        await at.press("ctrl+up")
        await at.settle()
        assert at.value("best_of", 0) == "glare"
        assert [at.session.sheets.members(at.session.entry)] == [["glare", "seat_height"]]
        await at.field("best_of", 0)
        await at.press("ctrl+delete")
        await at.until(lambda: not at.home)
        await at.press("y")
        await at.settle()
        assert not at.mistakes
        assert at.value("next") == "glare"
        assert at.session.sheets.members(at.session.entry) == ["seat_height"]
        await at.field("best_of", 0)
        await at.press("ctrl+delete")
        await at.until(lambda: not at.home)
        await at.press("y")
        await at.settle()
        assert "at least one question" in at.told


async def test_the_outline_shows_what_is_in_them(tmp_path: Path) -> None:
    """Behind the pool its questions in its order, behind the topic those of its file, set in."""
    folder = corner(tmp_path)
    for name in ("Put a question into a pool", "Make a topic"):
        for file, text in shown(RECIPES[name]).items():
            (folder / file.replace("corner", name[:3].casefold() + "_corner")).write_text(
                text.replace("tree: corner", f"tree: {name[:3].casefold()}_corner"), "utf-8"
            )
    async with content_desk(folder, (120, 40)) as at:
        await at.find("the best of 2")
        await at.press("ctrl+f", "escape")
        lines = [line for line in outline(at) if line.startswith(" ")]
        place = next(n for n, line in enumerate(lines) if line.startswith("  ◇ decides"))
        assert lines[place + 1].startswith("    ? seat_height")
        assert lines[place + 2].startswith("    ? glare")
        assert sum("? glare" in line for line in lines) == 1
        await at.find("Reading at night")
        await at.press("ctrl+f", "escape")
        lines = [line for line in outline(at) if line.startswith(" ")]
        place = next(n for n, line in enumerate(lines) if "◆ the_reading_night" in line)
        assert lines[place + 1].startswith("    ? there_bedside_lamp")


async def test_a_question_of_a_pool_renamed(tmp_path: Path) -> None:
    """The pool names it by its new name; so does what reads it."""
    folder = corner(tmp_path)
    (folder / "corner.yaml").write_text(
        shown(RECIPES["Put a question into a pool"])["corner.yaml"], "utf-8"
    )
    async with content_desk(folder) as at:
        await at.find("dazzle")
        await at.press("alt+r")
        await at.until(lambda: not at.home)
        for _ in range(5):
            await at.press("backspace")
        await at.choose("dazzled")
        await at.settle()
        assert not at.mistakes
        assert at.session.sheets.members(
            next(one for one in at.session.sheets.steps_of("pool"))
        ) == [
            "seat_height",
            "dazzled",
        ]


async def test_a_second_topic(tmp_path: Path) -> None:
    """The adviser's question gets it too; another that opens topics chooses among them."""
    async with content_desk(corner(tmp_path)) as at:
        await at.find("Where does the light")
        for title in ("Noise", "Plants"):
            await at.press("alt+a")
            await at.choose("topic:")
            await at.choose(title)
            await at.choose("this and that")
            await at.choose(f"What about {title}?")
            await at.settle()
        assert not at.mistakes
        await at.find("opened")
        assert (at.value("choices", "noise"), at.value("choices", "plants")) == ("Noise", "Plants")
        await at.find("Where does the light")
        await at.press("alt+a")
        await at.choose("question:")
        await at.choose("Which would help?")
        await at.settle()
        await at.field("answer")
        await at.press("enter")
        await at.choose("choices:")
        await at.field("sets")
        await at.press("enter")
        await at.choose("topics")
        await at.press("alt+a")
        await at.choose("choice:")
        await at.choose("plants:")
        await at.settle()
        assert at.value("choices", "plants") == "Plants"
        assert not at.mistakes


async def test_beside_a_question_of_a_pool(tmp_path: Path) -> None:
    """One added there is asked after the pool; one deleted leaves the pool as well."""
    folder = corner(tmp_path)
    text = shown(RECIPES["Put a question into a pool"])["corner.yaml"]
    (folder / "corner.yaml").write_text(text, "utf-8")
    async with content_desk(folder) as at:
        await at.find("How high is the seat")
        await at.press("alt+a")
        await at.choose("question:")
        await at.choose("Is it warm?")
        await at.settle()
        assert not at.mistakes
        await at.find("the best of 2")
        assert at.value("next") == "warm"
        await at.find("dazzle")
        assert "decides, while it is worth its time" in at.page()
        await at.press("ctrl+delete")
        await at.until(lambda: not at.home)
        await at.press("y")
        await at.settle()
        assert at.session.sheets.members(at.session.sheets.steps_of("pool")[0]) == ["seat_height"]
        assert "glare" not in str(at.session.sheets.questions("corner.yaml"))


async def test_down_goes_through_a_topic(tmp_path: Path) -> None:
    """The tree around it stays open while the cursor is in the topic, and the way goes on."""
    folder = corner(tmp_path)
    for file, text in shown(RECIPES["Make a topic"]).items():
        (folder / file).write_text(text, "utf-8")
    async with content_desk(folder) as at:
        await at.find("Which topics")
        await at.press("ctrl+f", "escape")
        before = outline(at)
        met = []
        for _ in range(4):
            await at.press("down")
            await at.settle()
            met.append((at.session.place.file, at.session.entry.name))
        assert met == [
            ("corner.yaml", "the_reading_night"),
            ("reading_night.yaml", "there_bedside_lamp"),
            ("corner.yaml", "glare"),
            ("corner.yaml", "lamp_behind"),
        ]
        assert outline(at) == before


async def test_parts_contacts_and_shares_have_forms(tmp_path: Path) -> None:
    """A part is found by its code and priced, another is made like it; a choice gets its share."""
    folder = trees(tmp_path)
    shipped = shipped_trees() / "range.yaml"
    (folder / "range.yaml").write_text(shipped.read_text("utf-8"), "utf-8")
    (folder / "callers.yaml").write_text(
        "callers: Callers\nquestions:\n  arm_use:\n"
        "    shares: {arms_rested: 60, arms_seldom: 30, arms_never: 10}\n",
        "utf-8",
    )
    async with content_desk(folder) as at:
        await at.find("lift-low")
        assert at.form.entry is not None
        assert (at.form.entry.kind, at.form.entry.name) == ("part", "LIFT-LOW")
        before = at.text("range.yaml")
        await at.field("price")
        await at.press("ctrl+u")
        await at.type("36.5")
        assert at.text("range.yaml") == before.replace("price: 34\n", "price: 36.5\n", 1)
        await at.press("ctrl+u")
        await at.type("dear")
        assert any("text in 'price'" in one for one in at.mistakes)
        await at.press("ctrl+z", "ctrl+z")
        await at.press("alt+a")
        await at.choose("LIFT-NEW")
        await at.choose("New lift")
        await at.until(lambda: at.session.entry.name == "LIFT-NEW")
        assert "code: LIFT-NEW\n    name: New lift\n" in at.text("range.yaml")
        await at.find("rest your arms")
        await at.press("alt+a")
        await at.choose("choice")
        await at.choose("On one side only")
        await at.settle()
        assert "arms_never: 8, one_side_only: 25}" in at.text("callers.yaml")
        assert "callers.yaml has a share for it" in at.told
        await at.find("United Kingdom")
        await at.field("clinician")
        await at.press("ctrl+u")
        await at.type("speak to your midwife")
        assert "    clinician: speak to your midwife\n" in at.text("contacts.yaml")
