"""Typing at the call screen: refused answers, readings, early keys, words for every action."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.widgets import Input

import consult.ui.app
from consult.call.call import Call
from consult.ui.app import ConsultApp
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import ChooseScreen, LineScreen, Page, TextScreen
from consult.ui.keys import CALL_KEYS, SLASH_WORDS, actions_by_word
from consult.ui.practice.keys import PRACTICE_KEYS
from consult.ui.side_pages import CautionScreen, FinishScreen, TrialScreen
from consult.ui.widgets.panels import SaidList
from consult.ui.widgets.part import TextPart
from tests.ui.desk import Desk, before, demo, demo_basis, desk


async def type_in(at: Desk, text: str) -> None:
    """Type letter by letter, then Enter."""
    await at.press(*text, "enter")


async def test_a_refused_answer_is_replaced_by_typing(tmp_path: Path) -> None:
    """What was refused is selected: "nine stone fournone" never comes about."""
    async with desk(tmp_path, before("weight")) as at:
        await at.answer("nine stone fourteen")
        assert at.typed == "nine stone fourteen"
        assert "14 pounds in a stone" in at.text("#trouble")
        await type_in(at, "9st 4")
        assert at.screen.now.call.latest()["weight"].said == "9st 4"


async def test_an_arrow_key_goes_into_a_refused_answer(tmp_path: Path) -> None:
    """An arrow key ends the selection, so that one letter can be mended."""
    async with desk(tmp_path, before("weight")) as at:
        await at.answer("9st 14")
        await at.press("right", "backspace")
        assert at.typed == "9st 1"
        await at.press("enter")
        assert at.screen.now.call.latest()["weight"].said == "9st 1"


@pytest.mark.parametrize(("key", "said"), [("enter", "5 ft 2 in"), ("tab", "62.4 in")])
async def test_one_key_takes_a_reading(key: str, said: str, tmp_path: Path) -> None:
    """Enter takes the first reading, Tab the second, and both are on the screen."""
    async with desk(tmp_path, before("stature")) as at:
        await at.answer("5.2 ft")
        assert "Enter: 5 ft 2 in (157.5 cm)   Tab: 5.2 ft (158.5 cm)" in at.text("#trouble")
        await at.press(key)
        assert at.screen.now.call.latest()["stature"].said == said
        assert at.typed == ""


async def test_y_takes_what_is_proposed(tmp_path: Path) -> None:
    """A single y in place of the answer is yes to the reading."""
    async with desk(tmp_path, before("stature")) as at:
        await at.answer("five two")
        await type_in(at, "y")
        assert at.screen.now.call.latest()["stature"].said == "5 ft 2 in"


async def test_tab_without_readings_moves_on(tmp_path: Path) -> None:
    """Without a second reading Tab does what it does elsewhere."""
    async with desk(tmp_path, before("stature")) as at:
        await at.press("tab")
        assert at.screen.focused is not at.screen.query_one("#answer")


# -- the mouse ---------------------------------------------------------------------------------


async def test_a_choice_is_taken_by_a_click(tmp_path: Path) -> None:
    """One click answers a question with one choice."""
    async with desk(tmp_path, before("who_sits")) as at:
        await at.settle()
        await at.pilot.click("#ask", offset=(6, first_choice(at)))
        await at.pilot.pause()
        assert at.screen.now.call.latest()["who_sits"].said == "1"


async def test_several_choices_are_gathered_by_clicks(tmp_path: Path) -> None:
    """Each click adds a choice or takes it back; Enter takes them."""
    async with desk(tmp_path, before("reasons")) as at:
        await at.settle()
        row = first_choice(at)
        for line, typed in ((0, "1"), (2, "1, 3"), (0, "3"), (4, "3, 5")):
            await at.pilot.click("#ask", offset=(6, row + line))
            await at.pilot.pause()
            assert at.typed == typed
        await at.press("enter")
        assert at.screen.now.call.latest()["reasons"].said == "3, 5"


def first_choice(at: Desk) -> int:
    """The row of the first choice in the panel of words."""
    return row_of(at, 1)


# -- early keys --------------------------------------------------------------------------------


def key_events(text: str) -> list[events.Key]:
    named = {"\n": ("enter", "\r"), "\t": ("tab", "\t")}
    return [events.Key(*named.get(letter, (letter, letter))) for letter in text]


async def test_keys_before_the_first_screen_wait_in_order(tmp_path: Path) -> None:
    """A name, Enter and a number typed while the program starts are two answers."""

    class Hasty(ConsultApp):
        CSS_PATH = str(Path(consult.ui.app.__file__).with_name("consult.tcss"))

        def on_load(self) -> None:
            for event in key_events("Ada\n1\n"):
                self.post_message(event)

    async with desk(tmp_path, app=Hasty) as at:
        await at.settle()
        said = {one.question: one.said for one in at.screen.now.call.answers}
        assert said == {"caller_name": "Ada", "who_sits": "1"}


async def test_enter_from_before_the_start_is_enter(tmp_path: Path) -> None:
    """A terminal not yet ours sends a line feed for Enter."""
    async with desk(tmp_path) as at:
        await at.press(*"Ada", "ctrl+j")
        assert at.screen.now.caller_name == "Ada"


async def test_what_is_typed_while_a_caution_opens_waits_for_it(tmp_path: Path) -> None:
    """The next answer, typed ahead, is neither lost nor taken for the caution's s."""
    async with desk(tmp_path, before_signs(), size=(80, 40)) as at:
        await at.paste("2")
        for event in key_events("\nsit"):
            at.app.post_message(event)
        await at.settle()
        assert isinstance(at.top, CautionScreen)
        await at.press("s")
        await at.settle()
        assert not isinstance(at.top, CautionScreen)
        assert at.typed == "sit"


