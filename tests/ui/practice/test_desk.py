"""The practice desk: what each level shows, what speaks to the caller, what is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.practice.log import Again, Ask, Coach, Entered, Say
from consult.ui.dialogs import AskScreen, ChooseScreen
from consult.ui.practice.keys import PRACTICE_HELP, PRACTICE_KEYS
from consult.ui.practice.start_screen import StartScreen
from consult.ui.side_pages import CautionScreen
from tests.ui.desk import SIZES
from tests.ui.practice.practice_desk import LEARNER, practice

CALLER = "tape_too_far"


def test_one_key_one_meaning() -> None:
    """No key stands twice in the table, and the help names each."""
    keys = [key for one in PRACTICE_KEYS for key in one.key.split(",")]
    assert len(keys) == len(set(keys))
    assert "app.calls" not in [one.action for one in PRACTICE_KEYS]
    assert all(f"  {one.shown} " in PRACTICE_HELP for one in PRACTICE_KEYS)


@pytest.mark.parametrize("size", SIZES)
async def test_the_first_minute(size: tuple[int, int], tmp_path: Path) -> None:
    """The caller speaks first; the status says that it is practice; Enter asks, text enters."""
    async with practice(tmp_path, size) as desk:
        await desk.play(CALLER)
        assert desk.part("status").startswith("PRACTICE  |  guided")
        assert "Caller: " in desk.spoken
        assert "You: " not in desk.spoken
        assert "Who am I speaking to?" in desk.words
        assert desk.desk.query_one("#say").border_title == "Enter asks this"
        assert "Enter asks" in desk.part("trouble")
        await desk.press("enter")
        assert "You: Hello, Tarnbeck Seating. Who am I speaking to?" in desk.spoken
        assert desk.desk.query_one("#say").border_title == "Asked: type what you heard"
        talk = desk.desk.query_one("#conversation")
        assert talk.size.height >= 2
        assert talk.scroll_offset.y == talk.max_scroll_y
        # A second Enter asks nothing: it says how to answer.
        await desk.press("enter")
        assert len(desk.desk.exercise.turns) == 2
        assert "Asked." in desk.part("trouble")
        await desk.type("Bea Marsh")
        assert "Who is the chair for" in desk.words


async def test_loose(tmp_path: Path) -> None:
    """Only names stand on the desk; nothing is entered unasked; the words come once chosen."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER, "partly_guided")
        assert "caller name, who sits, reasons" in desk.words
        assert "Who am I speaking to?" not in desk.words
        await desk.type("Bea Marsh")
        assert "Choose what to ask first" in desk.part("trouble")
        assert desk.desk.exercise.log.entries == ()
        await desk.press("enter")
        await desk.press("ctrl+g")
        assert isinstance(desk.app.screen, ChooseScreen)
        assert desk.options("lines")[:2] == ["Caller name", "Who sits"]
        await desk.type("stature")
        assert "How tall are you" in desk.words
        assert "Coach: " in desk.words
        # No tape is needed for it: its coaching is for the adviser.
        await desk.press("f4")
        assert desk.desk.exercise.turns[-1].act == Ask("stature")
        await desk.type("/desk height")
        await desk.press("f4")
        turn = desk.desk.exercise.turns[-1]
        assert turn.act == Coach("desk_height")
        assert turn.adviser.startswith("Measure from the floor")


async def test_bare(tmp_path: Path) -> None:
    """Nothing but the caller: a name is all that shows until it was asked, and no figures."""
    async with practice(tmp_path, (120, 40)) as desk:
        await desk.play(CALLER, "unaided")
        assert " of " not in desk.part("status").split("|")[1]
        assert not desk.desk.query_one("#side").display
        await desk.type("/who sits")
        assert desk.words == "Who sits"
        await desk.press("enter")
        assert desk.desk.exercise.turns[-1].act == Ask("who_sits")
        # Its choices show now: the answer has to be entered in the desk's terms.
        assert "Who is the chair for" in desk.words
        assert " 1  " in desk.words
        await desk.type("1")
        assert "Listen" in desk.words
        await desk.press("ctrl+g")
        every = desk.desk.session.basis.tree.questions
        assert len(desk.options("lines")) == len(every)
        await desk.press("escape")
        await desk.type("/desk height 74")
        entered = desk.desk.exercise.log.entries[-1]
        assert (entered.question, entered.taken) == ("desk_height", True)


