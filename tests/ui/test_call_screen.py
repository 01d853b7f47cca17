"""Whole calls at the desk, by keyboard, at the three sizes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.widgets import Input

from consult.call.ahead import Coming, WorkedOut
from consult.call.call import Call
from consult.call.expectation import disappointments
from consult.call.state import state
from consult.records.store import open_store
from consult.ui.call_screen import CallScreen
from consult.ui.chair_work import ChairChosen
from consult.ui.dialogs import TextScreen
from consult.ui.side_pages import CautionScreen, CautionsScreen, FinishScreen
from consult.ui.widgets.panels import FitPanel, SaidList
from consult.ui.widgets.part import TextPart
from tests.long import LONG
from tests.ui.desk import NOON, SIZES, before, demo, demo_basis, desk, draw

HOSTILE = [
    "[left]",
    "[/]",
    "[Red]",
    "[$x]",
    "a [b",
    "end\\",
    "😀 שלום",
    "\x1b[31mred",
    "'\"`",
    "\u202eback",
]


HELD = [
    ("01", SIZES[0]),
    ("04", (120, 40)),
    *([("01", SIZES[-1]), ("05", (120, 40)), ("06", SIZES[-1])] if LONG else []),
]


@pytest.mark.parametrize(("name", "size"), HELD)
async def test_demo_call(name: str, size: tuple[int, int], tmp_path: Path) -> None:
    """A demo call held by keyboard comes out as its file expects, and its saved file too."""
    transcript = demo(name)
    async with desk(tmp_path, replace(transcript.call, answers=()), size) as at:
        for answer in transcript.call.answers:
            await at.give(answer)
        await at.settle()
        assert disappointments(transcript, at.screen.now) == []
        assert at.screen.now.current is None
        kept = at.saved()
    again = state(demo_basis(), kept)
    if again.consent:
        assert disappointments(transcript, again) == []


async def test_typed_key_by_key(tmp_path: Path) -> None:
    """Answers can be typed letter by letter; Enter takes them and empties the line. What cannot be
    understood is explained beside the field and stays there to mend."""
    async with desk(tmp_path) as at:
        await at.press(*"Ada", "enter")
        assert at.screen.now.caller_name == "Ada"
        assert at.typed == ""
        await at.answer("a hippopotamus")
        assert at.typed == "a hippopotamus"
        assert "not one of the answers" in at.text("#trouble")
        assert len(at.screen.now.call.answers) == 1
        await at.press("1", "enter")
        assert at.screen.now.call.latest()["who_sits"].said == "1"


async def test_odd_measure_is_given_back_once(tmp_path: Path) -> None:
    """An odd thigh length is asked for again; the same once more stands, as measured twice. A new
    value after an odd one is judged afresh."""
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.answer("59 cm")
        assert "again" in at.text("#trouble")
        assert "thigh_length" not in at.screen.now.call.latest()
        assert at.typed == "59 cm"
        await at.press("enter")
        assert at.screen.now.call.latest()["thigh_length"].confirmed
        await at.answer("/thigh length 60 cm")
        assert "again" in at.text("#trouble")
        at.screen.query_one("#answer", Input).clear()
        await at.answer("/thigh length 46 cm")
        answer = at.screen.now.call.latest()["thigh_length"]
        assert (answer.said, answer.confirmed) == ("46 cm", False)


async def test_unknown_key(tmp_path: Path) -> None:
    """F2 records that the caller does not know, and the call goes on."""
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.press("f2")
        step = at.screen.now.step("thigh_length")
        assert step is not None
        assert step.status == "unknown"
        assert at.screen.now.current is not step.question


async def test_amend_and_leave(tmp_path: Path) -> None:
    """Amending shows the old answer; Escape leaves it, Enter takes the new one."""
    async with desk(tmp_path, before("weight")) as at:
        asked = at.screen.now.current
        await at.press("f3", "enter")
        assert at.typed == at.screen.now.call.answers[-1].said
        await at.press("escape")
        assert at.typed == ""
        assert at.screen.session.asking is asked
        await at.amend("stature", "170 cm")
        assert at.screen.now.call.latest()["stature"].said == "170 cm"
        assert at.screen.now.current is asked


def to_the_signs() -> Call:
    """The demo call with a stop, up to the list of warning signs."""
    call = demo("04").call
    place = [answer.question for answer in call.answers].index("warning_signs")
    return replace(call, answers=call.answers[:place])


async def test_stop_must_be_said(tmp_path: Path) -> None:
    """A stop interrupts with its words, Enter does not wave it away, and advice has ended."""
    async with desk(tmp_path, to_the_signs()) as at:
        assert at.screen.now.fit is not None
        await at.paste("2")
        await at.press("enter", "enter", "enter")
        assert isinstance(at.pilot.app.screen, CautionScreen)
        said = str(at.pilot.app.screen.query_one("#caution-say").render())
        assert "999" in said
        await at.press("s")
        assert isinstance(at.pilot.app.screen, CallScreen)
        assert at.screen.now.fit is None
        assert "STOP" in at.text("#cautions")
        assert "ended" in at.text("fit")


async def test_fit_follows_each_answer(tmp_path: Path) -> None:
    """The panel shows a narrower seat depth after the thigh length is measured, and marks it."""
    async with desk(tmp_path, before("thigh_length")) as at:
        wide = at.screen.now.fit
        await at.answer("46 cm")
        narrow = at.screen.now.fit
        assert wide is not None
        assert narrow is not None
        assert narrow.requirements["seat_depth"].sd < wide.requirements["seat_depth"].sd
        assert any(line.startswith("»Seat depth") for line in at.text("fit").splitlines())


async def test_hostile_text_is_shown_and_kept_literally(tmp_path: Path) -> None:
    """Markup, emoji, right-to-left and escape signs in a name are stored exactly, never obeyed."""
    async with desk(tmp_path) as at:
        for number, text in enumerate(HOSTILE):
            if number:  # the name is the only answer of the list
                await at.press("f3", "enter")
            at.screen.query_one("#answer", Input).value = text
            await at.press("enter")
            assert at.screen.now.caller_name == text
            shown = at.screen.query_one(SaidList).get_option("caller_name").prompt
            assert text.replace("\x1b", "␛").replace("\u202e", "\ufffd") in str(shown)
            draw(at.app)
            assert at.saved().answers[-1].said == text
        await at.press("f3", "enter")
        at.screen.query_one("#answer", Input).value = " ".join(HOSTILE)
        await at.press("enter", "f8")
        assert isinstance(at.top, FinishScreen)
        draw(at.app)


PAPERS = {
    "f8": ("", {".txt", ".html", ".pdf", ".eml", ".json"}),
    "c": ("-card", {".html", ".pdf"}),
    "e": ("-employer", {".txt", ".html", ".pdf", ".eml"}),
    "o": ("-order", {".txt", ".pdf", ".json"}),
    "f": ("-file", {".txt", ".json"}),
}


async def test_papers_are_saved(tmp_path: Path) -> None:
    """F8 shows the end of the call; a key for each paper saves it in its forms where it says, and
    the records know of every file."""
    saved: set[Path] = set()
    async with desk(tmp_path, demo("01").call) as at:
        await at.answer("/caller name Ada Fenwick")
        await at.press("f8")
        assert isinstance(at.pilot.app.screen, FinishScreen)
        for key, (paper, endings) in PAPERS.items():
            await at.press(key)
            stem = f"summary-{NOON:%Y%m%d-%H%M}{paper}"
            files = {path for path in tmp_path.iterdir() if path.stem == stem}
            assert {path.suffix for path in files} == endings
            saved |= files
            store = open_store(tmp_path / "records.db")
            assert set(store.read(at.screen.reference).summaries) == {str(path) for path in saved}
            store.close()


async def test_saving_where_nothing_can_be_saved(tmp_path: Path) -> None:
    """A place that cannot be written to is explained, and the call is still there."""
    async with desk(tmp_path, demo("01").call) as at:
        await at.press("f8")
        screen = at.pilot.app.screen
        screen.query_one("#save-as", Input).value = "/proc/nowhere/summary"
        await at.press("f8")
        assert "Not saved" in str(screen.query_one("#save-result").render())
        await at.press("escape")
        assert at.screen.now.finished


async def test_a_call_that_cannot_be_kept_goes_on(tmp_path: Path) -> None:
    """When the disk refuses, the adviser is told and nothing typed is lost."""
    (tmp_path / "file").write_text("in the way")
    async with desk(tmp_path / "file") as at:
        await at.answer("Ada")
        assert at.screen.now.caller_name == "Ada"
        assert "recovery file" in at.text("#trouble")


async def test_an_amount_in_a_question_is_in_the_callers_units(tmp_path: Path) -> None:
    """What is asked and coached says its amounts in the units that F5 chose."""
    basis = demo_basis()
    names = dict(basis.tree.questions)
    first = names[basis.tree.first]
    names[first.name] = replace(first, ask="Over <110 kg>?", coach="A hand is <10 cm>.")
    asked = replace(basis, tree=replace(basis.tree, questions=names))
    async with desk(tmp_path, basis=asked) as at:
        assert "Over 110 kg?" in at.text("#ask")
        await at.press("f5")
        assert "Over 17 st 5 lb?" in at.text("#ask")
        assert "A hand is 4 in." in at.text("#ask")


async def test_pages_and_units(tmp_path: Path) -> None:
    """F1 and F6 open a page and Escape comes back; F5 goes from metric to imperial to both and
    back, and the panel follows."""
    async with desk(tmp_path) as at:
        for key, page in (("f1", TextScreen), ("f6", CautionsScreen)):
            await at.press(key)
            assert isinstance(at.top, page)
            await at.press("escape")
            assert isinstance(at.pilot.app.screen, CallScreen)
        panel = at.screen.query_one(FitPanel)
        assert str(panel.border_title).endswith("cm")
        await at.press("f5")
        assert str(panel.border_title).endswith("in")
        assert any(half in at.text("fit") for half in "¼½¾")
        await at.press("f5", "f5")
        assert at.screen.now.call.system == "metric"


async def test_resize(tmp_path: Path) -> None:
    """A larger terminal has whole words and a picture, a smaller one neither; what was typed
    stays."""
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.paste("46")
        picture = at.screen.query_one("#picture")
        for size in ((200, 60), (80, 24), (120, 40), (30, 10), (80, 24)):
            await at.pilot.resize_terminal(*size)
            await at.pilot.pause()
            large = size[0] >= 100
            assert ("est." in at.text("fit") or "estimated" in at.text("fit")) is large
            assert picture.display is large
        assert at.typed == "46"


async def test_a_long_list_is_seen_whole(tmp_path: Path) -> None:
    """At 80x24 the list of warning signs takes the whole width, and its last line is in sight."""
    async with desk(tmp_path, to_the_signs()) as at:
        assert not at.screen.query_one("#side").display
        ask, say = at.screen.query_one("#ask", TextPart), at.screen.query_one("#say")
        assert ask.shown is not None
        rows = [line.plain for line in ask.shown.wrap(ask.content_size.width)]
        last = next(at for at, row in enumerate(rows) if row.startswith("14  "))
        assert last < say.size.height


async def test_the_chair_comes_beside_the_call(tmp_path: Path) -> None:
    """The chair is chosen off the event loop; it shows how sure it is. What was chosen for an
    earlier state never replaces a later one."""
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.pilot.app.workers.wait_for_complete()
        await at.pilot.pause()
        old = at.screen.now
        assert old.chosen is not None
        assert " of 100 people" in at.text("chair")
        await at.answer("46 cm")
        at.screen.post_message(ChairChosen(old, WorkedOut(old, Coming((), 0.0), (), "")))
        await at.pilot.pause()
        assert at.screen.now.call.latest()["thigh_length"].said == "46 cm"


async def test_no_chair_is_shown_after_a_stop(tmp_path: Path) -> None:
    """The chair of before a stop does not stay on the screen, and one that was being chosen when
    the warning sign came does not bring advice back."""
    async with desk(tmp_path, to_the_signs()) as at:
        await at.pilot.app.workers.wait_for_complete()
        old = at.screen.now
        await at.answer("2")
        await at.pilot.app.workers.wait_for_complete()
        await at.pilot.pause()
        assert at.text("chair") == ""
        at.screen.post_message(ChairChosen(old, WorkedOut(old, Coming((), 0.0), (), "")))
        await at.pilot.pause()
        assert at.screen.now.stopped is not None
        assert at.screen.now.fit is None
        assert at.text("chair") == ""


async def test_why(tmp_path: Path) -> None:
    """F7 explains the chair on a page of its own; without a chair it says so."""
    async with desk(tmp_path, demo("01").call) as at:
        await at.press("f7")
        await at.pilot.app.workers.wait_for_complete()
        await at.pilot.pause()
        screen = at.pilot.app.screen
        assert isinstance(screen, TextScreen)
        assert "Why not another" in screen.text
    async with desk(tmp_path, demo("04").call) as at:
        await at.press("s", "f7")
        assert "nothing to explain" in at.text("#trouble")


async def test_keys_typed_ahead_keep_their_order(tmp_path: Path) -> None:
    """Whole answers typed before the screen has caught up go each to its own question."""
    async with desk(tmp_path) as at:
        for letter in "Ada\r1\r5\rx\x15n\rs":
            key = {"\r": "enter", "\x15": "ctrl+u"}.get(letter, letter)
            at.app.post_message(events.Key(key, letter))
        await at.settle()
        said = {name: answer.said for name, answer in at.screen.now.call.latest().items()}
        assert said == {"caller_name": "Ada", "who_sits": "1", "reasons": "5", "consent": "n"}
        assert at.typed == "s"


async def test_keys_after_the_end_are_for_nobody(tmp_path: Path) -> None:
    """Keys still on their way when the program ends raise nothing."""
    async with desk(tmp_path) as at:
        at.app.exit()
        for _ in range(20):
            at.app.post_message(events.Key("f6", None))


async def test_one_update_shows_question_and_chair(tmp_path: Path) -> None:
    """Where nothing is weighed anew the chair stands there when the answer was taken, without a
    thread; after a measure that a pool asked for, it comes beside the call."""
    async with desk(tmp_path, before("agreed")) as at:
        at.screen.take(at.screen.enter("as suggested"))
        assert at.screen.now.agreed == "recommended"
        assert at.screen.now.chosen is not None
        assert "choosing" not in str(at.screen.query_one(FitPanel).border_subtitle)
    async with desk(tmp_path, before("weight")) as at:
        at.screen.take(at.screen.enter("9st 4"))
        assert at.screen.now.chosen is None
        await at.pilot.app.workers.wait_for_complete()
        await at.pilot.pause()
        assert at.screen.now.chosen is not None
