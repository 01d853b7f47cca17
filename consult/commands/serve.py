"""``consult serve``: the call desk in a browser, each tab a call in a process of its own."""

from __future__ import annotations

import errno
import secrets
import socket
import ssl
import sys
from argparse import SUPPRESS, ArgumentParser, Namespace
from contextlib import suppress
from importlib.util import find_spec
from ipaddress import ip_address
from pathlib import Path
from urllib.parse import urlsplit

from consult.commands.options import RUNS, call_options, either_side, flag, option
from consult.commands.outcome import Outcome, complain
from consult.durable import read_file
from consult.paths import default_tree
from consult.problems import CannotDoError

if RUNS:
    from consult.commands.installation import (
        checked_basis,
        chosen_country,
        chosen_population,
        unpublished,
    )

OPEN_WARNING = """\
WARNING: this is open to the network without encryption. Anyone on the network can read the
secret of this address and every health answer. Give a certificate by --cert and --key, or put your
firm's own HTTPS sign-in in front of it and give the address of that by --public-url."""
MOST_DESKS = 200
_MOST_CERT = 1_000_000


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult serve --country IE"
    call_options(parser, SUPPRESS, resumes=False)
    option(parser, "--host", "address to serve at (this machine's)", default="127.0.0.1")
    option(parser, "--port", "port to serve at (8321)", type=int, default=8321)
    option(parser, "--cert FILE", "certificate (PEM): serve https")
    option(parser, "--key FILE", "its private key, if CERT does not contain it")
    option(parser, "--public-url URL", "address of the sign-in in front of it")
    option(parser, "--tabs", "most browser tabs at once (8)", type=int, default=8)
    either_side(parser, "--desks", SUPPRESS, type=int, dest="tabs")
    flag(
        parser, "--no-token", "no secret in the address, because a sign-in in front controls access"
    )
    flag(
        parser,
        "--open-to-network",
        "let other machines connect, without sign-in (and without encryption unless --cert)",
    )


def run(options: Namespace) -> Outcome:
    """Serve until stopped; what would break every tab is reported before anything is served."""
    if find_spec("textual_serve") is None:
        return complain("The browser needs one more package: pip install 'consult[web]'")
    if trouble := _trouble(options):
        return complain(trouble)
    _check_tree(options)
    tls = _tls(options.cert, options.key) if options.cert else None
    try:
        # The port, taken before anything is said to be served.
        of_host = socket.getaddrinfo(options.host, options.port, type=socket.SOCK_STREAM)
        listening = socket.create_server((options.host, options.port), family=of_host[0][0])
    except OSError as error:
        return complain(_why_not(options, error))

    from consult.commands.serve_web import DeskServer

    server = DeskServer(
        _words(options),
        options.host,
        options.port,
        options.public_url,
        token="" if options.no_token else secrets.token_urlsafe(24),
        desks=options.tabs,
        # Other users of this machine can read a command line, and a place may hold a password.
        environment={"CONSULT_RECORDS": options.records} if options.records else {},
        tls=tls,
    )
    if not _is_loopback(options.host) and tls is None:
        print(OPEN_WARNING, file=sys.stderr)
    # Pressed before the server listens to it, Ctrl+C means the same.
    with suppress(KeyboardInterrupt):
        print(
            f"The call screen is at {server.address}\nEach browser tab is a call screen of its "
            f"own, up to {options.tabs}. Text size: zoom in the browser, or add fontsize=20 "
            "to the address.\nStop with Ctrl+C.",
            flush=True,
        )
        server.serve_on(listening)
    return Outcome.DONE


def _trouble(options: Namespace) -> str:
    """What is wrong with the command line, in words; '' where nothing is."""
    if options.start:
        return "Each tab starts a new call. To start from a call file: consult call --from FILE"
    if not 1 <= options.port <= 65535:
        return f"A port is a number from 1 to 65535, not {options.port}."
    if not _is_loopback(options.host) and not options.open_to_network:
        without = "without sign-in" if options.cert else "without sign-in or encryption"
        return (
            f"{options.host} would be reachable from other machines, {without}. If you want "
            "this, add --open-to-network."
        )
    if options.key and not options.cert:
        return "--key goes with --cert."
    if not 1 <= options.tabs <= MOST_DESKS:
        return f"--tabs takes a number from 1 to {MOST_DESKS}."
    if options.public_url is not None and not _is_url(options.public_url):
        return f"--public-url must look like https://desk.example, not {options.public_url}"
    if options.host in ("0.0.0.0", "::") and options.public_url is None:
        return (
            f"{options.host} means every address of this machine. Give the one that advisers "
            "type with --public-url."
        )
    return ""


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host.lower() == "localhost"


def _is_url(text: str) -> bool:
    try:
        parts = urlsplit(text)
        return parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:
        return False


def _check_tree(options: Namespace) -> None:
    """CannotDoError, as a call has it, where none could begin."""
    if not options.tree and (trouble := unpublished()):
        raise CannotDoError(trouble)
    tree = Path(options.tree) if options.tree else default_tree()
    basis, problems = checked_basis(tree, chosen_population(options.population))
    if basis is None or any(problem.severity == "error" for problem in problems):
        raise CannotDoError(problems=problems)
    chosen_country(options.country, basis)


def _tls(cert: str, key: str | None) -> ssl.SSLContext:
    """What encrypts with a certificate."""
    for file in filter(None, (cert, key)):
        read_file(Path(file), _MOST_CERT)  # asked of it here: the library names no file

    def locked() -> str:
        # Without this, the library would ask at the terminal.
        raise CannotDoError(f"The key in {key or cert} is locked with a password. Unlock it first.")

    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    try:
        context.load_cert_chain(cert, key, locked)
    except ssl.SSLError as error:
        named = f"{cert} and {key}" if key else cert
        message = f"{named} cannot be used: they must be a certificate in PEM form and its own key."
        raise CannotDoError(message) from error
    return context


def _why_not(options: Namespace, error: OSError) -> str:
    if isinstance(error, socket.gaierror):
        return f"There is no address {options.host}."
    if isinstance(error, PermissionError):
        return f"You may not use port {options.port}. Choose one from 1024 up: --port 8321"
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {options.port} is in use, perhaps by another consult serve. Stop it, or "
            f"choose another port: --port {options.port % 65535 + 1}"
        )
    return f"{options.host} port {options.port} cannot be used ({error.strerror})."


_HANDED_ON = ("tree", "units", "country", "population", "adviser")
"""Options of a call that every tab is started with."""


def _words(options: Namespace) -> list[str]:
    """The command line of every tab's call."""
    given = {name: getattr(options, name) for name in _HANDED_ON}
    words = [sys.executable, "-m", "consult", "call"]
    words += [f"--{name}={value}" for name, value in given.items() if value is not None]
    return [*words, "--thorough"] if options.thorough else words
