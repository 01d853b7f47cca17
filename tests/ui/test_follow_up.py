"""A second call at the desk: begun from the first, compared with it, and the first untouched."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.call import CAME, ODDS, Call, private_of
from consult.call.closing_lines import read_odds, read_outcome
from consult.call.expectation import disappointments
from consult.call.follow_up import begin
from consult.call.state import state_so_far
from consult.commands import call_desk as command
from consult.paths import trees_folder
from consult.records.call_trees import FirstCalls
from consult.records.desk_calls import Begun, DeskCalls
from consult.records.kept import Kept, versions_of
from consult.records.store import open_store
from consult.ui.app import ConsultApp
from consult.ui.calls import CallsAtDesk
from consult.ui.dialogs import TextScreen
from consult.ui.side_pages import CautionScreen
from tests.commands.conftest import run as run
from tests.commands.runs import Run
from tests.ui.desk import NOON, Clock, Desk, demo, demo_basis, desk

REFERENCE = "7K3-M2Q"


@cache
def second_basis() -> Basis:
    """The tree of a second call."""
    basis, problems = load_basis(trees_folder() / "follow_up.yaml")
    assert basis is not None, problems
    return basis


def keep(place: Path, call: Call, basis: Basis, reference: str = REFERENCE) -> Kept:
    """A finished call in the records."""
    store = open_store(place)
    try:
        opened = store.begin(call, versions_of(basis), "Ann", NOON, reference)
        now = state_so_far(basis, call)
        store.append(
            opened,
            call,
            consent=now.consent,
            caller_name=now.caller_name,
            private=private_of(basis.tree),
            at=NOON,
        )
        store.finish(opened, NOON)
        return store.read(reference)
    finally:
        store.close()


@asynccontextmanager
async def second_call(
    folder: Path, first: Call, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Desk]:
    """A desk that rings again after a call that is kept."""
    place = folder / "records.db"
    kept = keep(place, first, demo_basis())
    call = begin(second_basis().tree, kept.call, kept.caller_name, REFERENCE, NOON.date())
    clock = Clock()
    calls = DeskCalls(second_basis(), place, "Bea", clock)
    app = ConsultApp(Begun(second_basis(), call, calls, clock, firsts=FirstCalls(place)))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Desk(pilot, clock, folder)


async def compared(at: Desk) -> str:
    """What F7 shows."""
    await at.press("f7")
    await at.settle()
    assert isinstance(at.top, TextScreen)
    found = at.top.text
    await at.press("escape")
    return found


async def test_a_second_call_by_keyboard(tmp_path: Path) -> None:
    """At 80x24: the demo call from its first open question to its end, with then and now on F7.
    What came of the chair, whose elbow had been estimated, is stored once, when it is left."""
    transcript = demo("07")
    async with second_call(tmp_path, demo("03").call) as at:
        first = at.screen.session.asking
        assert first is not None
        # Reference and name are answered; the name is confirmed.
        assert first.name == "who_answers"
        assert "Niamh Corrigan-Vale" in at.text("#status")
        for answer in transcript.call.answers[2:]:
            await at.give(answer)
        assert at.screen.now.finished
        assert disappointments(transcript, at.screen.now) == []
        told = await compared(at)
        name, own = at.calls.at_hand, at.saved().latest().keys()
        for _ in range(2):
            await at.press("f9", "enter")
            await at.press("f9")
            await at.paste(at.calls.open[name].reference)
            await at.press("enter")
        lines = [one.said for one in at.saved(name).answers if one.question == CAME]
    (found,) = map(read_outcome, lines)
    assert found is not None
    assert (found.reference, found.came) == (REFERENCE, "adjusted")
    assert found.again["elbow_rest_height"].origin == "estimated"
    assert "First call: 7K3-M2Q, Wednesday 25 November 2026." in told
    # By hand: (39.7 + 2.5 for the shoes) cos 5 degrees is 42, so 46 is 4 too high.
    assert "Lower the seat by 4 cm." in told
    assert "The first figure was estimated. As measured now it is 25." in told
    assert "Lower back\n  then named, now better" in told
    assert "Hips or sit bones\n  then named, now gone" in told
    assert CAME not in own
    assert own <= set(second_basis().tree.questions)


async def test_the_odds_are_stored_at_the_end(tmp_path: Path) -> None:
    """With the call whose chair they are of, when its summary is written or it is left."""
    call = demo("02").call
    async with desk(tmp_path, replace(call, answers=call.answers[:-3])) as at:
        while isinstance(at.app.screen, CautionScreen):
            await at.press("s")
        for answer in call.answers[-3:]:
            await at.give(answer)
        assert at.screen.now.finished
        name = at.calls.at_hand
        assert ODDS not in at.saved().latest()
        await at.press("f9", "enter")
        odds = read_odds(at.saved(name).latest()[ODDS].said)
    assert odds is not None
    assert 0.9 < odds.fits < 1


async def test_the_first_call_stays_as_it_was(tmp_path: Path) -> None:
    """It is neither taken over nor added to, and its answers are not in the second. What it says of
    health is not shown before consent is given again."""
    place = tmp_path / "records.db"
    async with second_call(tmp_path, demo("03").call) as at:
        before = FirstCalls(place).kept(REFERENCE)
        await at.answer("sitter")
        assert "back" not in await compared(at)
        second = at.saved()
        assert FirstCalls(place).kept(REFERENCE) == before
        for said in ("came", "not yet set", "no", "read"):
            await at.answer(said)
        assert "back" not in await compared(at)
    assert isinstance(before, Kept)
    assert before.status == "finished"
    names = [answer.question for answer in second.answers]
    assert names == ["first_reference", "caller_name", "who_answers"]


async def test_a_first_call_that_was_stopped(tmp_path: Path) -> None:
    """There is the caution and nothing to set."""
    async with second_call(tmp_path, demo("04").call) as at:
        told = await compared(at)
    assert "The first call was stopped" in told
    assert "Seat height" not in told


async def test_a_stop_in_the_second_call(tmp_path: Path) -> None:
    """The signs stop it as they stop any call."""
    async with second_call(tmp_path, demo("03").call) as at:
        for said in ("sitter", "came", "not yet set", "yes", "lower back", "saddle_numb"):
            await at.answer(said)
        assert at.screen.now.stopped is not None
        told = await compared(at)
    assert "This call is stopped" in told
    assert "Seat height" not in told


async def test_a_reference_nobody_keeps(tmp_path: Path) -> None:
    """It is said so, and the call goes on."""
    async with second_call(tmp_path, demo("03").call) as at:
        await at.answer("/reference 222-222")
        assert "No call with the reference 222-222 is stored here." in await compared(at)
        await at.answer("/reference ?")
        await at.press("f7")
        assert "/reference" in at.text("#trouble")


async def test_no_chair_is_shown(tmp_path: Path) -> None:
    """No figure of an average body stands beside a second call."""
    async with second_call(tmp_path, demo("03").call, (120, 40)) as at:
        await at.settle()
        assert at.text("fit").startswith("No chair is worked out in this call.")
        assert at.text("body") == at.text("chair") == ""


async def test_a_call_of_other_questions_is_not_mixed_in(tmp_path: Path) -> None:
    """Chosen from the list it is refused, saying how to go on with it."""
    async with second_call(tmp_path, demo("03").call) as at:
        here = at.screen
        await at.press("f9")
        await at.paste(REFERENCE)
        await at.press("enter")
        await at.pilot.pause()
        assert at.screen is here
        assert f"consult call --open {REFERENCE}" in at.text("#trouble")


# -- the command ------------------------------------------------------------------------------


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[CallsAtDesk]:
    """The desks that the command would have opened."""
    desks: list[CallsAtDesk] = []

    def run(app: ConsultApp) -> None:
        assert app.at_desk is not None
        desks.append(app.at_desk)

    # As in a browser: no terminal is asked for.
    monkeypatch.setenv("TEXTUAL_DRIVER", "none")
    monkeypatch.setattr(ConsultApp, "run", run)
    return desks


@pytest.mark.any_day
def test_ring_again(run: Run, opened: list[CallsAtDesk], tmp_path: Path) -> None:
    """Units, country, name and reference come from the first call; nothing is kept yet."""
    place = tmp_path / "records.db"
    keep(place, replace(demo("03").call, system="imperial"), demo_basis())
    made = run("call", "--follow-up", "7k3m2q", "--records", str(place))
    assert (made.code, made.out, made.err) == (0, "", "")
    (calls,) = opened
    call = calls.screen.now.call
    assert calls.basis.tree.name == "follow_up"
    assert (call.system, call.country) == ("imperial", "IE")
    assert [answer.said for answer in call.answers] == [REFERENCE, "Niamh Corrigan-Vale"]


def test_go_on_with_a_second_call(run: Run, opened: list[CallsAtDesk], tmp_path: Path) -> None:
    """A second call is opened with its own questions."""
    place = tmp_path / "records.db"
    keep(place, demo("07").call, second_basis(), "8K3-M2Q")
    run("call", "--open", "8K3-M2Q", "--records", str(place))
    assert opened[0].basis.tree.name == "follow_up"


def test_what_cannot_be_followed_up(run: Run, opened: list[CallsAtDesk], tmp_path: Path) -> None:
    """An unknown reference, a second call, or two beginnings at once: said in words, exit 2."""
    place = tmp_path / "records.db"
    keep(place, demo("07").call, second_basis())
    lost = run("call", "--follow-up", "222-222", "--records", str(place))
    assert (lost.code, "No call with the reference 222-222" in lost.err) == (2, True)
    again = run("call", "--follow-up", REFERENCE, "--records", str(place))
    assert (again.code, "is itself a follow-up, of 7K3-M2Q." in again.err) == (2, True)
    both = run("call", "--follow-up", REFERENCE, "--open", REFERENCE, "--records", str(place))
    assert (both.code, "Give one of" in both.err) == (2, True)
    assert command.FOLLOW_UP in {file.name for file in trees_folder().glob("*.yaml")}
    assert opened == []


def test_from_the_command_line(run: Run, opened: list[CallsAtDesk], tmp_path: Path) -> None:
    """--thorough begins in full, also the next call at the desk; a stored call is left as it is."""
    place = ("--records", str(tmp_path / "records.db"))
    assert run("call", "--thorough", *place).code == 0
    assert run("call", *place).code == 0
    full, short = opened
    assert full.screen.now.call.thorough
    assert full.fresh.thorough
    assert not short.screen.now.call.thorough
    made = run("call", "--thorough", "--open", "7K3-M2Q", *place)
    assert made.code == 2
    assert "/thorough" in made.err
