"""The score page: verdict, items, the way to the moment, and what is kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import OptionList

from consult.ui.practice.start_screen import StartScreen
from tests.ui.desk import SIZES
from tests.ui.practice.practice_desk import LEARNER, PracticeDesk, practice


async def missed_sign(desk: PracticeDesk) -> None:
    """A call in which the caller lets a sign fall, and nobody minds."""
    await desk.play("sign_by_the_way")
    for said in ("Colin", "1", "old chair"):
        await desk.press("enter")
        await desk.type(said)
    assert "both_legs_by_the_way" in desk.desk.exercise.turns[3].shown
    await desk.press("f8", "r")
    await desk.end()


@pytest.mark.parametrize("size", SIZES)
async def test_a_missed_sign(size: tuple[int, int], tmp_path: Path) -> None:
    """It stands first, in words; Enter goes to the moment it was said; the record has it.

    Every behaviour is explained, what comes next is named, and n plays the next caller.
    """
    async with practice(tmp_path, size) as desk:
        await missed_sign(desk)
        assert desk.part("verdict").startswith("!! FAILED: WARNING SIGNS !!")
        first = desk.options("score")[0]
        assert "!! FAILS THE CALL: " in first
        assert "(turn 4)" in first
        assert "Better: Say: “I have to stop here." in first
        await desk.press("enter")
        await desk.pilot.pause()
        moments = desk.score.query_one("#moments", OptionList)
        assert moments.has_focus
        assert moments.display
        assert moments.highlighted is not None
        chosen = moments.get_option_at_index(moments.highlighted)
        assert chosen.id == "turn-4"
        assert desk.score.exercise.turns[3].caller in str(chosen.prompt)
        await desk.press("escape")
        marks = desk.score.query_one("#score", OptionList)
        assert marks.has_focus
        assert marks.display
        (done,) = desk.practising.learners.read(LEARNER).done
        assert not done.passed
        assert ("both_legs_by_the_way", False) in [(one.name, one.noticed) for one in done.met]
        # Every behaviour is explained, and what comes next is named; n plays the next caller.
        lines = desk.options("score")
        assert not any("(Pace)" in one for one in lines)
        explained = next(one for one in lines if one.startswith("Both legs by the way"))
        assert "(turn 4, MISSED)" in explained
        assert "Tingling in both legs is on the list." in explained
        assert any(one.startswith("Rather not say  (it did not come up") for one in lines)
        at = lines.index("What to practise next")
        assert any("a warning sign said in passing: again on 26 November" in x for x in lines[at:])
        judged = desk.score.judged
        assert judged is not None
        assert judged.next is not None
        assert lines[-1].startswith("n plays the next caller: ")
        await desk.press("n")
        await desk.settle()
        assert desk.persona.name == judged.next.name


async def test_again_and_back(tmp_path: Path) -> None:
    """r plays the same caller with the same seed; c shows the callers, with how it went."""
    async with practice(tmp_path) as desk:
        await desk.play("sign_by_the_way", seed=7)
        await desk.end()
        await desk.press("r")
        await desk.settle()
        assert (desk.persona.name, desk.desk.exercise.seed) == ("sign_by_the_way", 7)
        await desk.end()
        await desk.press("c")
        await desk.pilot.pause()
        assert isinstance(desk.app.screen, StartScreen)
        row = next(one for one in desk.options("callers") if "sign_by_the_way" in one)
        assert "practised 2 times" in row
        assert "NOT PASSED" in row


async def test_a_record_that_cannot_be_kept(tmp_path: Path) -> None:
    """The score show all the same, and say that they are not kept."""
    place = tmp_path / "taken"
    place.write_text("a file where the folder should be", "utf-8")
    async with practice(place) as desk:
        await desk.play("young_sitter")
        await desk.end()
        assert "FAILED" in desk.part("verdict")
        assert any(one.startswith("! Not stored in your record: ") for one in desk.options("score"))


@pytest.mark.parametrize("learner", ["../[red]Ann[/red]/passwd", "名前 \u202e 🪑" + "x" * 500])
async def test_hostile_learners(learner: str, tmp_path: Path) -> None:
    """A name is shown as it stands, and writes no file but one in the folder of practice."""
    async with practice(tmp_path / "kept", learner=learner) as desk:
        assert "PRACTICE  |  " in desk.part("status")
        await desk.play("young_sitter")
        await desk.end()
        assert len(desk.practising.learners.read(learner).done) == 1
        await desk.press("c")
        await desk.press("f3")
        assert len(list(tmp_path.rglob("*.jsonl"))) == 1
        assert [path.name for path in tmp_path.iterdir()] == ["kept"]
