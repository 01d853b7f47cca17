"""Calls held in a real browser: what the adviser's keys do there, and that nothing leaks."""

from __future__ import annotations

import asyncio
import json
import os
from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from aiohttp import web

from tests.commands.chromium import CHROMIUM, Tab, browser_tab, launched
from tests.commands.serving import Begun, Served, begun_here, serving
from tests.long import AT_MOST, in_a_long_run

pytestmark = pytest.mark.skipif(
    CHROMIUM is None, reason="there is no Chromium here (apt-get install chromium)"
)

WATCH_KEYS = """
window.taken = {};
addEventListener("keydown", (event) => {
  setTimeout(() => { window.taken[event.key] = event.defaultPrevented; });
}, true);
"""
"""Notes of every key whether the page kept the browser from its own use of it."""
SENT = {
    "F1": "\x1bOP",
    "F2": "\x1bOQ",
    "F3": "\x1bOR",
    "F4": "\x1bOS",
    "F5": "\x1b[15~",
    "F6": "\x1b[17~",
    "F7": "\x1b[18~",
    "F8": "\x1b[19~",
    "F9": "\x1b[20~",
    "F10": "\x1b[21~",
    "F12": "\x1b[24~",
    "Tab": "\t",
    "Escape": "\x1b",
}
"""What a terminal sends for each key (xterm's control sequences)."""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Whole call screens."""
    with serving(tmp_path_factory.mktemp("calls")) as one:
        yield one


@pytest.fixture(scope="module")
def server() -> Iterator[Begun]:
    """A server with a secret."""
    one = begun_here()
    with one.listening:
        yield one


@pytest.fixture
async def plain(server: Begun) -> AsyncIterator[Served]:
    """Plain call screens, where the page alone is what the test is about."""
    async with server.answering() as one:
        yield one


@pytest.fixture
async def tab(browser: str) -> AsyncIterator[Tab]:
    """A tab as wide as a laptop."""
    async with browser_tab(browser) as one:
        await one.size(1280, 800)
        yield one


@pytest.fixture
async def own_tab(tmp_path: Path) -> AsyncIterator[Tab]:
    """A tab of a browser that no other test has used."""
    with launched(tmp_path / "profile") as address:
        async with browser_tab(address) as one:
            await one.size(1280, 800)
            yield one


async def until(fine: Callable[[], bool]) -> None:
    """Wait for what has to come."""
    async with asyncio.timeout(AT_MOST):
        while not fine():
            await asyncio.sleep(0.02)


async def until_told(tab: Tab, asked: str, wanted: object) -> None:
    """Wait until the page tells something of itself."""
    async with asyncio.timeout(AT_MOST):
        while await tab.value(asked) != wanted:
            await asyncio.sleep(0.02)


async def begin(tab: Tab, url: str) -> None:
    """Open the desk and wait for the first question."""
    await tab.go(url)
    await until(lambda: "Hello" in tab.received())


def typed(tab: Tab) -> list[str]:
    """What the page has sent the call desk as keys."""
    sent = [
        json.loads(f["response"]["payloadData"]) for f in tab.told("Network.webSocketFrameSent")
    ]
    return [one[1] for one in sent if one[0] == "stdin"]


async def kept_from_browser(tab: Tab, key: str) -> bool:
    """Whether the page kept the browser from its own use of a key just pressed."""
    async with asyncio.timeout(AT_MOST):
        while (noted := await tab.value(f'window.taken["{key}"]')) is None:
            await asyncio.sleep(0.05)
    return bool(noted)


def is_running(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


async def test_a_call(served: Served, own_tab: Tab) -> None:
    """An answer typed in the browser is kept at once; closing the tab ends the call's process."""
    tab = own_tab
    await begin(tab, served.origin)
    blank = await tab.picture()
    await tab.type("Ada Nowhere")
    await tab.press("Enter")
    await until(lambda: "Ada Nowhere" in served.names())
    await until(lambda: "Who is the chair for" in tab.received())
    async with asyncio.timeout(AT_MOST):
        while await tab.picture() == blank:
            await asyncio.sleep(0.02)

    assert tab.told("Runtime.exceptionThrown") == []
    # A browser on a busy machine warns of its own slow drawing; that is not the page's doing.
    kinds = [one["type"] for one in tab.told("Runtime.consoleAPICalled")]
    assert [one for one in kinds if one != "warning"] == ["log"]
    log = [one["entry"] for one in tab.told("Log.entryAdded")]
    assert [entry for entry in log if entry["level"] == "error"] == []
    asked = [one["request"]["url"] for one in tab.told("Network.requestWillBeSent")]
    asked += [one["url"] for one in tab.told("Network.webSocketCreated")]
    assert f"{served.origin}/page/page.js" in asked
    assert {urlsplit(url).netloc for url in asked} == {f"127.0.0.1:{served.port}"}

    process = served.process()
    assert is_running(process)
    await tab.close()
    await until(lambda: not is_running(process))
    assert "Ada Nowhere" in served.names()


