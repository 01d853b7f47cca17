"""Whole practice calls through real keys, as the adviser who does everything right leads them."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.practice.load import load_persona
from consult.practice.log import Again, Ask, Coach, Entered, Log, Recommend, Say, Spoke
from consult.practice.model import Guidance
from consult.practice.model_call import led_exercise
from consult.ui.side_pages import CautionScreen
from tests.call.calls import basis_of
from tests.practice.callers import START
from tests.ui.practice.practice_desk import LEARNER, PracticeDesk, choices, practice


def model(name: str, level: Guidance) -> Log:
    """The call as it should be led."""
    (choice,) = (one for one in choices() if one.name == name)
    basis = basis_of(choice.tree)
    persona, problems = load_persona(choice.path, basis.tree, basis.population, 1)
    assert persona is not None, problems
    return led_exercise(basis, persona, 1, level, START)


async def act(desk: PracticeDesk, event: Spoke) -> None:
    """One act of the model call, by keys."""
    match event.turn.act:
        case Ask(question) | Coach(question) if event.turn.about:
            on_desk = desk.desk.on_desk
            if on_desk is None or on_desk.name != question:
                await desk.type(f"/{question.replace('_', ' ')}")
            await desk.press("f4" if isinstance(event.turn.act, Coach) else "enter")
        case Again(question):
            on_desk = desk.desk.on_desk
            if on_desk is None or on_desk.name != question:
                await desk.type(f"/{question.replace('_', ' ')}")
                # An old answer stands in the line to be amended.
                await desk.press("ctrl+u")
            # What was asked before is asked again with either key.
            await desk.press("alt+q")
        case Say():
            assert isinstance(desk.app.screen, CautionScreen)
            await desk.press("s")
        case Recommend():
            await desk.press("f8", "r")


async def led(desk: PracticeDesk, log: Log) -> None:
    """Lead a whole call as the log has it."""
    for event in log.events:
        desk.clock.move(5)
        if isinstance(event, Spoke):
            await act(desk, event)
        elif isinstance(event, Entered):
            await desk.type(event.said)
    await desk.end()


@pytest.mark.parametrize(
    ("name", "level", "size"),
    [
        ("tape_too_far", "guided", (80, 24)),
        ("young_sitter", "partly_guided", (120, 40)),
        ("sign_by_the_way", "unaided", (80, 24)),
    ],
)
async def test_a_call_well_led(
    name: str, level: Guidance, size: tuple[int, int], tmp_path: Path
) -> None:
    """What the perfect adviser does can be done by keys, earns a full score, and is kept."""
    best = model(name, level)
    async with practice(tmp_path, size) as desk:
        await desk.play(name, level, chairs=True)
        await led(desk, best)
        judged = desk.score.judged
        assert judged is not None
        assert [one for one in judged.score.items if one.got < one.of] == []
        assert desk.part("verdict").startswith("PASSED")
        (done,) = desk.practising.learners.read(LEARNER).done
        assert (done.caller, done.level, done.passed) == (name, level, True)
        said = [turn.caller for turn in desk.score.exercise.turns]
        assert said == [turn.caller for turn in best.turns]
