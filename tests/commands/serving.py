"""``consult serve`` as a process of its own, under test."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Served:
    """A call desk that is being served."""

    port: int
    calls: Path
    """The folder its calls are kept in."""

    @property
    def origin(self) -> str:
        """As a browser sends it."""
        return f"http://127.0.0.1:{self.port}"

    def kept(self) -> str:
        """Every call kept so far, one after the other."""
        return "".join(file.read_text("utf-8") for file in sorted(self.calls.glob("*.yaml")))

    def process(self) -> int:
        """The process of the one call kept: its number ends the name of the file."""
        (file,) = self.calls.glob("*.yaml")
        return int(file.stem.rpartition("-")[2])


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def serving(calls: Path, *more: str) -> Iterator[Served]:
    """Serve until the block ends; then the server has to stop in good order."""
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "consult", "serve", "--port", str(port), *more],
        env={**os.environ, "CONSULT_CALLS": str(calls)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    try:
        said = process.stdout.readline()
        assert said.startswith("The call desk is at http"), said + process.stdout.read()
        yield Served(port, calls)
    finally:
        process.send_signal(signal.SIGINT)
        rest, _ = process.communicate(timeout=30)
    assert "Traceback" not in rest, rest
    assert process.returncode == 0
