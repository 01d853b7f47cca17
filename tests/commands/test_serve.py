"""Serving the call desk to browsers: what is refused, and to whom it answers."""

from __future__ import annotations

import asyncio
import importlib.util
import shutil
import socket
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import aiohttp
import pytest

from consult.commands import serve
from consult.paths import trees_folder
from tests.commands.runs import Run
from tests.commands.serving import Begun, Served, begun_here, free_port, serving
from tests.long import AT_MOST

SHOWN = (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT)
"""What a desk draws, and the same in words."""
SOCKET = {
    "Connection": "Upgrade",
    "Upgrade": "websocket",
    "Sec-WebSocket-Version": "13",
    "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==",
}


@pytest.fixture(scope="module")
def server() -> Iterator[Begun]:
    """One server for all requests of this file."""
    one = begun_here("--no-token")
    with one.listening:
        yield one


@pytest.fixture
async def served(server: Begun) -> AsyncIterator[Served]:
    """The same, answering one test."""
    async with server.answering() as one:
        yield one


@pytest.fixture(scope="module")
def process(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A process that serves whole call screens, with a tree whose name a shell would cut up."""
    trees = tmp_path_factory.mktemp("trees") / "the firm's; own $HOME"
    shutil.copytree(trees_folder(), trees)
    tree = trees / "seating.yaml"
    with serving(tmp_path_factory.mktemp("calls"), "--tree", str(tree), "--units=imperial") as one:
        yield one


@pytest.fixture
async def session() -> AsyncIterator[aiohttp.ClientSession]:
    """Sends requests."""
    async with aiohttp.ClientSession() as one:
        yield one


async def status(session: aiohttp.ClientSession, url: str, headers: dict[str, str]) -> int:
    """What a request is answered with."""
    async with session.get(url, headers=headers) as answer:
        return answer.status


# -- the command line -------------------------------------------------------------------------


def test_without_the_extra(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the web packages are missing, a plain sentence says how to get them."""
    found = importlib.util.find_spec
    monkeypatch.setattr(serve, "find_spec", lambda name: None if "serve" in name else found(name))
    made = run("serve")
    assert (made.code, made.out) == (2, "")
    assert made.err == "consult: The browser needs one more package: pip install 'consult[web]'\n"


@pytest.mark.parametrize(
    "host", ["0.0.0.0", "::", "192.0.2.7", "desk.example", "127.0.0.1.example"]
)
def test_other_hosts_are_refused(run: Run, host: str) -> None:
    """Nothing is served beyond this machine unless that is said to be meant."""
    made = run("serve", "--host", host)
    assert (made.code, made.out) == (2, "")
    assert "--open-to-network" in made.err
    assert "without sign-in or encryption" in made.err


def test_every_address_needs_the_one_that_is_typed(run: Run) -> None:
    """Served at every address, the server must know by which name advisers come."""
    made = run("serve", "--host", "0.0.0.0", "--open-to-network")
    assert made.code == 2
    assert "--public-url" in made.err


def test_the_warning_of_an_open_desk(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Open to the network, it is said what is missing and what to put in front."""
    from consult.commands import serve_web

    monkeypatch.setattr(serve_web.DeskServer, "serve_on", lambda _, listening: listening.close())
    port = str(free_port())
    more = (
        "--open-to-network",
        "--no-token",
        "--public-url",
        "https://desk.example",
        "--port",
        port,
    )
    made = run("serve", "--host", "0.0.0.0", *more)
    assert made.code == 0
    assert made.out.startswith("The call screen is at https://desk.example\n")
    for words in ("without encryption", "every health answer", "HTTPS"):
        assert words in made.err
    assert run("serve", "--port", port).err == ""


@pytest.mark.parametrize("url", ["desk.example", "ftp://desk.example", "http://", "http://a:x", ""])
def test_a_public_address_that_is_none(run: Run, url: str) -> None:
    """A public address has to be a web address."""
    made = run("serve", "--public-url", url)
    assert made.code == 2
    assert "must look like https://desk.example" in made.err


@pytest.mark.parametrize("port", ["0", "-1", "65536"])
def test_a_port_that_is_none(run: Run, port: str) -> None:
    """A port out of range is refused in words."""
    made = run("serve", f"--port={port}")
    assert made.code == 2
    assert "from 1 to 65535" in made.err


def test_a_port_in_use(run: Run) -> None:
    """A port that is taken is told, with what to do, before anything is served."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        made = run("serve", "--port", str(port))
    assert (made.code, made.out) == (2, "")
    assert f"Port {port} is in use" in made.err
    assert "--port" in made.err


def test_an_address_that_is_not_this_machines(run: Run) -> None:
    """An address of another machine is told in words (192.0.2.0/24 is nobody's: RFC 5737)."""
    made = run("serve", "--host", "192.0.2.7", "--open-to-network")
    assert (made.code, made.out) == (2, "")
    assert "192.0.2.7 port 8321 cannot be used" in made.err


def test_a_broken_tree_is_told_as_a_call_tells_it(run: Run, tmp_path: Path) -> None:
    """The problems of a tree come before serving, the same as before a call."""
    broken = tmp_path / "broken.yaml"
    broken.write_text("tree: [", "utf-8")
    made = run("serve", "--tree", str(broken))
    assert (made.code, made.out) == (2, "")
    assert made.err == run("call", "--tree", str(broken)).err


@pytest.mark.parametrize(
    "more",
    [("--tree", "none.yaml"), ("--population", "martians"), ("--country", "Irland")],
)
def test_what_no_call_could_begin_with(run: Run, more: tuple[str, str]) -> None:
    """A missing tree and an unknown population are told as before a call."""
    made = run("serve", *more)
    assert made.code == 2
    assert made.err == run("call", *more).err


def test_a_saved_call_is_for_the_terminal(run: Run) -> None:
    """One saved call cannot be gone on with in every tab."""
    made = run("--from", "some.yaml", "serve")
    assert made.code == 2
    assert "consult call --from" in made.err


# -- who is answered --------------------------------------------------------------------------


async def test_the_page_is_answered(session: aiohttp.ClientSession, served: Served) -> None:
    """The page comes with rules that keep everything from elsewhere out."""
    async with session.get(served.origin) as answer:
        page = await answer.text()
        assert answer.status == 200
        rules = answer.headers["Content-Security-Policy"]
    assert "<title>consult</title>" in page
    assert "//" not in page.replace("<!--", "")
    assert "default-src 'none'" in rules
    assert "frame-ancestors 'none'" in rules
    for file in ("page/page.js", "page/page.css", "static/js/textual.js", "static/css/xterm.css"):
        assert f'"{file}"' in page
        assert await status(session, f"{served.origin}/{file}", {}) == 200


@pytest.mark.parametrize("path", ["/", "/ws", "/static/js/textual.js", "/page/page.js", "/none"])
@pytest.mark.parametrize(
    "host", ["evil.example:{port}", "127.0.0.1.evil.example:{port}", "127.0.0.1", "evil.example"]
)
async def test_another_name_for_this_machine(
    session: aiohttp.ClientSession, served: Served, host: str, path: str
) -> None:
    """A site that gives its own name this machine's address gets nothing."""
    headers = {"Host": host.format(port=served.port)}
    assert await status(session, served.origin + path, headers) == 421


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "http://evil.example:{port}",
        "https://127.0.0.1:{port}",
        "http://127.0.0.1",
        "http://127.0.0.1:{port}.evil.example",
        "http://127.0.0.1:{port}/",
        "null",
        "",
        None,
    ],
)
async def test_a_socket_from_another_page(
    session: aiohttp.ClientSession, served: Served, origin: str | None
) -> None:
    """Only the desk's own page may open a call; a socket of any other page, or of none, may not."""
    headers = (
        {**SOCKET} if origin is None else {**SOCKET, "Origin": origin.format(port=served.port)}
    )
    for path in ("/ws", "/ws?width=80&height=24", "/%77s"):
        assert await status(session, served.origin + path, headers) == 403


