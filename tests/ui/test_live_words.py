"""What a screen says in words, for the page of a browser."""

from __future__ import annotations

from pathlib import Path

from consult.ui.live_words import LiveWords, live_words
from tests.ui.desk import Desk, before, desk
from tests.ui.test_call_screen import HOSTILE


def words(at: Desk) -> LiveWords:
    """What is on top says now."""
    return live_words(at.top)


async def test_a_question_with_its_choices(tmp_path: Path) -> None:
    """Is asked whole, and how it may be answered; nothing is urgent."""
    async with desk(tmp_path, before("who_sits")) as at:
        asked = words(at)["asked"]
        question = at.screen.now.current
        assert question is not None
        labels = [f"{number} {one}" for number, one in enumerate(question.choices.values(), 1)]
        assert asked[: len(labels) + 1] == [f"Say: {question.ask}", *labels]
        assert asked[-1] == "a number, or the first letters"
        assert words(at)["urgent"] == []


async def test_what_changed(tmp_path: Path) -> None:
    """What became of an answer, the chair, and each figure that moved; the rest is beside it."""
    async with desk(tmp_path, before("stature")) as at:
        await at.answer("zzz")
        assert any("zzz" in line for line in words(at)["changed"])
        await at.answer("5ft 2")
        await at.settle()
        said = words(at)
        assert not any("zzz" in line for lines in said.values() for line in lines)
        assert any(line.startswith("Changed: Seat height ") for line in said["changed"])
        assert any("fits" in line for line in said["changed"])
        assert any(line.startswith("Stature: 5ft 2") for line in said["around"])
        assert any("f8 Finish" in line for line in said["around"])


async def test_a_caution_is_urgent_and_alone(tmp_path: Path) -> None:
    """Word for word, with whom to contact and its key; the question is not asked meanwhile."""
    async with desk(tmp_path, before("warning_signs")) as at:
        await at.paste("2")
        await at.press("enter")
        raised = at.screen.now.to_say[0]
        said = words(at)
        assert raised.say in said["urgent"]
        assert "Press s once" in said["urgent"][-1]
        assert said["asked"] == said["changed"] == said["around"] == []
        await at.press("s")
        assert words(at)["urgent"] == []
        assert any(line.startswith("STOP, said") for line in words(at)["changed"])


async def test_an_answer_asked_again_has_the_old_one(tmp_path: Path) -> None:
    """A screen reader says nothing of what stands in a line by itself."""
    async with desk(tmp_path, before("weight")) as at:
        await at.paste("/undo")
        await at.press("enter")
        assert "Answer so far: 5ft 2" in words(at)["asked"]


async def test_the_line_chosen_in_a_list(tmp_path: Path) -> None:
    """Each move of the arrow keys says the line under the cursor, and no other."""
    async with desk(tmp_path, before("stature")) as at:
        await at.press("ctrl+g")
        first, rest = words(at)["changed"], words(at)["asked"]
        await at.press("down")
        assert words(at)["asked"] == rest
        assert len(first) == len(words(at)["changed"]) == 1
        assert first != words(at)["changed"]


async def test_what_saving_came_to(tmp_path: Path) -> None:
    """It changes; the summary is the page, read to its end."""
    async with desk(tmp_path, before("")) as at:
        await at.press("f8")
        assert "The summary" in words(at)["asked"]
        await at.press("s")
        await at.settle()
        assert any(line.startswith("Saved ") for line in words(at)["changed"])


async def test_hostile_text(tmp_path: Path) -> None:
    """Is said as it stands; what steers a terminal is shown as a sign."""
    async with desk(tmp_path, before("caller_name")) as at:
        for said in HOSTILE:
            await at.answer(f"/caller name {said}")
            assert at.screen.now.caller_name == said
            lines = [line for lines in words(at).values() for line in lines]
            assert all(line.isprintable() for line in lines), said
            if said.isprintable():
                assert any(said in line for line in lines), said
