"""The measuring sheet from the desk, and its figures in one line, by keyboard."""

from __future__ import annotations

from dataclasses import replace
from email import message_from_bytes
from pathlib import Path

import pytest
from textual.widgets import Input, Static

from consult.call.call import Answer, Call
from consult.ui.call_screen import CallScreen
from consult.ui.finishing import NOTHING_TO_DO, STOPPED_ENDING
from consult.ui.side_pages import CautionScreen, SheetScreen
from tests.ui.desk import NOON, SIZES, demo, desk
from tests.ui.test_desk_actions import choose
from tests.ui.test_entering import type_in

# -- the measuring sheet from the desk, and its figures in one line, by keyboard ------------------

MEASURED = {"stature": "165", "heel": "2"}


def call(**answers: str) -> Call:
    """A call with these answers."""
    return Call(NOON.date(), answers=tuple(Answer(name, said) for name, said in answers.items()))


@pytest.mark.parametrize("size", SIZES)
async def test_the_sheet_of_what_is_open(size: tuple[int, int], tmp_path: Path) -> None:
    """Its page has what is not measured yet, in the caller's units, with the reference."""
    imperial = replace(call(**MEASURED, lower_leg="?"), system="imperial")
    async with desk(tmp_path, imperial, size) as at:
        await type_in(at, "/sheet")
        assert isinstance(at.top, SheetScreen)
        shown = str(at.top.query_one("#sheet-page Static", Static).content)
        assert "leg: ________ in" in shown
        assert "height: ____" not in shown
        assert "heels: ____" not in shown
        assert at.screen.reference in shown
        await at.press("escape")
        assert isinstance(at.top, CallScreen)
        assert at.typed == ""


async def test_it_is_saved_with_a_draft(tmp_path: Path) -> None:
    """F8 writes text, page, PDF and the mail to send, and says where; the call is as it was."""
    async with desk(tmp_path, call(**MEASURED)) as at:
        was = at.screen.now.call
        await type_in(at, "/sheet")
        await at.press("f8")
        told = str(at.top.query_one("#save-result", Static).content)
        assert "Saved" in told
        assert ".eml" in told
        assert at.screen.now.call == was
    endings = sorted(path.suffix for path in tmp_path.glob("measuring-sheet-*"))
    assert endings == [".eml", ".html", ".pdf", ".txt"]
    (mail,) = tmp_path.glob("*.eml")
    assert message_from_bytes(mail.read_bytes())["X-Unsent"] == "1"


async def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    """Is told, and the name stays to mend."""
    async with desk(tmp_path, call(**MEASURED)) as at:
        await type_in(at, "/sheet")
        name = at.top.query_one("#save-as", Input)
        (tmp_path / "file").touch()
        name.value = str(tmp_path / "file" / "sheet")
        name.focus()
        await at.press("enter")
        told = str(at.top.query_one("#save-result", Static).content)
        assert "! Not saved" in told
        assert name.value == str(tmp_path / "file" / "sheet")
        name.value = " "
        await at.press("enter")
        assert "name the file" in str(at.top.query_one("#save-result", Static).content)


async def test_nothing_to_measure(tmp_path: Path) -> None:
    """After a stop, and where all is measured, it says so instead."""
    async with desk(tmp_path, call(who_sits="young_person")) as at:
        await at.press("s")
        await type_in(at, "/sheet")
        assert isinstance(at.top, CallScreen)
        assert STOPPED_ENDING in at.text("#trouble")
    async with desk(tmp_path / "2", demo("02").call) as at:
        while isinstance(at.top, CautionScreen):
            await at.press("s")
        await type_in(at, "/sheet")
        assert NOTHING_TO_DO in at.text("#trouble")


# -- its figures ------------------------------------------------------------------------------


async def test_figures_in_one_line(tmp_path: Path) -> None:
    """All are recorded and stored, the line is empty, and the question at hand is still asked."""
    async with desk(tmp_path, call(caller_name="Ada Fenwick")) as at:
        asked = at.screen.session.asking
        await type_in(at, "/leg 41, thigh 47, desk 73")
        assert at.typed == ""
        assert "Noted: Lower leg, thigh length, desk height." in at.text("#trouble")
        assert at.screen.session.asking is asked
        said = {name: one.said for name, one in at.saved().latest().items()}
        assert (said["lower_leg"], said["thigh_length"], said["desk_height"]) == ("41", "47", "73")


async def test_a_bad_one_stays_selected(tmp_path: Path) -> None:
    """The others are stored at once; what is typed replaces the bad one."""
    async with desk(tmp_path, call(caller_name="Ada Fenwick")) as at:
        await type_in(at, "/leg 41, thihg 47, desk 73")
        assert at.typed == "/thihg 47"
        assert at.screen.query_one("#answer", Input).selected_text == "/thihg 47"
        assert at.text("#trouble").startswith("! “thihg 47” does not start")
        assert "Noted: Lower leg, desk height." in at.text("#trouble")
        assert {"lower_leg", "desk_height"} <= at.saved().latest().keys()
        await type_in(at, "/thigh 47")
        assert at.typed == ""
        assert at.saved().latest()["thigh_length"].said == "47"


async def test_two_bad_ones_stay(tmp_path: Path) -> None:
    """The first is selected, and Enter goes through them one by one."""
    async with desk(tmp_path, call(caller_name="Ada Fenwick")) as at:
        await type_in(at, "/thigh 47, leg 51, desk 29")
        answer = at.screen.query_one("#answer", Input)
        assert (at.typed, answer.selected_text) == ("/leg 51, desk 29", "leg 51")
        await at.press("enter")
        assert at.saved().latest()["lower_leg"].confirmed
        assert at.typed == "/desk 29"
        await at.press("enter")
        assert at.typed == ""
        assert at.saved().latest()["desk_height"].said == "29 in"


async def test_a_call_on_hold_goes_on_with_them(tmp_path: Path) -> None:
    """Put aside at one desk, opened at another, by its caller's name; the figures are its own."""
    async with desk(tmp_path, call(caller_name="Ada Fenwick")) as at:
        await at.answer("/sheet")
        await at.press("escape")
        await at.answer("/weight 59 kg")
        reference = at.screen.reference
    async with desk(tmp_path) as at:
        await at.press("f9")
        await choose(at, "fenwick")
        assert at.screen.reference == reference
        await type_in(at, "/height 157,5, leg 37, desk 76")
        said = {name: one.said for name, one in at.saved().latest().items()}
        assert (said["stature"], said["lower_leg"]) == ("157,5", "37")
        assert at.screen.now.step("stature") is not None
