"""Who may open a desk in a browser, how many there are, and that each ends with its browser."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import aiohttp
import pytest
from yarl import URL

from consult.commands import serve_web
from tests.commands.runs import Run
from tests.commands.serving import Begun, Served, begun, begun_here
from tests.commands.test_serve import SHOWN, SOCKET, status
from tests.long import AT_MOST


@pytest.fixture(scope="module")
def server() -> Iterator[Begun]:
    """Two desks, let in by the secret."""
    one = begun_here("--tabs", "2")
    with one.listening:
        yield one


@pytest.fixture
async def served(server: Begun) -> AsyncIterator[Served]:
    """The same, answering one test."""
    async with server.answering() as one:
        yield one


@pytest.fixture
async def session() -> AsyncIterator[aiohttp.ClientSession]:
    """A browser as far as cookies go."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as one:
        yield one


async def until_there_are(served: Served, count: int) -> None:
    """Wait for desks to begin or end."""
    async with asyncio.timeout(AT_MOST):
        while len(served.processes()) != count:
            await asyncio.sleep(0.02)


def is_running(process: int) -> bool:
    """Also told of one that nobody waits for: such a one has ended."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(") ")[2][0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


def desk(session: aiohttp.ClientSession, served: Served) -> aiohttp.client._WSRequestContextManager:
    """A desk opened as the page does it."""
    return session.ws_connect(f"{served.origin}/ws", headers={"Origin": served.origin})


async def first_question(call: aiohttp.ClientWebSocketResponse[bool]) -> None:
    """Read until the desk has drawn something."""
    async with asyncio.timeout(AT_MOST):
        drawn = b""
        while b"Hello" not in drawn:
            message = await call.receive()
            drawn += message.data if message.type is aiohttp.WSMsgType.BINARY else b""


@pytest.mark.parametrize("path", ["/", "/ws", "/static/js/textual.js", "/page/page.js", "/none"])
@pytest.mark.parametrize("key", ["", "?key=", "?key=guessed", "?key=\u00e9"])
async def test_without_the_secret_nothing_is_answered(
    session: aiohttp.ClientSession, served: Served, path: str, key: str
) -> None:
    """Also where the request names the desk's own page as its origin, as any program can."""
    headers = {**SOCKET, "Origin": served.origin} if path == "/ws" else {}
    assert await status(session, served.origin + path + key, headers) == 403
    cookie = {"Cookie": f"consult_{served.port}=guessed"}
    assert await status(session, served.origin + path, {**headers, **cookie}) == 403
    # The secret opens the page alone; whatever follows has the cookie.
    if path != "/":
        secret = served.address.partition("?")[2]
        assert await status(session, f"{served.origin}{path}?{secret}", headers) == 403


