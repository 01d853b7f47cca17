"""Draws the README's pictures of real screens: ``PYTHONPATH=. python .ci/pictures.py``."""

from __future__ import annotations

import asyncio
import os
import tempfile
from datetime import datetime
from pathlib import Path
from shutil import copytree

from textual.events import Paste

os.environ["TEXTUAL_ANIMATIONS"] = "none"

from consult.body.population import load_population
from consult.call.basis import load_basis
from consult.call.state import state
from consult.call.transcript import load_transcript
from consult.content.editing.folder import DraftFolder
from consult.paths import default_tree, demo_folder, trees_folder
from consult.practice.catalogue import choices_in
from consult.practice.learner.store import Learners
from consult.summary.pictures import pictures
from consult.ui.edit.app import EditApp
from consult.ui.practice.app import PractiseApp
from consult.ui.practice.rows import CallerRow, Practising
from tests.ui.desk import before, desk

FOLDER = Path(__file__).resolve().parents[1] / ".pictures"
NOON = datetime(2026, 11, 25, 12, 0)


async def draw(name: str, question: str, size: tuple[int, int], *keys: str) -> None:
    """The call desk at a question of a short caller's call ('' at its end), after these keys."""
    with tempfile.TemporaryDirectory() as folder:
        async with desk(Path(folder), before(question), size) as at:
            await at.settle()
            for key in keys:
                await (at.paste(key[1:]) if key.startswith("=") else at.press(key))
            await at.settle()
            # The folder that files would be saved in tells of the machine.
            shown = at.app.export_screenshot(title="consult").replace(str(Path(folder)), "calls")
            (FOLDER / f"{name}.svg").write_text(shown)


WEAKENED = (
    "aches.yaml",
    "    when: numb_hands in pain_sites\n",
    "    when: numb_hands in pain_sites and wrists in pain_sites\n",
)
"""A caution that fewer callers would hear: file, words, words instead."""


async def draw_edit(
    name: str,
    size: tuple[int, int],
    find: str,
    *keys: str,
    edited: tuple[str, str, str] | None = None,
) -> None:
    """The content desk at a piece of the trees, after these keys."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "trees"
        copytree(default_tree().parent, folder)
        draft = DraftFolder.open(folder)
        if edited:
            file, words, instead = edited
            draft.edit({file: draft.texts[file].replace(words, instead)}, "ask for sore wrists too")
        app = EditApp(draft, clock=lambda: NOON)
        async with app.run_test(size=size) as pilot:
            await pilot.pause(1)
            for key in ("ctrl+f", f"={find}", "enter", *keys):
                if key.startswith("="):
                    app.screen.post_message(Paste(key[1:]))
                else:
                    await pilot.press(key)
                await pilot.pause(0.5)
            await app.workers.wait_for_complete()
            await pilot.pause(1)
            shown = app.export_screenshot(title="consult edit").replace(str(folder), "draft")
            (FOLDER / f"{name}.svg").write_text(shown)


async def draw_practice(name: str, caller: str, questions: int, size: tuple[int, int]) -> None:
    """A practice call after so many questions, and its score after that."""
    folder = trees_folder() / "practice"
    with tempfile.TemporaryDirectory() as place:
        choices, _ = choices_in(folder)
        learners = Learners(Path(place))
        practising = Practising(
            choices, learners, "Ann", lambda: NOON, load_population(), level="guided", seed=1
        )
        choice = next(one for one in choices if one.name == caller)
        app = PractiseApp(practising, CallerRow(choice, choice.title, "", "guided", 1))
        async with app.run_test(size=size) as pilot:
            while app.desk is None:
                await pilot.pause(0.2)
            await pilot.pause(0.5)
            for number in range(questions):
                await pilot.press("enter")
                if number < questions - 1:
                    told = app.desk.exercise.turns[-1]
                    app.screen.post_message(Paste(told.tells.get(told.about, "?")))
                    await pilot.pause()
                    await pilot.press("enter")
            await app.workers.wait_for_complete()
            await pilot.pause(0.5)
            (FOLDER / f"{name}.svg").write_text(app.export_screenshot(title="consult practise"))
            await pilot.press("f8", "c")
            await pilot.pause(0.5)
            await app.workers.wait_for_complete()
            await pilot.pause(1)
            (FOLDER / "marks.svg").write_text(app.export_screenshot(title="consult practise"))


def side_view() -> None:
    """The drawing of the first demo call's summary."""
    basis, _ = load_basis(default_tree())
    transcript, _ = load_transcript(demo_folder() / "01_short_caller_high_desk.yaml")
    assert basis is not None
    assert transcript is not None
    drawn = pictures(state(basis, transcript.call), transcript.call.system)
    (FOLDER / "side_view.svg").write_text(drawn["side_view"].svg)


async def main() -> None:
    """All of them."""
    FOLDER.mkdir(exist_ok=True)
    side_view()
    await draw("measuring", "desk_height", (120, 40))
    await draw("small", "desk_height", (80, 24))
    await draw("try", "desk_height", (120, 30), "=66 cm", "alt+t")
    await draw("topics", "agreed", (120, 30), "down")
    await draw("why", "agreed", (120, 40), "f7")
    await draw("finish", "", (120, 40), "f8")
    await draw("stop", "warning_signs", (120, 30), "=both legs", "enter")
    await draw_edit("edit", (140, 40), "elbow_height")
    await draw_practice("practice", "short_and_mixed", 14, (120, 40))
    await draw_edit("effect", (120, 30), "numb_hands_review", "alt+i", edited=WEAKENED)


if __name__ == "__main__":
    asyncio.run(main())
