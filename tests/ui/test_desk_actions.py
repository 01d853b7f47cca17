"""Everything an adviser does besides answering in turn, by keyboard."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Input, OptionList, Static

from consult.ui.app import ConsultApp
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import ChooseScreen, LineScreen
from consult.ui.keys import CALL_HELP, CALL_KEYS, SLASH_WORDS
from consult.ui.side_pages import (
    CautionScreen,
    CautionsScreen,
    FinishScreen,
    PictureScreen,
    TrialScreen,
)
from consult.ui.widgets.panels import SaidList
from tests.ui.desk import NOON, SIZES, Desk, before, demo, demo_basis, desk
from tests.ui.test_call_screen import to_the_signs


async def choose(at: Desk, typed: str) -> None:
    """Narrow the list on top to what is typed and take its first line."""
    assert isinstance(at.top, ChooseScreen)
    await at.paste(typed)
    await at.press("enter")


def shown(at: Desk, selector: str) -> str:
    """What a part of the screen on top shows."""
    return str(at.top.query_one(selector, Static).content)


# -- facts out of turn ------------------------------------------------------------------------


async def test_a_fact_by_name(tmp_path: Path) -> None:
    """ "/lower leg 37" is taken whatever is asked, told below the line, and kept; the line offers
    the rest of a name, which Right takes over; beside an unknown name the nearest is told."""
    async with desk(tmp_path, before("stature")) as at:
        asked = at.screen.session.asking
        await at.press(*"/lower")
        await at.pilot.pause(0.1)
        await at.press("right")
        assert at.typed == "/lower leg"
        at.screen.query_one("#answer", Input).clear()
        await at.answer("/lower leg 37 cm")
        assert at.typed == ""
        assert "Lower leg" in at.text("#trouble")
        assert at.screen.session.asking is asked
        assert at.saved().latest()["lower_leg"].said == "37 cm"
        await at.answer("/lowr leg 38")
        assert at.typed == "/lowr leg 38"
        assert "lower leg" in at.text("#trouble")


# -- order ------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
async def test_go_to_any_open_question(size: tuple[int, int], tmp_path: Path) -> None:
    """Ctrl+G lists what is open; the question chosen is asked, then the call goes on. Escape
    leaves the list, and leaves the question chosen, without a trace."""
    async with desk(tmp_path, before("stature"), size) as at:
        turn, answers = at.screen.session.asking, at.screen.now.call.answers
        await at.press("ctrl+g", "escape", "ctrl+g")
        await choose(at, "weight")
        await at.press("escape")
        assert at.screen.session.asking is turn
        assert at.screen.now.call.answers == answers
        await at.press("ctrl+g")
        await choose(at, "weight")
        asked = at.screen.session.asking
        assert asked is not None
        assert asked.name == "weight"
        await at.answer("70 kg")
        assert at.screen.session.asking is turn


@pytest.mark.parametrize("size", SIZES)
async def test_warning_signs_at_any_time(size: tuple[int, int], tmp_path: Path) -> None:
    """F12 asks the signs before anything else; a stop interrupts, is said, and holds."""
    async with desk(tmp_path, before("consent"), size) as at:
        await at.press("f12")
        assert "not consented" in at.text("#trouble")
        while (asked := at.screen.session.asking) is not None and asked.name != "warning_signs":
            await at.answer("neck")
        await at.paste("chest")
        await at.press("enter")
        assert isinstance(at.top, CautionScreen)
        at.clock.move(30)
        await at.press("enter", "escape")
        assert isinstance(at.top, CautionScreen)
        await at.press("s")
        assert isinstance(at.top, CallScreen)
        assert at.screen.now.fit is None
        assert at.screen.now.call.handled[-1].at == at.clock()
        assert at.screen.now.call.handled[-1].caution == "emergency_sign"
        kept = at.saved()
        assert "chest" not in kept.latest()["warning_signs"].said
        assert [one.caution for one in kept.handled] == [""]


@pytest.mark.parametrize("size", SIZES)
async def test_signs_are_asked_anew(size: tuple[int, int], tmp_path: Path) -> None:
    """What was answered before never mixes with what is typed now: 2 after 1 is not 12."""
    async with desk(tmp_path, before("stature"), size) as at:
        at.screen.ask(at.screen.session.basis.tree.questions["warning_signs"])
        assert at.screen.now.call.latest()["warning_signs"].said
        assert at.screen.query_one("#answer", Input).value == ""
        await at.press("2", "enter")
        assert isinstance(at.top, CautionScreen)
        assert at.screen.now.call.latest()["warning_signs"].said == "2"


@pytest.mark.parametrize("by_list", [True, False])
async def test_what_is_typed_takes_the_place_of_an_old_answer(
    tmp_path: Path, by_list: bool
) -> None:
    """However the question is asked again."""
    async with desk(tmp_path, demo("01").call) as at:
        if by_list:
            await at.press("f3", "home", "enter")
        else:
            at.screen.ask(at.screen.now.steps[0].question)
        assert at.screen.query_one("#answer", Input).value
        await at.press("7", "5")
        assert at.screen.query_one("#answer", Input).value == "75"


# -- cautions ---------------------------------------------------------------------------------


async def stopped(at: Desk) -> None:
    """Bring the fourth demo call to its stop and say it."""
    await at.answer("2")
    assert at.screen.now.stopped is not None


@pytest.mark.parametrize("size", SIZES)
async def test_lifting_a_stop(size: tuple[int, int], tmp_path: Path) -> None:
    """F6, l and a reason bring product advice back; without a reason nothing does, nor with Escape,
    and both the caution and the reason stay in sight. Without a stop the key does nothing."""
    async with desk(tmp_path, to_the_signs(), size) as at:
        await at.press("f6", "l")
        assert isinstance(at.top, CautionsScreen)
        await at.press("escape")
        await stopped(at)
        await at.press("f6", "l", "escape", "escape")
        assert isinstance(at.top, CallScreen)
        assert at.screen.now.stopped is not None
        await at.press("f6", "l")
        assert isinstance(at.top, LineScreen)
        await at.press("enter")
        assert isinstance(at.top, LineScreen)
        assert at.screen.now.stopped is not None
        await at.paste("[seen] by her doctor today")
        await at.press("enter")
        assert isinstance(at.top, CallScreen)
        assert at.screen.now.stopped is None
        assert at.screen.now.fit is not None
        assert "lifted ([seen] by her doctor today)" in at.text("#cautions")
        kept = next(one for one in at.saved().handled if one.lifted)
        assert kept.lifted == "[seen] by her doctor today"
        assert kept.at == at.clock().astimezone()


async def test_after_a_stop_no_day_is_asked_for(tmp_path: Path) -> None:
    """Whoever is sent for help arranges nothing with us."""
    async with desk(tmp_path, to_the_signs()) as at:
        await at.press("f8")
        assert at.top.query("#follow-up")
        await at.press("escape")
        await stopped(at)
        await at.press("f8")
        assert isinstance(at.top, FinishScreen)
        assert not at.top.query("#follow-up")


async def test_a_slip_amended_stays_stopped(tmp_path: Path) -> None:
    """Amending the answer of a stop that was said does not bring advice back by itself."""
    async with desk(tmp_path, to_the_signs()) as at:
        await stopped(at)
        await at.amend("warning_signs", "none of these")
        assert at.screen.now.stopped is not None
        assert "STOP" in at.text("#cautions")
        assert "ended" in at.text("fit")


async def test_an_unsaid_stop_interrupts_again_after_a_crash(tmp_path: Path) -> None:
    """A call opened with a stop that nobody acknowledged interrupts at once."""
    async with desk(tmp_path, demo("04").call) as at:
        assert isinstance(at.top, CautionScreen)
        await at.press("s")
        assert isinstance(at.top, CallScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_a_referral_stays_to_the_end(size: tuple[int, int], tmp_path: Path) -> None:
    """A referral stands above the question until the call is over, and on the finish page."""
    call = demo("02").call
    async with desk(tmp_path, call, size) as at:
        while isinstance(at.top, CautionScreen):
            await at.press("s")
        (refer,) = [one for one in at.screen.now.cautions if one.caution.level == "refer"]
        assert refer.said is not None
        assert at.screen.now.finished
        assert f"REFER, said at 12:00 (words: F6): {refer.contact}" in at.text("#cautions")
        await at.press("f8")
        assert refer.say in shown(at, "#closing")


# -- notes ------------------------------------------------------------------------------------


async def test_a_note_beside_an_answer(tmp_path: Path) -> None:
    """Ctrl+R keeps a note beside the last answer, shown literally on its line; in the list, beside
    the line under the cursor."""
    async with desk(tmp_path, before("thigh_length")) as at:
        last = at.screen.now.call.answers[-1].question
        await at.press("ctrl+r")
        await at.paste("[guess] 😀")
        await at.press("enter")
        assert at.screen.now.call.latest()[last].note == "[guess] 😀"
        assert "[guess] 😀" in str(at.screen.query_one(SaidList).get_option(last).prompt)
        assert at.saved().latest()[last].note == "[guess] 😀"
        await at.press("f3", "up", "up", "ctrl+r")
        await at.paste("a note")
        await at.press("enter")
        (noted,) = [one for one in at.screen.now.call.latest().values() if one.note == "a note"]
        assert noted.question != last


# -- what if ----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
async def test_what_if_dropped_and_kept(size: tuple[int, int], tmp_path: Path) -> None:
    """Alt+T shows the difference, of an earlier answer changed in the line too; Escape records
    nothing, k records the answer."""
    async with desk(tmp_path, demo("01").call, size) as at:
        call = at.screen.now.call
        await at.press("f3")
        said = at.screen.query_one(SaidList)
        rows = [option.id for option in said.options]
        while said.highlighted != rows.index("desk_height"):
            await at.press("up")
        await at.press("enter")
        at.screen.query_one("#answer", Input).value = "66 cm"
        await at.press("alt+t")
        assert isinstance(at.top, TrialScreen)
        await at.press("escape", "escape")
        assert at.screen.now.call == call
        await at.paste("/desk height 66 cm")
        await at.press("alt+t")
        assert isinstance(at.top, TrialScreen)
        assert "Seat height" in shown(at, "#trial")
        await at.press("escape")
        assert at.screen.now.call == call
        assert at.typed == "/desk height 66 cm"
        await at.press("alt+t", "k")
        assert at.screen.now.call.latest()["desk_height"].said == "66 cm"
        assert at.typed == ""


async def test_what_if_of_an_odd_measure_can_be_kept(tmp_path: Path) -> None:
    """The odd measure is shown as such; kept, it counts as stood by."""
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.paste("59 cm")
        await at.press("alt+t")
        assert "!" in shown(at, "#trial")
        await at.press("k")
        assert at.screen.now.call.latest()["thigh_length"].confirmed


async def test_nothing_to_try_or_to_note(tmp_path: Path) -> None:
    """With an empty line, and in an empty call, the keys say what is missing."""
    async with desk(tmp_path) as at:
        await at.press("ctrl+r")
        assert isinstance(at.top, CallScreen)
        assert at.text("#trouble")
        await at.press("alt+t")
        assert "Type the other answer" in at.text("#trouble")


# -- calls ------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
async def test_hold_and_resume(size: tuple[int, int], tmp_path: Path) -> None:
    """On hold, a second call is held from its beginning; the first goes on where it was, what was
    half typed included, and the hold is not counted, nor where Escape goes on at once."""
    async with desk(tmp_path, before("thigh_length"), size) as at:
        first = at.screen
        await at.press("f9")
        at.clock.move(600)
        await at.press("escape")
        await at.paste("half ty")
        at.clock.move(5)
        await at.press("f9")
        at.clock.move(3600)
        await choose(at, "a new call")
        assert at.screen is not first
        assert not at.screen.now.call.answers
        await at.answer("Bo")
        at.clock.move(60)
        await at.press("f9")
        await choose(at, "ada")
        assert at.screen is first
        assert isinstance(at.top, CallScreen)
        assert at.typed == "half ty"
        at.screen.query_one("#answer", Input).clear()
        at.clock.move(10)
        await at.answer("46 cm")
        assert at.screen.now.call.answers[-1].took == 15
        assert at.screen.now.caller_name == "Ada Fenwick"


async def test_an_earlier_call_is_found_by_name(tmp_path: Path) -> None:
    """A call kept before is found by its caller's name and goes on where it was; where nothing goes
    with what is typed the list says so, and Enter does nothing."""
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.answer("46 cm")
    async with desk(tmp_path) as at:
        await at.press("f9")
        await choose(at, "zzzz")
        assert isinstance(at.top, ChooseScreen)
        lines = at.top.query_one(OptionList)
        assert "No call" in str(lines.get_option_at_index(0).prompt)
        at.top.query_one(Input).clear()
        await at.pilot.pause()
        await choose(at, "fenwick")
        assert at.screen.now.caller_name == "Ada Fenwick"
        assert at.screen.now.call.latest()["thigh_length"].said == "46 cm"


# -- the end ----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
async def test_the_finish_page(size: tuple[int, int], tmp_path: Path) -> None:
    """F8 shows what is missing, takes the day for the follow-up, and reads back the set-up."""
    call = demo("01").call
    answers = tuple(one for one in call.answers if one.question != "caller_contact")
    async with desk(tmp_path, replace(call, answers=answers), size) as at:
        await at.settle()
        await at.press("f8")
        assert isinstance(at.top, FinishScreen)
        assert demo_basis().tree.questions["caller_contact"].ask in shown(at, "#closing")
        assert "Read back" in shown(at, "#closing")
        assert "No day for a follow-up" in shown(at, "#closing")
        at.top.query_one("#follow-up", Input).focus()
        await at.paste("last Tuesday week")
        await at.press("enter")
        assert at.screen.now.follow_up is None
        assert shown(at, "#save-result")
        at.top.query_one("#follow-up", Input).value = "in 2 weeks"
        await at.press("enter")
        assert at.screen.now.follow_up == NOON.date() + timedelta(weeks=2)
        assert "No day for a follow-up" not in shown(at, "#closing")
        assert "We ring you again on Wednesday 9 December 2026" in shown(at, "#closing")
        assert at.saved().latest()["follow_up"].said == "in 2 weeks"


# -- access -----------------------------------------------------------------------------------


async def test_large_words_in_a_small_window(tmp_path: Path) -> None:
    """Ctrl+L leaves question, answer and cautions; at forty columns the answer still works."""
    async with desk(tmp_path, before("thigh_length"), (40, 20)) as at:
        await at.press("ctrl+l")
        assert not at.screen.query_one("#side").display
        assert not at.screen.query_one("#said").display
        say, answer = at.screen.query_one("#say"), at.screen.query_one("#answer")
        assert say.region.width == answer.region.width == 40
        assert at.screen.region.contains_region(answer.region)
        await at.answer("46 cm")
        assert at.screen.now.call.latest()["thigh_length"].said == "46 cm"
        await at.press("ctrl+l")
        assert at.screen.query_one("#said").display


async def test_contrast(tmp_path: Path) -> None:
    """Alt+C turns everything black and white, and back."""
    async with desk(tmp_path) as at:
        usual = at.app.theme
        await at.press("alt+c")
        assert at.app.theme == "high-contrast"
        for selector in ("#say", "#said", "#fit-panel", "#answer"):
            style = at.screen.query_one(selector).styles
            assert style.color.brightness > 0.9
        await at.press("alt+c")
        assert at.app.theme == usual


@pytest.mark.parametrize("size", SIZES)
async def test_the_picture(size: tuple[int, int], tmp_path: Path) -> None:
    """Alt+S draws the caller on the whole screen, with each problem's sign and words."""
    async with desk(tmp_path, demo("01").call, size) as at:
        await at.settle()
        await at.press("alt+s")
        assert isinstance(at.top, PictureScreen)
        text = shown(at, "#whole-picture")
        assert "①" in text
        assert "too high" in text
        await at.press("escape")
        panel = at.screen.query_one("#picture", Static)
        assert panel.display is (size[0] >= 100)
        if panel.display:
            assert "①" in str(panel.content)


