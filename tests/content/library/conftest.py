"""A library with nothing in it yet, and small trees that come with the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.library.library import Library, begin_draft
from tests.content.library.libraries import library_in_use


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    """The library in use, empty."""
    return library_in_use(tmp_path, monkeypatch)


@pytest.fixture
def drafted(library: Library) -> Library:
    """The same with a draft."""
    begin_draft(library)
    return library
