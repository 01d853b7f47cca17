"""Setting up a chair of an earlier call: its card and its levers are read at each step."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from consult.call.call import Call
from consult.call.follow_up import begin
from consult.call.state import state
from consult.records.call_trees import FirstCalls
from consult.records.desk_calls import Begun, DeskCalls
from consult.summary.closing import card_steps, parts_line
from consult.summary.model import summarise
from consult.ui.app import ConsultApp
from tests.test_set_up import set_up
from tests.ui.desk import NOON, Clock, Desk, demo, demo_basis
from tests.ui.test_follow_up import REFERENCE, keep

TO_THE_LEVER = ("sitter", "whole", "no", "none", "yes", "1", "1")
"""From the question after the name to the one about the height lever."""


@asynccontextmanager
async def setting_up(folder: Path, first: str, *, told: bool) -> AsyncIterator[Desk]:
    """A desk that sets up the chair of a demo call; ``told``: the command knew its reference."""
    place = folder / "records.db"
    kept = keep(place, demo(first).call, demo_basis())
    call = Call(NOON.date())
    if told:
        call = begin(set_up().tree, kept.call, kept.caller_name, REFERENCE, NOON.date())
    clock = Clock()
    calls = DeskCalls(set_up(), place, "Bea", clock)
    app = ConsultApp(Begun(set_up(), call, calls, clock, firsts=FirstCalls(place)))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        at = Desk(pilot, clock, folder)
        await at.settle()
        yield at


async def test_each_step_reads_the_card_and_the_lever(tmp_path: Path) -> None:
    """Height with its figure, the back with its knob alone, the castors with neither."""
    async with setting_up(tmp_path, "01", told=True) as at:
        assert "First call: 7K3-M2Q" in at.text("#trouble")
        for said in TO_THE_LEVER[:-2]:
            await at.answer(said)
        assert "This chair:" not in at.text("#ask")
        for said in TO_THE_LEVER[-2:]:
            await at.answer(said)
        height = at.screen.session.asking
        assert height is not None
        assert height.name == "height_step"
        shown = " ".join(at.text("#ask").split())
        wanted = summarise(demo_basis(), state(demo_basis(), demo("01").call))
        figure = next(step for step in wanted.setup_steps if step.topic == "seat_height")
        assert figure.do.text(at.screen.now.call.system) in shown
        assert "feel for the lever under the seat on the right" in shown
        words = at.screen.session.card_words
        knob = words(set_up().tree.questions["tension_step"])
        assert knob.startswith("Back: the knob")
        assert words(set_up().tree.questions["castors_step"]) == ""


async def test_a_reference_typed_in_the_call_loads_it_too(tmp_path: Path) -> None:
    """The caller is named, is not asked again, and it is stored."""
    async with setting_up(tmp_path, "01", told=False) as at:
        await at.answer("7k3m2q")
        await at.settle()
        asking = at.screen.session.asking
        assert asking is not None
        assert asking.name == "who_sets_up"
        assert at.screen.now.caller_name == "Ada Fenwick"
        assert "Chair: " in at.text("#trouble")
        assert [one.question for one in at.saved().answers][-1] == "caller_name"


async def test_a_reference_nobody_stored(tmp_path: Path) -> None:
    """It is said once, and the call goes on by feel."""
    async with setting_up(tmp_path, "01", told=False) as at:
        await at.answer("222-222")
        await at.settle()
        assert "No call with the reference 222-222" in at.text("#trouble")
        await at.answer("Ada")
        await at.settle()
        assert at.text("#trouble") == ""


async def test_a_first_call_that_was_stopped_has_no_card(tmp_path: Path) -> None:
    """No figure of it is read out."""
    async with setting_up(tmp_path, "04", told=True) as at:
        assert "It was stopped, so it has no card." in at.text("#trouble")
        assert at.screen.session.first is not None
        assert at.screen.session.first.card == {}


def test_what_a_card_gives_to_a_set_up() -> None:
    """Every step with a figure has it, every lever of the parts is there, and the parts by name."""
    found = summarise(demo_basis(), state(demo_basis(), demo("01").call))
    steps = card_steps(found)
    figures = {step.topic for step in found.setup_steps if step.value_mm is not None}
    assert figures <= steps.keys()
    assert found.specification is not None
    said = " ".join(one.template for one in steps.values())
    assert all(part.find in said for part in found.specification.parts)
    assert parts_line(found).count(",") == len(found.specification.parts) - 1
