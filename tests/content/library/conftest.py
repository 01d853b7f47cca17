"""A library with nothing in it yet, and small trees that come with the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.library import Library, begin_draft
from tests.content.library.libraries import SHIPPED, write


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    """The library in use, empty."""
    shipped = write(tmp_path / "shipped", SHIPPED)
    for module in ("consult.paths", "consult.content.library.library"):
        monkeypatch.setattr(f"{module}.shipped_trees", lambda: shipped)
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path / "library"))
    return Library(tmp_path / "library")


@pytest.fixture
def drafted(library: Library) -> Library:
    """The same with a draft."""
    begin_draft(library)
    return library
