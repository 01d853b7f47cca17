"""A real browser under test, spoken to by its DevTools protocol."""

from __future__ import annotations

import asyncio
import base64
import json
import os
import shutil
import subprocess
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from itertools import count
from pathlib import Path
from threading import Thread
from typing import Any
from urllib.parse import urlsplit

import aiohttp
import pytest

from tests.long import AT_MOST

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
_KEYS = {"Enter": 13, "Tab": 9, "Escape": 27, **{f"F{n}": 111 + n for n in range(1, 13)}}
_LAUNCH = (
    "--headless=new --no-sandbox --no-first-run --disable-gpu --disable-dev-shm-usage "
    "--disable-background-networking --disable-component-update --disable-sync "
    "--remote-debugging-port=0 --user-data-dir={profile} about:blank"
)


class Tab:
    """One tab: what it is told to do, and everything it reported since it was opened."""

    def __init__(self, session: aiohttp.ClientSession, address: str, target: str) -> None:
        self.session = session
        self.address = address
        self.target = target
        self.reports: list[dict[str, Any]] = []
        self._numbers = count(1)
        self._answers: dict[int, asyncio.Future[dict[str, Any]]] = {}

    async def listen(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        """Take in answers and reports until the tab is gone."""
        self._socket = socket
        async for message in socket:
            told = json.loads(message.data)
            if "id" in told:
                self._answers.pop(told["id"]).set_result(told)
            else:
                self.reports.append(told)

    async def ask(self, method: str, **params: Any) -> Any:
        """One command of the protocol, and its result."""
        number = next(self._numbers)
        answer = self._answers[number] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": number, "method": method, "params": params})
        told = await asyncio.wait_for(answer, AT_MOST)
        assert "error" not in told, told
        return told["result"]

    async def value(self, script: str) -> Any:
        """What a script on the page gives."""
        told = await self.ask("Runtime.evaluate", expression=script, returnByValue=True)
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    async def go(self, url: str) -> None:
        """Open an address."""
        await self.ask("Page.navigate", url=url)

    async def type(self, text: str) -> None:
        """Type letters by the keyboard."""
        for letter in text:
            code = ord(letter.upper())
            for kind in ("keyDown", "keyUp"):
                await self.ask(
                    "Input.dispatchKeyEvent",
                    type=kind,
                    key=letter,
                    windowsVirtualKeyCode=code,
                    **({"text": letter} if kind == "keyDown" else {}),
                )

    async def press(self, key: str, *, ctrl: bool = False) -> None:
        """Press one named key, or a letter with Ctrl."""
        code = _KEYS.get(key) or ord(key.upper())
        for kind in ("rawKeyDown", "keyUp"):
            await self.ask(
                "Input.dispatchKeyEvent",
                type=kind,
                key=key,
                code=key if key in _KEYS else f"Key{key.upper()}",
                windowsVirtualKeyCode=code,
                modifiers=2 if ctrl else 0,
            )

    async def size(self, width: int, height: int) -> None:
        """Give the window another size, in CSS pixels."""
        await self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=False,
        )

    async def picture(self) -> bytes:
        """What the tab shows, as PNG.

        A browser that began on a busy machine may never draw; then another try needs another one.
        """
        async with asyncio.timeout(AT_MOST / 5):
            return base64.b64decode((await self.ask("Page.captureScreenshot"))["data"])

    async def close(self) -> None:
        """Close the tab at once."""
        async with self.session.get(f"{self.address}/json/close/{self.target}") as answer:
            assert answer.status == 200

    def told(self, method: str) -> list[dict[str, Any]]:
        """The parameters of all reports of one kind."""
        return [one["params"] for one in self.reports if one["method"] == method]

    def received(self) -> str:
        """Everything the call desk has drawn so far, with the terminal's control codes."""
        frames = self.told("Network.webSocketFrameReceived")
        drawn = [one["response"] for one in frames if one["response"]["opcode"] == 2]
        return b"".join(base64.b64decode(one["payloadData"]) for one in drawn).decode("utf-8")


@contextmanager
def launched(profile: Path) -> Iterator[str]:
    """Where a browser of its own takes commands until the block ends."""
    assert CHROMIUM is not None
    with subprocess.Popen(
        [CHROMIUM, *_LAUNCH.format(profile=profile).split()],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "HOME": str(profile)},
    ) as process:
        try:
            assert process.stderr is not None
            while "DevTools listening on ws://" not in (line := process.stderr.readline()):
                assert line, "the browser has ended"
            # Whatever else it says must not fill the pipe.
            Thread(target=process.stderr.read, daemon=True).start()
            yield f"http://{urlsplit(line.split()[-1]).netloc}"
        finally:
            process.terminate()


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """One for all tests that look at no picture."""
    with launched(tmp_path_factory.mktemp("profile")) as address:
        yield address


@asynccontextmanager
async def browser_tab(address: str) -> AsyncIterator[Tab]:
    """A new tab of the browser, closed afterwards."""
    async with aiohttp.ClientSession() as session:
        async with session.put(f"{address}/json/new?about:blank") as answer:
            opened = json.loads(await answer.text())
        socket_url = opened["webSocketDebuggerUrl"]
        async with session.ws_connect(socket_url, max_msg_size=0) as socket:
            tab = Tab(session, address, opened["id"])
            listening = asyncio.create_task(tab.listen(socket))
            await asyncio.sleep(0)
            for domain in ("Page", "Runtime", "Network", "Log"):
                await tab.ask(f"{domain}.enable")
            await tab.ask("Page.bringToFront")
            yield tab
        await listening
        # A test may have closed it.
        async with session.get(f"{address}/json/close/{tab.target}"):
            pass
