"""The worked example of another product on the call screen: nothing there speaks of chairs."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from textual.app import App

from consult.call.basis import Basis, load_basis
from consult.call.call import Answer
from consult.call.state import state
from consult.call.transcript import Transcript, load_transcript
from consult.paths import shipped_trees
from consult.summary import PAPERS, Paper
from consult.summary.measuring_sheet import measuring_sheet
from consult.summary.render import Writer, sheet_blocks
from tests.ui.desk import desk

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"
DEMOS = sorted((EXAMPLE / "demo_calls").glob("*.yaml"))
WORDS = ("chair", "seat height", "armrest", "gas lift")


@cache
def basis() -> Basis:
    """The example, as a call has it."""
    found, problems = load_basis(EXAMPLE / "desk_fitting.yaml")
    assert found is not None, problems
    return found


@cache
def demo(path: Path) -> Transcript:
    """A demo call of the example."""
    found, problems = load_transcript(path)
    assert found is not None, problems
    return found


def seen(app: App[None]) -> str:
    """Every line of the screen on top."""
    screen = app.screen
    lines = (screen._compositor.render_strips()[y].text for y in range(screen.size.height))
    return "\n".join(lines)


def no_chair(text: str, where: str) -> None:
    """Fails where a word of chairs is in a text."""
    found = [word for word in WORDS if word in text.casefold()]
    assert not found, f"{where}: {found}\n{text}"


async def test_the_screens_speak_of_desks(tmp_path: Path) -> None:
    """Near the end of a call: figures, price and odds, and the pages that keys open."""
    told = demo(DEMOS[0]).call
    *before, last = told.answers
    call = replace(told, answers=tuple(before))
    async with desk(tmp_path, call, (120, 40), basis=basis()) as at:
        await at.pilot.app.workers.wait_for_complete()
        await at.pilot.pause()
        here = seen(at.pilot.app)
        assert "Three-stage frame" in here
        assert all(f"{label} " in here for label in ("Standing", "Sitting"))
        no_chair(here, "the call")
        for key, says in (("f7", "Why this desk"), ("f1", "Help")):
            await at.press(key)
            await at.pilot.app.workers.wait_for_complete()
            await at.pilot.pause()
            assert says in seen(at.pilot.app)
            no_chair(seen(at.pilot.app), key)
            await at.press("escape")
        await at.give(Answer(last.question, last.said))
        no_chair(seen(at.pilot.app), "the end")


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("paper", PAPERS)
def test_the_documents_speak_of_desks(path: Path, paper: Paper) -> None:
    """Every document of every demo call, for every reader."""
    now = state(basis(), demo(path).call)
    written = Writer(basis(), now, strict=True).write("text", paper).decode()
    # "Above the seat" is where a sitting elbow is measured from.
    no_chair(written, paper)
    assert "desk" in written.casefold()


def test_its_measuring_sheet() -> None:
    """It shows how the elbow is measured of somebody who stands, and has a drawing of it."""
    questions = basis().tree.questions.values()
    sheet = measuring_sheet(basis().tree, questions, "metric")
    assert [one.name for one in sheet.measures] == ["stature", "elbow_height_standing", "heel"]
    blocks = str(sheet_blocks(basis(), sheet))
    assert "Elbow height, standing" in blocks
    assert "measure:elbow_height_standing" in blocks