async def test_other_requests_from_another_page(
    session: aiohttp.ClientSession, served: Served
) -> None:
    """A page elsewhere cannot read anything else either."""
    assert await status(session, served.origin, {"Origin": "http://evil.example"}) == 403


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "LOCALHOST"])
async def test_the_desks_own_page_gets_a_call(
    session: aiohttp.ClientSession, served: Served, name: str
) -> None:
    """By each name of this machine."""
    own = f"{name}:{served.port}"
    headers = {"Host": own, "Origin": f"http://{own}"}
    async with (
        asyncio.timeout(AT_MOST),
        session.ws_connect(f"{served.origin}/ws", headers=headers) as call,
    ):
        assert (await call.receive()).data == b"Hello"


async def test_a_public_address(session: aiohttp.ClientSession) -> None:
    """Behind a sign-in, its address counts as the desk's own, and another does not."""
    server = begun_here("--no-token", "--public-url", "https://Desk.example:443/")
    with server.listening:
        async with server.answering() as served:
            for name, wanted in (("desk.example", 200), ("other.example", 421)):
                assert await status(session, served.origin, {"Host": name}) == wanted
            for origin, wanted in (("https://desk.example", 101), ("http://desk.example", 403)):
                headers = {**SOCKET, "Origin": origin}
                assert await status(session, f"{served.origin}/ws", headers) == wanted


# -- whole call screens -----------------------------------------------------------------------


async def told_in_words(call: aiohttp.ClientWebSocketResponse[bool], wanted: str) -> str:
    """Every message in words up to one that has a text in it, as the page is sent them."""
    async with asyncio.timeout(AT_MOST):
        told = ""
        while wanted not in told:
            message = await call.receive()
            told += message.data if message.type is aiohttp.WSMsgType.TEXT else ""
        return told


async def test_a_desk_is_told_its_own_words_alone(
    session: aiohttp.ClientSession, process: Served
) -> None:
    """What one call says is sent to its own page and to no other; each has the tree and the units
    given to serve, and ends with its page."""
    url, headers = f"{process.origin}/ws?width=120&height=40", {"Origin": process.origin}
    async with (
        session.ws_connect(url, headers=headers) as one,
        session.ws_connect(url, headers=headers) as two,
    ):
        assert "imperial" in await told_in_words(one, "imperial")
        await one.send_json(["stdin", "Ada Nowhere\r"])
        told = await told_in_words(one, "Ada Nowhere")
        await two.send_json(["stdin", "Bea Elsewhere\r"])
        other = await told_in_words(two, "Bea Elsewhere")
        assert "Ada" not in other
        assert "Bea" not in told
    async with asyncio.timeout(AT_MOST):
        while process.processes():
            await asyncio.sleep(0.02)
