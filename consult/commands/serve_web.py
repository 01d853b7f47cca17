"""The web server of the call desk: a page of its own, open to that page alone."""

from __future__ import annotations

import asyncio
import json
import logging
from asyncio.subprocess import Process
from collections.abc import Mapping, Sequence
from contextlib import suppress
from hmac import compare_digest
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from aiohttp import WSCloseCode, web
from textual_serve.app_service import AppService
from textual_serve.server import Server, to_int

if TYPE_CHECKING:
    import socket
    import ssl

    from aiohttp.typedefs import Handler

_PAGE = Path(__file__).parent / "page"
_GRACE = 1
"""Seconds open tabs have when the server is stopped, before their calls are told to end."""
_LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")
_HEADERS = {
    # Nothing from elsewhere, by any mistake of page or script. The terminal sets its own styles.
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; font-src 'self'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'{sockets}; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}


class DeskServer(Server):
    """Answers to the addresses it is served at, and to no page from any other address.

    A page of any site that an adviser visits can send requests to this machine: without these
    checks it could open a call here and read it, by a socket (which browsers allow across sites)
    or by giving its own name this machine's address.
    """

    def __init__(
        self,
        words: Sequence[str],
        host: str,
        port: int,
        public_url: str | None,
        *,
        token: str = "",
        desks: int = 8,
        environment: Mapping[str, str] | None = None,
        tls: ssl.SSLContext | None = None,
    ) -> None:
        """``words`` and ``environment`` start a desk; ``token`` lets a browser in, '' lets any.

        With ``tls`` it is served by https.
        """
        shown = f"[{host}]" if ":" in host else host
        scheme, usual = ("https", 443) if tls else ("http", 80)
        own = f"{scheme}://{shown}" if port == usual else f"{scheme}://{shown}:{port}"
        super().__init__(
            "consult call", host, port, title="consult", public_url=public_url or f"{own}/"
        )
        origins = {own.lower()}
        if shown in _LOOPBACK_NAMES:
            origins |= {own.replace(shown, name, 1) for name in _LOOPBACK_NAMES}
        if public_url is not None:
            origins.add(_origin(public_url))
        self.origins = frozenset(origins)
        """Scheme and authority of every address this is served at, as browsers send them."""
        self.token, self.desks, self._running = token, desks, 0
        self._words, self._environment, self._tls = words, environment or {}, tls
        # Cookies do not tell ports apart, and another server may run at another port.
        self._cookie = f"consult_{port}"
        self.authorities = frozenset(origin.partition("://")[2] for origin in origins)

    def serve_on(self, listening: socket.socket) -> None:
        """Serve on a socket that listens already, until stopped."""
        logging.basicConfig(level=logging.WARNING)
        web.run_app(
            self._make_app(),
            sock=listening,
            ssl_context=self._tls,
            shutdown_timeout=_GRACE,
            access_log=None,
            print=None,
        )

    async def _make_app(self) -> web.Application:
        app = web.Application(middlewares=[self._guard])
        app.add_routes(
            [
                web.get("/", self.handle_index, name="index"),
                web.get("/ws", self.handle_websocket, name="websocket"),
                web.get("/download/{key}", self.handle_download, name="download"),
                web.static("/static", self.statics_path),
                web.static("/page", _PAGE),
            ]
        )
        app.on_response_prepare.append(self._add_headers)
        return app

    @property
    def address(self) -> str:
        """What an adviser opens, the secret in it."""
        return f"{self.public_url.rstrip('/')}/?key={self.token}" if self.token else self.public_url

    async def handle_index(self, request: web.Request) -> web.FileResponse:
        """The page; it finds out by itself by which address it was reached."""
        self._refuse_when_full()
        if "key" not in request.query:
            return web.FileResponse(_PAGE / "index.html")
        # Out of the address bar and the history; the cookie has it from now on.
        rest = {name: value for name, value in request.query.items() if name != "key"}
        answer = web.HTTPSeeOther(request.rel_url.with_query(rest))
        answer.set_cookie(
            self._cookie,
            self.token,
            httponly=True,
            samesite="Strict",
            secure=self.public_url.startswith("https:"),
        )
        raise answer

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """A desk, for as long as its browser is there; 15 s of silence are noticed."""
        self._refuse_when_full()
        self._running += 1
        websocket = web.WebSocketResponse(heartbeat=15)
        desk = DeskProcess(
            self._words,
            self._environment,
            write_bytes=websocket.send_bytes,
            write_str=websocket.send_str,
            close=websocket.close,
            download_manager=self.download_manager,
        )
        try:
            await websocket.prepare(request)
            width, height = (to_int(request.query.get(n, ""), 80) for n in ("width", "height"))
            await desk.start(width, height)
            await self._process_messages(websocket, desk)
        except (ValueError, TypeError, LookupError, AssertionError):
            # A message that no page of ours sends.
            await websocket.close(code=WSCloseCode.UNSUPPORTED_DATA)
        finally:
            await asyncio.shield(desk.stop())
            self._running -= 1
        return websocket

    def _refuse_when_full(self) -> None:
        if self._running >= self.desks:
            raise web.HTTPServiceUnavailable(
                text=f"All {self.desks} call screens of this server are in use. Close a tab you do "
                "not need, or restart consult serve with --tabs N.\n"
            )

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        if request.host.lower() not in self.authorities:
            raise web.HTTPMisdirectedRequest(text="There is no call screen at this address.\n")
        origin = request.headers.get("Origin", "").lower()
        # Browsers name the origin of every socket, so one that names none is no browser.
        is_socket = request.match_info.route.name == "websocket"
        if (origin or is_socket) and origin not in self.origins:
            raise web.HTTPForbidden(text="Only consult's own page may ask for this.\n")
        if not self._knows(request):
            raise web.HTTPForbidden(
                text="Open the full address that consult serve showed when it started, with the "
                "key in it.\n"
            )
        return await handler(request)

    def _knows(self, request: web.Request) -> bool:
        """Whether a browser has the secret: any user of this machine can reach its port."""
        is_index = request.match_info.route.name == "index"
        shown = request.query.get("key", "") if is_index else ""
        key = shown or request.cookies.get(self._cookie, "")
        return not self.token or compare_digest(key.encode(), self.token.encode())

    async def _add_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        # Not every browser counts the socket among 'self'.
        sockets = f" ws://{request.host} wss://{request.host}"
        for name, value in _HEADERS.items():
            response.headers[name] = value.replace("{sockets}", sockets)


def _origin(url: str) -> str:
    parts = urlsplit(url.lower())
    default = {"http": ":80", "https": ":443"}[parts.scheme]
    return f"{parts.scheme}://{parts.netloc.rpartition('@')[2].removesuffix(default)}"


# -- one desk of ``consult serve``: a process that ends with its browser and with the server ------

QUIT, TERMINATE = 10.0, 5.0
"""Seconds a desk has to end by itself, then after it was told to by the system."""


class DeskProcess(AppService):
    """A call in a process of its own, started without a shell."""

    def __init__(self, words: Sequence[str], environment: Mapping[str, str], **given: Any) -> None:
        super().__init__("consult call", **given)
        self._words, self._environment = words, environment

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        pipe = asyncio.subprocess.PIPE
        environment = {**self._build_environment(width, height), **self._environment}
        self._process = await asyncio.create_subprocess_exec(
            *self._words, stdin=pipe, stdout=pipe, stderr=pipe, env=environment
        )
        self._stdin = self._process.stdin
        return self._process

    async def on_meta(self, data: bytes) -> None:
        """Hand on to this desk's page what its screen says in words; the rest is as usual."""
        message = json.loads(data)
        if message["type"] == "words":
            await self.remote_write_str(json.dumps(["words", message["words"]]))
        else:
            await super().on_meta(data)

    async def stop(self) -> None:
        """End the process, by force where it does not end by itself; every answer is stored."""
        process, self._process = self._process, None
        if process is None:
            return
        await self._download_manager.cancel_app_downloads(app_service_id=self.app_service_id)
        with suppress(TimeoutError):
            async with asyncio.timeout(QUIT):
                await self.send_meta({"type": "quit"})
                await process.wait()
        for end in (process.terminate, process.kill):
            if process.returncode is None:
                with suppress(ProcessLookupError):
                    end()
                with suppress(TimeoutError):
                    await asyncio.wait_for(process.wait(), TERMINATE)
        if self._task is not None:
            self._task.cancel()
            with suppress(asyncio.CancelledError):
                await self._task
            self._task = None
