"""The web server of the call desk: a page of its own, open to that page alone."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from aiohttp import web
from textual_serve.server import Server

if TYPE_CHECKING:
    import socket

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

    def __init__(self, command: str, host: str, port: int, public_url: str | None) -> None:
        shown = f"[{host}]" if ":" in host else host
        own = f"http://{shown}" if port == 80 else f"http://{shown}:{port}"
        super().__init__(command, host, port, title="consult", public_url=public_url or f"{own}/")
        origins = {own.lower()}
        if shown in _LOOPBACK_NAMES:
            origins |= {own.replace(shown, name, 1) for name in _LOOPBACK_NAMES}
        if public_url is not None:
            origins.add(_origin(public_url))
        self.origins = frozenset(origins)
        """Scheme and authority of every address this is served at, as browsers send them."""
        self.authorities = frozenset(origin.partition("://")[2] for origin in origins)

    def serve_on(self, listening: socket.socket) -> None:
        """Serve on a socket that listens already, until stopped."""
        logging.basicConfig(level=logging.WARNING)
        web.run_app(
            self._make_app(),
            sock=listening,
            shutdown_timeout=_GRACE,
            access_log=None,
            print=None,
        )

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.add_routes([web.static("/page", _PAGE)])
        app.middlewares.append(self._guard)
        app.on_response_prepare.append(self._add_headers)
        return app

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing: the command has said where it is served."""

    async def handle_index(self, request: web.Request) -> web.StreamResponse:  # noqa: ARG002
        """The page; it finds out by itself by which address it was reached."""
        return web.FileResponse(_PAGE / "index.html")

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        if request.host.lower() not in self.authorities:
            raise web.HTTPMisdirectedRequest(text="The call desk is not served at this address.\n")
        origin = request.headers.get("Origin", "").lower()
        # Browsers name the origin of every socket, so one that names none is no browser.
        is_socket = request.match_info.route.name == "websocket"
        if (origin or is_socket) and origin not in self.origins:
            raise web.HTTPForbidden(text="Only the call desk's own page may ask for this.\n")
        return await handler(request)

    async def _add_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        # Not every browser counts the socket among 'self'.
        sockets = f" ws://{request.host} wss://{request.host}"
        for name, value in _HEADERS.items():
            response.headers[name] = value.replace("{sockets}", sockets)


def _origin(url: str) -> str:
    parts = urlsplit(url.lower())
    default = {"http": ":80", "https": ":443"}[parts.scheme]
    return f"{parts.scheme}://{parts.netloc.rpartition('@')[2].removesuffix(default)}"
