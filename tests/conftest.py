"""No test reads or writes what belongs to the user who runs it, nor asks what day it is.

``--clock machine`` lets the program read the machine's clock: for tests that are marked
``any_day``, on a machine whose clock was shifted (see ``.ci/run``).

Properties are tried with the same examples at every run, so that a red run is the work of the last
change; ``CONSULT_LONG=1`` draws new ones.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("same every time", derandomize=True)
settings.register_profile("new examples", print_blob=True)
settings.load_profile("new examples" if os.environ.get("CONSULT_LONG") else "same every time")

STOPPED = str(Path(__file__).parent / "stopped")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Which clock the program reads."""
    parser.addoption("--clock", choices=("stopped", "machine"), default="stopped")


def pytest_configure(config: pytest.Config) -> None:
    """Stop the program's clock, here and in every process started from here."""
    if config.getoption("--clock") == "stopped":
        sys.path.append(STOPPED)
        inherited = filter(None, [os.environ.get("PYTHONPATH")])
        os.environ["PYTHONPATH"] = os.pathsep.join([STOPPED, *inherited])
        import_module("tests.stopped.sitecustomize")


@pytest.fixture(autouse=True)
def _own_folders(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Records, recovery files and the cache go into a folder of the test."""
    folder: Path = tmp_path_factory.mktemp("user")
    for name in ("DATA", "STATE", "CACHE", "CONFIG"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(folder / name.lower()))
    for name in (
        "CONSULT_TREES",
        "CONSULT_FOLDER",
        "CONSULT_COUNTRY",
        "CONSULT_UNITS",
        "CONSULT_RECORDS",
        "CONSULT_RECOVERY",
        "CONSULT_KEY",
        "CONSULT_KEY_FILE",
        "CONSULT_PRACTICE",
    ):
        monkeypatch.delenv(name, raising=False)