async def test_no_picture_after_a_stop(tmp_path: Path) -> None:
    """A stop takes the picture away as well."""
    async with desk(tmp_path, to_the_signs(), (120, 40)) as at:
        await at.settle()
        assert "To scale" in at.text("#picture")
        await stopped(at)
        await at.settle()
        assert "To scale" not in at.text("#picture")


def test_every_key_is_in_the_help() -> None:
    """The help lists every action by its key, its word and what it does."""
    lines = [" ".join(line.split()) for line in CALL_HELP.splitlines()]
    for one in CALL_KEYS:
        word = f"/{one.word} " if one.word else ""
        assert f"{one.shown} {word}{one.does}" in lines
    for each in SLASH_WORDS:
        assert f"/{each.word} {each.does}" in lines
    assert len({one.key for one in CALL_KEYS}) == len(CALL_KEYS)


async def test_the_palette_finds_every_action(tmp_path: Path) -> None:
    """Whatever a key does can be found by name, and each of them runs."""
    async with desk(tmp_path, before("thigh_length")) as at:
        app = at.app
        assert isinstance(app, ConsultApp)
        names = [command.title for command in app.get_system_commands(at.top)]
        for one in CALL_KEYS:
            if "(" not in one.action and one.action != "app.quit":
                assert one.label in names
        await at.press("ctrl+p")
        await at.paste("Side view")
        await at.pilot.pause(0.3)
        await at.press("enter")
        await at.pilot.pause()
        assert isinstance(at.top, PictureScreen)


async def test_lines_and_control_signs_of_a_paste(tmp_path: Path) -> None:
    """A paste of several lines and 10,000 characters is kept whole, line breaks and control signs
    included."""
    text = "Ada\nsecond [line]\r\n\tthird \x1b[31m\x00 שלום 😀 " + "word " * 2000 + "end"
    async with desk(tmp_path) as at:
        await at.answer(text)
        assert at.screen.now.caller_name == text
        assert at.saved().latest()["caller_name"].said == text


async def test_no_meaning_hangs_on_colour(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR the same words and signs stand on the screen."""
    texts = []
    for colour in (True, False):
        if not colour:
            monkeypatch.setenv("NO_COLOR", "1")
        async with desk(tmp_path / str(colour), before("thigh_length"), (120, 40)) as at:
            await at.settle()
            await at.answer("46 cm")
            await at.settle()
            parts = ("fit", "chair", "notes", "#picture", "#ask", "#trouble")
            texts.append([at.text(part) for part in parts])
    assert texts[0] == texts[1]
    assert demo_basis().range is not None