SAID = "[...document.querySelectorAll('[data-words={}] p')].map((p) => p.textContent).join('|')"
"""The lines of a region of words, as the page has them."""
NAMED = "[b]<img src=x onerror=window.ran=1>"


async def test_the_page_has_the_call_in_words(tab: Tab, served: Served) -> None:
    """A screen reader hears the question, its choices and what changed, text as it stands; when
    the call has ended nothing of it is left."""
    await begin(tab, served.origin)
    live = "[...document.querySelectorAll('#words [aria-live], #words [role=alert]')].length"
    assert await tab.value(live) == 3
    await until_told(
        tab, f"{SAID.format('asked')}.startsWith('Say: Hello, Tarnbeck Seating')", True
    )
    # Lines that stay are the same pieces of the page, or they would be read out again.
    await tab.value("document.querySelector('[data-words=asked] p').kept = true")
    await tab.type("/thorough")
    await tab.press("Enter")
    await until_told(tab, f"{SAID.format('changed')}.includes('every question')", True)
    assert await tab.value("document.querySelector('[data-words=asked] p').kept")

    await tab.ask("Input.insertText", text=NAMED)
    await tab.press("Enter")
    asked = f"{SAID.format('asked')}.startsWith('Say: Who is the chair for?|1 Me, the caller|2 ')"
    await until_told(tab, asked, True)
    around = await tab.value(SAID.format("around"))
    assert f"Caller name: {NAMED}" in around.split("|")
    assert await tab.value("document.querySelectorAll('#words :not(div, p)').length") == 0
    assert await tab.value("window.ran") is None

    await tab.press("q", ctrl=True)
    await until_told(tab, "document.getElementById('words').textContent.trim()", "")


@pytest.mark.parametrize(("query", "seen"), [("", False), ("?words=1", True)])
@in_a_long_run
async def test_the_words_are_seen_if_asked_for(
    tab: Tab, served: Served, query: str, seen: bool
) -> None:
    """Below the terminal, which makes room; else they are for screen readers alone."""
    await begin(tab, f"{served.origin}/{query}")
    hidden = "getComputedStyle(document.getElementById('words')).clipPath === 'none'"
    assert await tab.value(hidden) is seen
    over = "document.elementFromPoint(innerWidth / 2, innerHeight - 20).closest('#words') !== null"
    assert await tab.value(over) is seen
    bottom = await tab.value(
        "document.querySelector('.xterm-screen').getBoundingClientRect().bottom"
    )
    assert (bottom < 530) is seen


async def test_keys_are_the_call_desks(tab: Tab, served: Served) -> None:
    """Function keys, Tab and Escape reach the call desk, and the browser makes no use of them.

    Keys sent by the protocol never reach the browser's own shortcuts, so that no reload follows
    would prove nothing; what the browser goes by is whether the page prevents its default.
    """
    await tab.ask("Page.addScriptToEvaluateOnNewDocument", source=WATCH_KEYS)
    await begin(tab, served.origin)
    for key, sequence in SENT.items():
        sent = typed(tab)
        await tab.press(key)
        async with asyncio.timeout(AT_MOST):
            while sequence not in typed(tab)[len(sent) :]:
                await asyncio.sleep(0.05)
        assert await kept_from_browser(tab, key), key
    # Also where something else than the call screen had the focus.
    await tab.value(
        "window.taken = {};"
        "dispatchEvent(new KeyboardEvent('keydown', {key: 'F5', cancelable: true}))"
    )
    assert await kept_from_browser(tab, "F5")
    await tab.value("document.activeElement.blur()")
    await until_told(tab, "document.activeElement.tagName", "TEXTAREA")


