"""The call desk by https, with a certificate of one's own."""

from __future__ import annotations

import shutil
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from ipaddress import ip_address
from pathlib import Path

import aiohttp
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    KeySerializationEncryption,
    NoEncryption,
    PrivateFormat,
)
from cryptography.x509.oid import NameOID

from tests.commands.runs import Run
from tests.commands.serving import begun_here, free_port
from tests.long import AT_MOST


def certificate(
    folder: Path, name: str = "own", locked: KeySerializationEncryption | None = None
) -> tuple[Path, Path]:
    """A certificate of this machine that vouches for itself, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "127.0.0.1")])
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(datetime(2020, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(2120, 1, 1, tzinfo=UTC))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ip_address("127.0.0.1"))]), critical=False
        )
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    cert, secret = folder / f"{name}.pem", folder / f"{name}.key"
    cert.write_bytes(made.public_bytes(Encoding.PEM))
    secret.write_bytes(
        key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, locked or NoEncryption())
    )
    return cert, secret


async def test_a_desk_by_https(tmp_path: Path) -> None:
    """Page, cookie and socket are encrypted; nothing answers in plain text."""
    cert, key = certificate(tmp_path)
    trusting = ssl.create_default_context(cafile=str(cert))
    more = ("--cert", str(cert), "--key", str(key))
    server = begun_here(*more)
    async with server.answering() as served:
        server.listening.close()
        jar = aiohttp.CookieJar(unsafe=True)
        async with aiohttp.ClientSession(
            cookie_jar=jar, connector=aiohttp.TCPConnector(ssl=trusting)
        ) as session:
            async with session.get(served.address) as page:
                assert page.status == 200
                assert page.url.scheme == "https"
                (cookie,) = page.history[0].cookies.values()
                assert cookie["secure"]
            origin = f"https://127.0.0.1:{served.port}"
            url = f"wss://127.0.0.1:{served.port}/ws"
            async with session.ws_connect(url, origin=origin) as desk:
                await desk.receive(timeout=AT_MOST)
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await session.ws_connect(url, origin=served.origin)
            with pytest.raises(aiohttp.ClientError):
                await session.get(served.address.replace("https:", "http:"))


@pytest.mark.skipif(shutil.which("nginx") is None, reason="nginx is not installed")
async def test_a_desk_behind_a_proxy(tmp_path: Path) -> None:
    """With the words of the README: page, cookie and socket pass through, for its address alone."""
    cert, key = certificate(tmp_path)
    readme = (Path(__file__).parents[2] / "README.md").read_text()
    words = readme.partition("```nginx\n")[2].partition("```")[0]
    at = free_port()
    server = begun_here("--public-url", f"https://127.0.0.1:{at}")
    async with server.answering() as served:
        server.listening.close()
        for said, here in (
            ("listen 443 ssl", f"listen 127.0.0.1:{at} ssl"),
            ("server_name desk.example", "server_name 127.0.0.1"),
            ("/etc/ssl/desk.pem", str(cert)),
            ("/etc/ssl/private/desk.key", str(key)),
            ("127.0.0.1:8321", f"127.0.0.1:{served.port}"),
        ):
            assert said in words
            words = words.replace(said, here)
        with proxy(tmp_path, words):
            trusting = ssl.create_default_context(cafile=str(cert))
            async with aiohttp.ClientSession(
                cookie_jar=aiohttp.CookieJar(unsafe=True),
                connector=aiohttp.TCPConnector(ssl=trusting),
            ) as session:
                async with session.get(served.address) as page:
                    assert page.status == 200
                    assert page.url.port == at
                    # Else a browser does not open the socket.
                    assert f"wss://127.0.0.1:{at}" in page.headers["Content-Security-Policy"]
                    (cookie,) = page.history[0].cookies.values()
                    assert cookie["secure"]
                url = f"wss://127.0.0.1:{at}/ws"
                async with session.ws_connect(url, origin=f"https://127.0.0.1:{at}") as desk:
                    await desk.receive(timeout=AT_MOST)
                with pytest.raises(aiohttp.WSServerHandshakeError):
                    await session.ws_connect(url, origin="https://other.example")


@contextmanager
def proxy(folder: Path, server: str) -> Iterator[None]:
    """A proxy with these words as its server, until the block ends."""
    setting = folder / "nginx.conf"
    files = "".join(
        f"{what}_temp_path {folder}/{what}; "
        for what in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    setting.write_text(
        f"pid {folder}/pid; error_log {folder}/error.log; events {{}}\n"
        f"http {{ access_log off; {files}\n{server}}}\n"
    )
    command = ["nginx", "-p", str(folder), "-c", str(setting)]
    # It goes into the background once it listens.
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield
    finally:
        subprocess.run([*command, "-s", "stop"], check=True, stderr=subprocess.DEVNULL)


def test_files_that_cannot_be_used(run: Run, tmp_path: Path) -> None:
    """Each is told in words, before anything is served; no password is asked for."""
    cert, key = certificate(tmp_path)
    _, other = certificate(tmp_path, "other")
    locked, locked_key = certificate(tmp_path, "locked", BestAvailableEncryption(b"secret"))
    plain = tmp_path / "plain.pem"
    plain.write_text("not a certificate")
    for words, said in (
        (("--cert", str(tmp_path / "none.pem")), "There is no file"),
        (("--cert", str(cert), "--key", str(tmp_path)), "is a folder"),
        (("--cert", str(cert)), "its own key"),
        (("--cert", str(cert), "--key", str(other)), "its own key"),
        (("--cert", str(plain), "--key", str(key)), "its own key"),
        (("--cert", str(locked), "--key", str(locked_key)), "locked with a password"),
        (("--key", str(key)), "--key goes with --cert"),
    ):
        made = run("serve", *words)
        assert (made.code, made.out) == (2, ""), words
        assert said in made.err, words
