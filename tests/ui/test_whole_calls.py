"""Whole calls at 80x24: by words without a function key, and by the mouse."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from textual.widgets import Input

from consult.call.basis import Basis, load_basis
from consult.call.call import Answer
from consult.call.state import State, state
from consult.call.understand import understand
from consult.paths import trees_folder
from consult.tree.model import Question
from consult.ui.side_pages import CautionScreen, FinishScreen
from tests.long import LONG
from tests.ui.desk import NOON, Desk, demo, desk
from tests.ui.test_clicks import click_on
from tests.ui.test_entering import row_of, type_in

NAMES = ["24", *(["01", "03", "04"] if LONG else [])]


@cache
def basis_of(tree: str) -> Basis:
    basis, problems = load_basis(trees_folder() / f"{tree}.yaml")
    assert basis is not None, problems
    return basis


def values(now: State) -> list[object]:
    return [step.understood and step.understood.value for step in now.steps]


@pytest.mark.parametrize("way", ["words", "mouse"])
@pytest.mark.parametrize("name", NAMES)
async def test_a_whole_call(name: str, way: str, tmp_path: Path) -> None:
    """To its end and saved: by words, or by clicks on all but names and figures."""
    transcript = demo(name)
    basis = basis_of(transcript.tree)
    async with desk(tmp_path, replace(transcript.call, answers=()), basis=basis) as at:
        give = by_words if way == "words" else by_mouse
        for answer in transcript.call.answers:
            asked = at.screen.now.current
            if asked is None or asked.name != answer.question:
                known = answer.question in at.screen.now.call.latest()
                await type_in(at, f"/{'amend ' if known else ''}{answer.question}")
                at.screen.query_one("#answer", Input).clear()
            await give(at, basis.tree.questions[answer.question], answer)
        assert at.screen.now.current is None
        if way == "words":
            await type_in(at, "/finish")
            await at.press("s")
        else:
            await click_on(at, "[Enter]")
            assert isinstance(at.top, FinishScreen)
            await click_on(at, "s Save")
        await at.settle()
        expected = state(basis, transcript.call)
        status = "stopped" if expected.stopped else "finished"
        assert at.screen.kept.stored_as(at.screen.kept_as) == status
        assert values(at.screen.now) == values(expected)


async def by_words(at: Desk, asked: Question, answer: Answer) -> None:  # noqa: ARG001
    await at.answer(answer.said)
    if answer.confirmed:
        await at.press("enter")


async def by_mouse(at: Desk, asked: Question, answer: Answer) -> None:
    value = understand(asked, answer.said, NOON.date()).value
    if value is None:
        await click_on(at, "[Not known]")
    elif asked.answer == "yes-no":
        await click_on(at, "[Yes]" if value else "[No]")
    elif asked.choices:
        await click_choices(at, asked, [value] if isinstance(value, str) else sorted(value))  # type: ignore[arg-type]
    else:
        await at.paste(answer.said)
        await click_on(at, "[Enter]")
    while isinstance(at.top, CautionScreen):
        await click_on(at, "Press s once")
    if answer.confirmed:
        await click_on(at, "[Enter]")


async def click_choices(at: Desk, asked: Question, chosen: list[str]) -> None:
    """Click each, scrolling the list to it; several are taken by Enter."""
    for one in chosen:
        say, row = at.screen.query_one("#say"), row_of(at, list(asked.choices).index(one) + 1)
        say.scroll_to(y=max(0, row - say.size.height + 1), animate=False)
        await at.pilot.pause()
        await at.pilot.click("#ask", offset=(6, row))
        await at.pilot.pause()
    if asked.answer == "choices":
        await click_on(at, "[Enter]")
