"""No test reads or writes what belongs to the user who runs it."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _own_folders(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Records, recovery files and the cache go into a folder of the test."""
    folder: Path = tmp_path_factory.mktemp("user")
    for name in ("DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(folder / name.lower()))
    for name in (
        "CONSULT_TREES",
        "CONSULT_RECORDS",
        "CONSULT_RECOVERY",
        "CONSULT_KEY",
        "CONSULT_KEY_FILE",
        "CONSULT_PRACTICE",
    ):
        monkeypatch.delenv(name, raising=False)