async def test_the_address_lets_a_browser_in_once_and_for_all(
    session: aiohttp.ClientSession, served: Served
) -> None:
    """The secret is in a cookie from then on, and not in the address bar."""
    async with session.get(f"{served.address}&fontsize=20", allow_redirects=False) as answer:
        assert answer.status == 303
        assert answer.headers["Location"] == "/?fontsize=20"
        cookie = answer.headers["Set-Cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=Strict" in cookie
    assert await status(session, served.origin, {}) == 200
    assert await status(session, f"{served.origin}/static/js/textual.js", {}) == 200
    async with desk(session, served) as call:
        await first_question(call)
    await until_there_are(served, 0)


def test_each_start_has_its_own_secret(server: Begun) -> None:
    """What let somebody in yesterday does not today."""
    other = begun_here()
    other.listening.close()
    assert other.address.partition("?")[2] != server.address.partition("?")[2]
    assert len(other.address.partition("key=")[2]) >= 32


@pytest.mark.parametrize("folder", ["/static", "/static/", "/static/js/", "/page/", "/page"])
async def test_no_folder_is_listed(
    session: aiohttp.ClientSession, served: Served, folder: str
) -> None:
    """What is not asked for by name is not shown."""
    await session.get(served.address)
    assert await status(session, served.origin + folder, {}) in (403, 404)


async def test_one_desk_too_many(session: aiohttp.ClientSession, served: Served) -> None:
    """It is refused in words, and possible again when a tab was closed."""
    await session.get(served.address)
    async with desk(session, served) as one:
        async with desk(session, served) as two:
            await first_question(one)
            await first_question(two)
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await desk(session, served)
            assert refused.value.status == 503
            async with session.get(served.origin) as answer:
                assert answer.status == 503
                assert "All 2 call screens" in await answer.text()
        async with asyncio.timeout(AT_MOST):
            while await status(session, served.origin, {}) == 503:
                await asyncio.sleep(0.02)
    await until_there_are(served, 0)


async def test_a_browser_that_is_gone_without_a_word(
    session: aiohttp.ClientSession, served: Served
) -> None:
    """Its desk ends, although the line was never closed: here the socket is cut off."""
    await session.get(served.address)
    call = await desk(session, served)
    await first_question(call)
    call._response.connection.transport.abort()  # type: ignore[union-attr]
    await until_there_are(served, 0)


async def test_a_desk_that_does_not_end_by_itself(
    session: aiohttp.ClientSession, served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped in the middle of something, it is ended all the same when its browser leaves."""
    monkeypatch.setattr(serve_web, "QUIT", 0.1)
    monkeypatch.setattr(serve_web, "TERMINATE", 0.1)
    await session.get(served.address)
    async with desk(session, served) as call:
        await first_question(call)
        os.kill(served.process(), signal.SIGSTOP)
    await until_there_are(served, 0)


async def test_a_message_no_page_sends(session: aiohttp.ClientSession, served: Served) -> None:
    """Ends that desk and nothing else, and the page is told why."""
    await session.get(served.address)
    for message in ("nonsense", "{}", '["stdin"]', '["resize", {}]', "[]"):
        async with desk(session, served) as call:
            await call.send_str(message)
            async with asyncio.timeout(AT_MOST):
                while (message_back := await call.receive()).type in SHOWN:
                    pass
            assert message_back.data == aiohttp.WSCloseCode.UNSUPPORTED_DATA
        await until_there_are(served, 0)


async def test_desks_end_with_a_server_that_is_killed(tmp_path: Path) -> None:
    """Nobody can tell them; they notice. Meanwhile the place of the records, which goes to each
    desk out of everybody's sight, is used and stands on no command line of a desk."""
    place = tmp_path / "secret-place.db"
    server, port, _ = begun(["--no-token", "--records", str(place)], tmp_path / "r.db")
    served = Served(port, server.pid, tmp_path)
    async with aiohttp.ClientSession() as session, desk(session, served) as call:
        await first_question(call)
        left = served.process()
        assert "secret-place" not in Path(f"/proc/{left}/cmdline").read_text()
        async with asyncio.timeout(AT_MOST):
            while not place.exists():
                await asyncio.sleep(0.02)
        server.kill()
        server.communicate()
    async with asyncio.timeout(AT_MOST):
        while is_running(left):
            await asyncio.sleep(0.02)


def test_a_place_with_a_password_is_on_no_command_line(run: Run) -> None:
    """Neither on the one typed nor on that of a desk; a file may hold it."""
    done = run("records", "--records", "postgresql://ann:hush@h/d", "list")
    assert done.code == 2
    assert "CONSULT_RECORDS_FILE" in done.err
    assert "hush" not in done.err
    for before in ((), ("--records", "postgresql://ann:hush@h/d")):
        assert run(*before, "serve", "--records", "postgresql://ann:hush@h/d").code == 2


def test_records_named_by_a_file(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As whoever looks after the machine puts it there, for this user alone to read."""
    monkeypatch.delenv("CONSULT_RECORDS", raising=False)
    (tmp_path / "place").write_text(f"{tmp_path / 'kept.db'}\n")
    monkeypatch.setenv("CONSULT_RECORDS_FILE", str(tmp_path / "place"))
    # Nothing is stored there yet, and to look makes no records.
    assert str(tmp_path / "kept.db") in run("records", "where").err
    assert not (tmp_path / "kept.db").exists()
    monkeypatch.setenv("CONSULT_RECORDS_FILE", str(tmp_path / "none"))
    done = run("records", "where")
    assert done.code == 2
    assert "CONSULT_RECORDS_FILE" in done.err


@pytest.mark.parametrize("desks", ["0", "-1", "1000"])
def test_a_number_of_desks_that_is_none(run: Run, desks: str) -> None:
    """Is refused in words."""
    done = run("serve", f"--tabs={desks}")
    assert done.code == 2
    assert "--tabs takes a number" in done.err


def test_a_key_in_a_query_is_no_url(server: Begun) -> None:
    """The printed address is one that a browser opens as it stands."""
    assert URL(server.address).query["key"] == server.address.partition("key=")[2]