async def test_odd_and_again(tmp_path: Path) -> None:
    """An odd value is given back as in life; F10 has it measured once more, also when entered."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER)
        await desk.type("/desk height")
        await desk.press("enter")
        heard = desk.desk.exercise.turns[-1]
        assert heard.shown == ("to_the_drawer",)
        await desk.type("97 cm")
        assert desk.part("trouble").startswith("! ")
        assert not desk.desk.exercise.log.entries[-1].taken
        await desk.press("f10")
        assert desk.desk.exercise.turns[-1].act == Again("desk_height")
        await desk.type("74 cm")
        await desk.press("f10")
        assert desk.desk.exercise.turns[-1].act == Again("desk_height")
        assert desk.words.startswith("Amend: ")
        await desk.press("escape")
        assert "Who am I speaking to?" in desk.words
        # What is not measured is asked: its coaching is not for the caller's ears.
        await desk.type("/who sits")
        await desk.press("f4")
        assert "asked without coaching" in desk.part("trouble")
        assert Ask("who_sits") in [turn.act for turn in desk.desk.exercise.turns]


async def test_nothing_to_ask_again(tmp_path: Path) -> None:
    """F10 before anything was asked says so."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER)
        await desk.press("f10")
        assert "You have not asked anything yet" in desk.part("trouble")
        assert len(desk.desk.exercise.turns) == 1


async def test_a_hint(tmp_path: Path) -> None:
    """It says what it costs first; refused it costs nothing; taken it stands in the talk."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER)
        await desk.press("alt+h")
        assert isinstance(desk.app.screen, AskScreen)
        assert "1 point" in desk.app.screen.told
        await desk.press("escape")
        assert desk.desk.exercise.log.hints == ()
        await desk.press("alt+h", "y")
        assert len(desk.desk.exercise.log.hints) == 1
        assert "Hint (-1): Ask now: " in desk.spoken
        assert "hints taken: 1" in desk.part("status")


async def test_a_caution_interrupts(tmp_path: Path) -> None:
    """A sign entered interrupts as in life; saying it is an act, and the caller answers."""
    async with practice(tmp_path) as desk:
        await desk.play("sign_by_the_way")
        await desk.type("/warning signs: both_legs")
        assert isinstance(desk.app.screen, CautionScreen)
        await desk.press("enter")
        assert isinstance(desk.app.screen, CautionScreen)
        await desk.press("s")
        turn = desk.desk.exercise.turns[-1]
        assert isinstance(turn.act, Say)
        assert turn.caller in desk.spoken
        assert desk.part("cautions").startswith("STOP, said at ")
        # No chair may be named now.
        await desk.press("f8")
        assert "no chair can be recommended" in desk.part_text("#end-text")
        await desk.press("r")
        assert len(desk.desk.exercise.turns) == turn.number


async def test_the_list_at_a_small_screen(tmp_path: Path) -> None:
    """F3 shows what was entered in place of the conversation; Esc brings that back."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER)
        await desk.type("Bea")
        said, talk = desk.desk.query_one("#said"), desk.desk.query_one("#conversation")
        assert (said.display, talk.display) == (False, True)
        await desk.press("f3")
        await desk.pilot.pause()
        assert (said.display, talk.display) == (True, False)
        await desk.press("escape")
        await desk.pilot.pause()
        assert (said.display, talk.display) == (False, True)


@pytest.mark.parametrize("yes", [True, False])
async def test_leaving(yes: bool, tmp_path: Path) -> None:
    """Ctrl+Q asks first; a call left is neither marked nor kept."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER)
        await desk.press("ctrl+q")
        assert isinstance(desk.app.screen, AskScreen)
        await desk.press("y" if yes else "escape")
        assert isinstance(desk.app.screen, StartScreen) is yes
        assert desk.practising.learners.read(LEARNER).done == ()


async def test_hostile_words(tmp_path: Path) -> None:
    """Whatever is typed, it is shown as it stands and nothing breaks."""
    words = ["[b]bold[/b] [/]", "/[x", "//", "🪑" * 50, "שלום\u202e", "x" * 10_000, "\x1b[31m"]
    async with practice(tmp_path) as desk:
        await desk.play("young_sitter")
        for each in words:
            await desk.type(f"/caller name: {each}")
            await desk.type(each)
        entered = [one for one in desk.desk.exercise.log.events if isinstance(one, Entered)]
        assert words[0] in [one.said for one in entered]
        await desk.end()
        assert "NOT PASSED" in desk.part("verdict") or "FAILED" in desk.part("verdict")


async def test_the_chair_comes_before_the_question_about_it(tmp_path: Path) -> None:
    """Enter does not ask whether to note a chair that nobody named; once it was, it does."""
    async with practice(tmp_path) as desk:
        await desk.play(CALLER)
        await desk.type("/stature 170")
        await desk.type("/agreed")
        for key in ("enter", "f4"):
            await desk.press(key)
            assert "Say the chair first: F8, then r" in desk.part("trouble")
        await desk.press("f8", "r")
        assert "Now the question on the screen" in desk.part("trouble")
        await desk.type("/agreed")
        await desk.press("enter")
        assert desk.desk.exercise.turns[-1].act == Ask("agreed")
