"""``consult serve`` under test: as a process of its own, or here with plain call screens."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import asynccontextmanager, contextmanager, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest
from aiohttp import web

from consult.cli import main
from consult.commands.serve_web import DeskServer
from consult.records.store import open_store
from tests.long import AT_MOST

_PLAIN = r"""
import sys
sys.stdout.write("__GANGLION__\nD\0\0\0\5Hello")
sys.stdout.flush()
pipe, told = sys.stdin.buffer, b""
while b"quit" not in told and b"\x11" not in told and pipe.read(1):
    told = pipe.read(int.from_bytes(pipe.read(4), "big"))
"""
PLAIN = (sys.executable, "-IS", "-c", _PLAIN)
"""In place of a call screen: it draws a word, and ends when it is told to or at Ctrl+Q."""


@dataclass(frozen=True, slots=True)
class Served:
    """A call desk that is being served."""

    port: int
    pid: int
    calls: Path
    """The folder its calls are kept in."""
    address: str = ""
    """What was printed: with the secret in it, unless it was started without."""

    @property
    def origin(self) -> str:
        """As a browser sends it."""
        return f"http://127.0.0.1:{self.port}"

    def names(self) -> list[str]:
        """Whose calls are kept so far."""
        store = open_store(self.calls / "records.db")
        try:
            return [one.caller_name for one in store.latest()]
        finally:
            store.close()

    def processes(self) -> list[int]:
        """Those of the calls being held."""
        calls = ["consult", "call"], ["-c", _PLAIN]
        return [pid for pid in _descendants(self.pid) if _words(pid)[2:4] in calls]

    def process(self) -> int:
        """The process of the one call being held."""
        (found,) = self.processes()
        return found


def _descendants(pid: int) -> Iterator[int]:
    """Processes that a process started, and those that these did."""
    for child in _told(pid, f"task/{pid}/children").split():
        yield int(child)
        yield from _descendants(int(child))


def _words(pid: int) -> list[str]:
    return _told(pid, "cmdline").split("\0")


def _told(pid: int, what: str) -> str:
    """What the system tells of a process; nothing of one that has just ended."""
    try:
        return Path(f"/proc/{pid}/{what}").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return ""


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def begun(more: Sequence[str], records: Path) -> tuple[subprocess.Popen[str], int, str]:
    """A server, its port and its first line.

    Another process may take a port between its being free and being listened on: then the next.
    """
    while True:
        port = free_port()
        process = subprocess.Popen(
            [sys.executable, "-m", "consult", "serve", "--port", str(port), *more],
            env={**os.environ, "CONSULT_RECORDS": str(records)},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        assert process.stdout is not None
        said = process.stdout.readline()
        if f"Port {port} is in use" not in said:
            return process, port, said
        process.communicate()


@contextmanager
def serving(calls: Path, *more: str, token: bool = False) -> Iterator[Served]:
    """Serve until the block ends; then the server has to stop in good order."""
    more = more if token else (*more, "--no-token")
    process, port, said = begun(more, calls / "records.db")
    try:
        assert process.stdout is not None
        assert said.startswith("The call screen is at http"), said + process.stdout.read()
        yield Served(port, process.pid, calls, said.split()[-1])
    finally:
        process.send_signal(signal.SIGINT)
        rest, _ = process.communicate(timeout=AT_MOST)
    assert "Traceback" not in rest, rest
    assert process.returncode == 0


@dataclass(frozen=True, slots=True)
class Begun:
    """What the command line makes of its words: a server that does not answer yet."""

    server: DeskServer
    listening: socket.socket
    address: str

    @asynccontextmanager
    async def answering(self) -> AsyncIterator[Served]:
        """Answer within this process until the block ends."""
        server = self.server
        runner = web.AppRunner(await server._make_app(), shutdown_timeout=AT_MOST)
        await runner.setup()
        await web.SockSite(runner, self.listening.dup(), ssl_context=server._tls).start()
        port = self.listening.getsockname()[1]
        try:
            yield Served(port, os.getpid(), Path(), self.address)
        finally:
            await runner.cleanup()


def begun_here(*more: str) -> Begun:
    """The server of a command line, with plain call screens; nothing is started yet."""
    made: list[tuple[DeskServer, socket.socket]] = []
    out = StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out):
        patch.setattr(DeskServer, "serve_on", lambda *given: made.append(given))
        while not made:
            assert main(["serve", "--port", str(free_port()), *more]) in (0, 2)
    ((server, listening),) = made
    server._words = PLAIN
    return Begun(server, listening, out.getvalue().partition("\n")[0].split()[-1])
