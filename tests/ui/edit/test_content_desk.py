"""Whole sessions at the content desk, by keyboard."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import OptionList

from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import LettersScreen
from consult.ui.edit.rehearsal import PreviewScreen
from consult.ui.side_pages import CautionScreen
from consult.ui.widgets.part import TextPart
from tests.long import LONG
from tests.ui.desk import SIZES, draw
from tests.ui.edit.content_desk import content_desk, trees

ODD = "Sit [bold]here[/] 🪑 אבג \\ \"x\" 'y' #z: {a} *b &c \x1b[31mred x\u202ey"


@pytest.mark.parametrize("size", SIZES if LONG else SIZES[:1])
async def test_a_session(size: tuple[int, int], tmp_path: Path) -> None:
    """Reword, add a choice and a caution, break, mend, rehearse, save, quit: at every size."""
    folder = trees(tmp_path)
    async with content_desk(folder, size) as at:
        await at.find("most of that")
        await at.type(" Often?")
        await at.press("alt+a")
        await at.choose("choice:")
        await at.choose("Driving")
        await at.settle()
        assert at.form.at() == ("questions", "tasks", "choices", "driving")
        await at.press("alt+a")
        await at.choose("caution:")
        await at.choose("refer:")
        await at.choose("See somebody about that.")
        await at.choose("has: Driving")
        await at.settle()
        assert at.form.entry is not None
        assert at.form.entry.kind == "caution"
        assert at.value("when") == "driving in tasks"
        assert not at.mistakes
        await at.field("when")
        await at.type("x")
        assert len(at.mistakes) == 1
        assert at.mistakes[0] in at.page()
        line = at.desk.query_one("#e-lines", OptionList).highlighted_option
        assert line is not None
        assert "✗1" in str(line.prompt)
        await at.press("escape", "alt+n", "alt+n", "alt+n")
        await at.press("alt+m")
        assert at.form.at() == ("cautions", 0, "when")
        assert at.told.startswith("! ")
        await at.press("ctrl+z")
        await at.settle()
        assert "Undone: when of " in at.told
        assert not at.mistakes
        await at.find("most of that")
        readers = at.desk.query_one("#e-readers", OptionList)
        assert any("REFER" in str(one.prompt) for one in readers.options)
        await at.press("alt+e")
        await at.until(lambda: isinstance(at.top, CallScreen))
        await at.pilot.pause()
        await at.type("driving")
        await at.press("enter")
        await at.until(lambda: isinstance(at.top, CautionScreen))
        await at.press("s", "escape")
        assert at.home
        await at.press("ctrl+q")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("s")
        await at.pilot.pause()
    saved = (folder / "work.yaml").read_text("utf-8")
    assert "time? Often?" in saved
    assert "say: See somebody about that." in saved


async def test_yaml_that_cannot_be_read(tmp_path: Path) -> None:
    """The form says so and only shows; the last good values stand; mended, it may be typed in."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        at.desk.panes.turn_to("yaml")
        await at.press("end")
        await at.type(' "')
        assert "cannot be read" in str(at.desk.query_one("#e-locked", TextPart).content)
        assert at.value("ask") == "And what do you do most of that time?"
        assert all(one.disabled for one in at.form.controls())
        assert "mistake" in at.status
        await at.press("alt+a")
        assert "Correct the YAML first" in at.told
        await at.press("alt+m")
        assert at.app.focused is at.yaml
        await at.press("ctrl+z")
        await at.settle()
        assert "Undone: typing in work.yaml" in at.told
        assert not any(one.disabled for one in at.form.controls())
        assert not at.mistakes


async def test_yaml_and_form_are_one_text(tmp_path: Path) -> None:
    """Typing in the YAML shows in the form; its cursor takes outline and form along."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        assert at.yaml.cursor_location[0] == at.session.entry.line - 1
        at.desk.panes.turn_to("yaml")
        await at.press("down", "end")
        await at.type(" Roughly")
        assert at.value("ask") == "And what do you do most of that time? Roughly"
        while "arm_use:" not in at.yaml.document.get_line(at.yaml.cursor_location[0]):
            await at.press("down")
        await at.pilot.pause()
        assert at.form.entry is not None
        assert at.form.entry.name == "arm_use"
        assert at.session.place.steps == ("questions", "arm_use")


async def test_short_names_are_typed_with_commas(tmp_path: Path) -> None:
    """A comma just typed stays while one types on; the file has the names alone."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        await at.field("called")
        await at.type(",")
        assert at.value("called") == "task, work,"
        assert "called: [task, work]" in at.text("work.yaml")
        await at.type(" job")
        assert "called: [task, work, job]" in at.text("work.yaml")


async def test_a_rehearsal_is_a_call_with_the_draft(tmp_path: Path) -> None:
    """Alt+E asks the question as reworded at the call desk and goes on from it; Esc comes back."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        await at.type(" Truly?")
        await at.press("alt+e")
        await at.until(lambda: isinstance(at.top, CallScreen))
        await at.pilot.pause()
        assert "that time? Truly?" in str(at.top.query_one("#ask", TextPart).content)
        await at.press("1", "enter")
        assert "rest your arms" in str(at.top.query_one("#ask", TextPart).content)
        await at.press("alt+i", "alt+c")
        assert isinstance(at.top, CallScreen)
        await at.press("escape")
        assert at.home
        await at.press("alt+e")
        await at.until(lambda: isinstance(at.top, CallScreen))
        await at.press("ctrl+q")
        assert at.home
        await at.app.workers.wait_for_complete()


async def test_the_preview_is_what_the_adviser_sees(tmp_path: Path) -> None:
    """Alt+V shows wording, choices and coaching in the panel of the desk; F4 hides coaching."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        await at.type(" Now?")
        await at.press("alt+v")
        assert isinstance(at.top, PreviewScreen)
        shown = str(at.top.query_one("#ask", TextPart).content)
        assert "that time? Now?" in shown
        assert " 2  Talking on the telephone" in shown
        assert "Coach: Tick everything" in shown
        await at.press("f4")
        assert "Coach:" not in str(at.top.query_one("#ask", TextPart).content)
        await at.press("escape")
        assert at.home


async def test_every_text_is_shown_as_it_is(tmp_path: Path) -> None:
    """Brackets, emoji, right-to-left, control signs and ten thousand letters are only text."""
    text = f"{ODD} {'word ' * 2000}"
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        await at.field("ask")
        await at.type(text)
        assert text in at.value("ask")
        assert text in at.session.sheets.value(at.session.place, "ask")
        await at.press("alt+v")
        await at.press("escape")
        await at.field("called")
        await at.type(text)
        await at.settle()
        await at.press("escape", "alt+n", "alt+n", "alt+n")
        draw(at.app)
