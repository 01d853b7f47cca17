"""Whole calls in a real browser: two without a function key, two by the mouse.

The same call is led at a desk under test of the same size, which tells where on the page a text
stands: a browser draws a terminal as a picture.
"""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

from consult.call.call import Answer
from consult.call.understand import understand
from consult.paths import trees_folder
from consult.records.store import open_store
from consult.tree.model import Question
from consult.ui.side_pages import CautionScreen, FinishScreen
from tests.benchmarks.terminal import plain
from tests.commands.chromium import CHROMIUM, Tab, browser_tab
from tests.commands.serving import Served, serving
from tests.commands.test_serve_browser import until
from tests.long import in_a_long_run
from tests.ui.desk import NOON, Desk, demo, desk
from tests.ui.test_clicks import place_of
from tests.ui.test_whole_calls import basis_of

pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium here"),
    in_a_long_run,
]


class Beside:
    """A call in a tab, and the same call at a desk under test."""

    def __init__(self, tab: Tab, at: Desk) -> None:
        self.tab, self.at, self.mark = tab, at, 0

    async def seen(self, words: str) -> None:
        """Wait until the tab was given a text to draw."""
        await until(lambda: words in plain(self.tab.received()[self.mark :].encode()))

    async def type(self, text: str) -> None:
        """Type into both, then Enter."""
        await self.tab.type(text)
        await self.tab.press("Enter")
        await self.at.paste(text)
        await self.at.press("enter")

    async def click(self, text: str) -> None:
        """Click where a text stands."""
        place = place_of(self.at, text)
        width, height = self.at.app.size
        box = await self.tab.value(
            "(() => { const b = document.querySelector('.xterm-screen').getBoundingClientRect();"
            " return [b.left, b.top, b.width, b.height]; })()"
        )
        x = box[0] + (place.x + 0.5) * box[2] / width
        y = box[1] + (place.y + 0.5) * box[3] / height
        for kind in ("mouseMoved", "mousePressed", "mouseReleased"):
            button = "none" if kind == "mouseMoved" else "left"
            await self.tab.ask(
                "Input.dispatchMouseEvent", type=kind, x=x, y=y, button=button, clickCount=1
            )
        await self.at.pilot.click(offset=place)
        await self.at.pilot.pause()

    async def next(self) -> None:
        """Say any caution; then wait until the tab shows the question that the desk asks."""
        while isinstance(self.at.top, CautionScreen):
            await self.seen("Press s once")
            await self.click("Press s once")
            await asyncio.sleep(0.5)
        asked = self.at.screen.now.current
        await self.seen(asked.ask[:20] if asked else "last question")
        self.mark = len(self.tab.received())
        await self.at.settle()

    async def answer(self, asked: Question, answer: Answer, *, mouse: bool) -> None:
        """Answer in both; by the mouse all but names and figures."""
        value = understand(asked, answer.said, NOON.date()).value
        if not mouse:
            await self.type(answer.said)
        elif value is None:
            await self.click("[Not known]")
        elif asked.answer == "yes-no":
            await self.click("[Yes]" if value else "[No]")
        elif asked.choices:
            chosen = {value} if isinstance(value, str) else set(value)  # type: ignore[arg-type]
            for number, name in enumerate(asked.choices, 1):
                if name in chosen:
                    await self.click(f"{number:>2}  {asked.choices[name][:12]}")
                    await asyncio.sleep(0.3)
            if asked.answer == "choices":
                await self.click("[Enter]")
        else:
            await self.tab.type(answer.said)
            await self.at.paste(answer.said)
            await asyncio.sleep(0.3)
            await self.click("[Enter]")
        if answer.confirmed:
            await asyncio.sleep(0.5)
            await (self.click("[Enter]") if mouse else self.type(""))


def status(served: Served, last: str) -> str:
    """The status of the one call kept, once the last answer is kept."""
    store = open_store(served.calls / "records.db")
    try:
        (kept,) = store.latest()
        answers = store.read(kept.reference).call.answers
        return kept.status if answers[-1].said == last else ""
    finally:
        store.close()


@pytest.mark.parametrize("mouse", [False, True], ids=["words", "mouse"])
@pytest.mark.parametrize("name", ["01", "24"])
async def test_a_whole_call(name: str, mouse: bool, tmp_path: Path, browser: str) -> None:
    """To its end, and finished in the records once the tab is closed."""
    transcript = demo(name)
    tree = trees_folder() / f"{transcript.tree}.yaml"
    basis = basis_of(transcript.tree)
    calls = tmp_path / "desk"
    calls.mkdir()
    options = ("--tree", str(tree), "--units", transcript.call.system)
    with serving(tmp_path / "calls", *options) as served:
        async with browser_tab(browser) as tab:
            await tab.size(1280, 900)
            await tab.go(served.origin)
            await until(lambda: "Hello" in tab.received())
            (made,) = tab.told("Network.webSocketCreated")
            asked = parse_qs(urlsplit(made["url"]).query)
            size = int(asked["width"][0]), int(asked["height"][0])
            call = replace(transcript.call, answers=())
            async with desk(calls, call, basis=basis, size=size) as at:
                await at.settle()
                both = Beside(tab, at)
                for answer in transcript.call.answers:
                    now = at.screen.now.current
                    if now is None or now.name != answer.question:
                        continue
                    await both.answer(now, answer, mouse=mouse)
                    await both.next()
                assert at.screen.now.current is None
                if mouse:
                    await both.click("Finish")
                    assert isinstance(at.top, FinishScreen)
                else:
                    await both.type("/finish")
                await both.seen("Before you hang up")
                last = at.screen.now.call.answers[-1].said
            await tab.close()
            await until(lambda: status(served, last) == "finished")
