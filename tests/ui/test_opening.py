"""The first question stands on the screen before the rest of the program is loaded."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest
from textual import events
from textual.widgets import Static

import consult.ui.app
from consult.call.call import Call
from consult.records.desk_calls import Begun, DeskCalls
from consult.ui.app import ConsultApp
from consult.ui.call_screen import CallScreen
from consult.ui.opening import FirstSight, OpeningScreen
from tests.commands.conftest import run
from tests.commands.runs import Run
from tests.ui.desk import NOON, Clock, demo_basis

__all__ = ["run"]

SIZES = [(80, 24), (120, 40)]


def loading(folder: Path, seen: Callable[[], None]) -> Callable[[], Begun]:
    """Begins a call of the demo tree, and looks at the screen before that."""

    def begin() -> Begun:
        seen()
        basis, clock = demo_basis(), Clock()
        kept = DeskCalls(basis, folder / "records.db", "Ann", clock)
        return Begun(basis, Call(NOON.date()), kept, clock)

    return begin


async def test_what_is_typed_meanwhile_is_the_first_answers(tmp_path: Path) -> None:
    """Keys wait for the call, also those before the first question is drawn, in their order."""

    def typed(*keys: str) -> None:
        for key in keys:
            app.post_message(events.Key(key, "\r" if key == "enter" else key))

    class Hasty(ConsultApp):
        CSS_PATH = str(Path(consult.ui.app.__file__).with_name("consult.tcss"))

        def on_mount(self) -> None:
            typed("A", "d")

    more = partial(typed, "a", "enter", "1", "enter")
    app = Hasty(FirstSight("Who?", loading(tmp_path, more)))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert isinstance(app.screen, CallScreen)
        said = {one.question: one.said for one in app.screen.now.call.answers}
        assert said == {"caller_name": "Ada", "who_sits": "1"}


@pytest.mark.parametrize("size", SIZES)
async def test_the_question_stands_where_it_will(size: tuple[int, int], tmp_path: Path) -> None:
    """Drawn in the same cells before the call is there and after."""
    drawn: list[tuple[str, object]] = []

    def look() -> None:
        assert isinstance(app.screen, OpeningScreen)
        asked = app.screen.query_one("#ask", Static)
        assert asked.region.size
        drawn.append((str(asked.content), asked.content_region.offset))

    ask = demo_basis().tree.questions["caller_name"].ask
    app = ConsultApp(FirstSight(ask, loading(tmp_path, look)))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, CallScreen)
        asked = app.screen.query_one("#ask", Static)
        assert drawn == [(f"Say: {ask}", asked.content_region.offset)]


async def test_where_no_call_can_begin_the_screen_closes(tmp_path: Path) -> None:
    """Nothing is left of it, and nothing was stored."""
    app = ConsultApp(FirstSight("Who?", lambda: None))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert not app.is_running or app.at_desk is None
    assert app.at_desk is None
    assert not list(tmp_path.iterdir())


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> list[ConsultApp]:
    """A terminal in which each desk loads what it waits for, and closes."""
    ran: list[ConsultApp] = []

    def run(app: ConsultApp) -> None:
        ran.append(app)
        if app._first is not None and (begun := app._first.begin()) is not None:
            app._begin(begun)

    monkeypatch.setattr(ConsultApp, "run", run)
    tty = SimpleNamespace(isatty=lambda: True)
    monkeypatch.setattr("consult.commands.call.sys", SimpleNamespace(stdin=tty, stdout=tty))
    return ran


def test_a_new_call_begins_with_its_question(run: Run, terminal: list[ConsultApp]) -> None:
    """With that of the tree, in the settings' name; a call named in any way is looked up first."""
    assert run("call").code == 0
    assert run("call", "--about", "my chair").code == 0
    first, other = terminal
    assert first._first is not None
    assert "Who am I speaking to?" in first._first.ask
    assert other._first is None
    assert first.at_desk is not None
    assert first.at_desk.screen.session.asking is not None
    assert first.at_desk.screen.session.asking.ask == first._first.ask


def test_what_keeps_a_call_from_beginning_is_said_after(
    run: Run, terminal: list[ConsultApp]
) -> None:
    """As if nothing had opened: why, and that it was bad use."""
    done = run("call", "--country", "Nowhere")
    assert done.code == 2
    assert done.err.count("No country is called “Nowhere” here.") == 1
    assert [one.at_desk for one in terminal] == [None]


def test_what_nobody_foresaw_comes_once_the_screen_is_closed(
    run: Run, terminal: list[ConsultApp], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mistake of ours while a call is loaded is told as any other, not drawn over the screen."""

    tried: list[object] = []

    def ready(options: object) -> None:
        tried.append(options)
        raise RuntimeError("ours")

    monkeypatch.setattr("consult.commands.call_desk.ready", ready)
    with pytest.raises(RuntimeError, match="ours"):
        run("call")
    assert len(tried) == 2
    assert [one.at_desk for one in terminal] == [None]