@pytest.mark.parametrize(("key", "ctrl"), [("F11", False), ("v", True)])
@in_a_long_run
async def test_keys_left_to_the_browser(tab: Tab, served: Served, key: str, ctrl: bool) -> None:
    """Full screen and paste stay with the browser."""
    await tab.ask("Page.addScriptToEvaluateOnNewDocument", source=WATCH_KEYS)
    await begin(tab, served.origin)
    await tab.press(key, ctrl=ctrl)
    assert not await kept_from_browser(tab, key)
    await tab.type("x")
    await until(lambda: "x" in typed(tab))
    assert "\x16" not in typed(tab)
    assert not any("[23~" in one for one in typed(tab))


async def test_quitting(tab: Tab, served: Served) -> None:
    """After Ctrl+Q the page says that the call has ended, and a key begins another."""
    await begin(tab, served.origin)
    await tab.press("q", ctrl=True)
    ended = "getComputedStyle(document.getElementById('ended')).display"
    await until_told(tab, ended, "block")
    await until_told(tab, "document.activeElement.id", "again")
    await tab.value("document.getElementById('again').click()")
    await until(lambda: len(tab.told("Network.webSocketCreated")) == 2)


@pytest.mark.parametrize(
    ("width", "query", "least", "most"),
    [(1280, "", 125, 150), (1280, "?fontsize=24", 80, 95), (390, "", 48, 60)],
)
@in_a_long_run
async def test_text_size(
    tab: Tab, served: Served, width: int, query: str, least: int, most: int
) -> None:
    """Text is of a size to read, smaller on a phone, and can be set in the address."""
    await tab.size(width, 844)
    await begin(tab, f"{served.origin}/{query}")
    (made,) = tab.told("Network.webSocketCreated")
    columns = int(parse_qs(urlsplit(made["url"]).query)["width"][0])
    assert least <= columns <= most
    assert await tab.value("document.documentElement.scrollWidth") <= width


async def test_an_address_named_in_a_link_is_not_fetched(plain: Served, tab: Tab) -> None:
    """A link to the desk cannot make the page ask another machine for anything."""
    await begin(tab, f"{plain.address}&ping=http://192.0.2.7/&delay=1")
    asked = [one["request"]["url"] for one in tab.told("Network.requestWillBeSent")]
    assert {urlsplit(url).netloc for url in asked} == {f"127.0.0.1:{plain.port}"}


async def other_page(_: web.Request) -> web.Response:
    """A page the adviser has open beside the desk."""
    return web.Response(text="<p>other", content_type="text/html")


async def test_a_page_of_another_site(tab: Tab, served: Served) -> None:
    """A page of another site, open in the same browser, cannot open a call."""
    other = web.Application()
    other.router.add_get("/", other_page)
    runner = web.AppRunner(other)
    await runner.setup()
    site = web.TCPSite(runner, "127.0.0.1", 0)
    await site.start()
    try:
        await tab.go(f"http://127.0.0.1:{runner.addresses[0][1]}/")
        await tab.value(
            f"window.told = ''; const s = new WebSocket('ws://127.0.0.1:{served.port}/ws');"
            "s.onopen = () => { told += 'open '; }; s.onclose = () => { told += 'closed'; };"
        )
        async with asyncio.timeout(AT_MOST):
            while "closed" not in await tab.value("told"):
                await asyncio.sleep(0.02)
        assert await tab.value("told") == "closed"
    finally:
        await runner.cleanup()


async def test_the_printed_address_opens_a_desk(plain: Served, tab: Tab) -> None:
    """The secret leaves the address bar when the page is there; a reload needs it no more."""
    await begin(tab, plain.address)
    assert await tab.value("location.search") == ""
    await tab.go(plain.origin)
    await until(lambda: len(tab.told("Network.webSocketCreated")) == 2)
    await until(lambda: len(plain.processes()) == 1)