def before_signs() -> Call:
    return before("warning_signs")


@pytest.mark.parametrize("text", ["yes", "size 14", "as said", "sss no"])
async def test_a_text_with_an_s_confirms_no_caution(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A caution is confirmed by s alone."""
    monkeypatch.setattr(Page, "PAUSE", 60.0)
    async with desk(tmp_path, before_signs(), size=(80, 40)) as at:
        await at.paste("2")
        await at.press("enter")
        caution = at.top
        assert isinstance(caution, CautionScreen)
        await at.press(*text)
        assert at.top is caution


async def test_s_alone_confirms_a_caution(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A moment after s, with no other letter beside it, the caution was said."""
    monkeypatch.setattr(Page, "PAUSE", 0.01)
    async with desk(tmp_path, before_signs(), size=(80, 40)) as at:
        await at.paste("2")
        await at.press("enter", "s")
        while isinstance(at.top, CautionScreen):
            await at.pilot.pause()
        assert at.screen.now.cautions[0].said is not None


# -- words -------------------------------------------------------------------------------------


PAGES = {
    "/help": TextScreen,
    "/finish": FinishScreen,
    "/hold": ChooseScreen,
    "/goto": ChooseScreen,
    "/country": ChooseScreen,
    "/note": LineScreen,
    "/why": TextScreen,
    "/try 70 kg": TrialScreen,
}


async def test_a_word_opens_its_page(tmp_path: Path) -> None:
    """Every page of the call can be opened without a function key, and Escape leaves it."""
    async with desk(tmp_path, before("weight")) as at:
        for word, page in PAGES.items():
            await type_in(at, word)
            await at.settle()
            assert isinstance(at.top, page), word
            await at.press("escape")
            assert isinstance(at.top, CallScreen), word
            assert at.typed == "", word


async def test_words_that_open_nothing(tmp_path: Path) -> None:
    """Unknown, amend, undo, units, note and price work by their words."""
    async with desk(tmp_path, before("weight")) as at:
        await type_in(at, "/note  talks fast")
        assert at.screen.now.call.answers[-1].note == "talks fast"
        await type_in(at, "/units")
        assert at.screen.now.call.system == "both"
        await type_in(at, "/undo")
        assert at.typed == at.screen.now.call.answers[-1].said
        await at.press("escape")
        await type_in(at, "/amend height")
        assert at.typed == "5ft 2"
        await at.press("escape")
        await type_in(at, "/amend")
        assert isinstance(at.screen.focused, SaidList)
        await at.press("escape")
        await type_in(at, "/unknown")
        step = at.screen.now.step("weight")
        assert step is not None
        assert step.status == "unknown"
        await type_in(at, "/price")
        assert "for the chair as chosen" in at.text("#trouble")
        await type_in(at, "/WHEN")
        assert "working day" in at.text("#trouble")


async def test_a_mistyped_word_is_suggested(tmp_path: Path) -> None:
    """Of a word that is nearly one of ours that one is named; a question's name is a question's."""
    async with desk(tmp_path, before("weight")) as at:
        await type_in(at, "/finnish")
        assert at.text("#trouble") == "! There is no /finnish. Did you mean /finish?"
        assert at.screen.query_one("#answer", Input).selection == (0, len("/finnish"))
        await type_in(at, "/weigth 70")
        assert "weight" in at.text("#trouble")


def test_no_word_is_the_name_of_a_question() -> None:
    """Words and names of questions are apart, but for three: /signs asks what "signs" names,
    /price with a sum is still what the caller wants to spend, /topics opens what "topics" is."""
    words = actions_by_word(CALL_KEYS, SLASH_WORDS)
    assert words.keys() & demo_basis().tree.question_named.keys() <= {"signs", "price", "topics"}


async def test_a_word_with_a_value_can_be_a_fact(tmp_path: Path) -> None:
    """ "/price 500" tells a sum, "/price" alone asks for one."""
    async with desk(tmp_path, before("weight")) as at:
        await type_in(at, "/price 500")
        assert at.screen.now.call.answers[-1].said == "500"


def test_every_action_has_one_word() -> None:
    """No action needs a function key, and no word does two things."""
    for keys in (CALL_KEYS, PRACTICE_KEYS):
        worded = [one for one in keys if "(" not in one.action]
        assert all(one.word for one in worded)
        assert len({one.word for one in worded}) == len(worded)


def test_no_key_belongs_to_a_multiplexer_or_browser() -> None:
    """Ctrl+B is tmux's own; a browser keeps Ctrl+N, Ctrl+T, Ctrl+W (their manuals)."""
    for keys in (CALL_KEYS, PRACTICE_KEYS):
        pressed = {each for one in keys for each in one.key.split(",")}
        assert not pressed & {"ctrl+b", "ctrl+n", "ctrl+t", "ctrl+w", "f11"}


@pytest.mark.parametrize(("name", "status"), [("01", "finished"), ("04", "stopped")])
async def test_a_saved_call_is_finished_in_the_records(
    name: str, status: str, tmp_path: Path
) -> None:
    """A call begun from a file, saved at its end, stands in the records as finished at once."""
    async with desk(tmp_path, demo(name).call) as at:
        await at.settle()
        while isinstance(at.top, CautionScreen):
            await at.press("s")
        await type_in(at, "/finish")
        await at.press("s")
        await at.settle()
        assert [path.name for path in tmp_path.glob("summary-*.pdf")]
        assert at.screen.kept.stored_as(at.screen.kept_as) == status
        # The clock of the desk here has no time zone; what is stored has.
        told = at.saved().answers, at.screen.now.call.answers
        saved, shown = ([replace(one, at=None) for one in each] for each in told)
        assert saved == shown


async def test_a_call_not_finished_is_not_called_so(tmp_path: Path) -> None:
    """Saving in the middle stores the call and leaves it open; nothing said stores nothing."""
    async with desk(tmp_path, before("weight")) as at:
        assert at.screen.kept.stored_as(at.screen.kept_as) == ""
        await type_in(at, "/finish")
        await at.press("s")
        await at.settle()
        assert at.screen.kept.stored_as(at.screen.kept_as) == "open"


async def test_the_chair_stays_in_sight_beside_a_long_list(tmp_path: Path) -> None:
    """Where a list takes the whole width of a small screen, one line holds the chair."""
    async with desk(tmp_path, before("reasons")) as at:
        await at.settle()
        assert not at.screen.query_one("#side").display
        line = at.screen.query_one("#chair-line", TextPart)
        assert line.display
        shown = at.text("#chair-line")
        assert re.match(r"[\w ]+ \| GBP [\d,.]+ \| \d+ working days \| fits [\w ]+ of 100", shown)
        assert at.screen.query_one("#say").max_scroll_y == 0


def row_of(at: Desk, number: int) -> int:
    """The row of a choice in the panel of words."""
    part = at.screen.query_one("#ask", TextPart)
    assert part.shown is not None
    lines = part.shown.wrap(part.content_size.width)
    return next(row for row, line in enumerate(lines) if line.plain.startswith(f"{number:>2}  "))
