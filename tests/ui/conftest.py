"""Screens under test take a caution's letter at once: a pilot presses faster than people do."""

from __future__ import annotations

import pytest

from consult.ui.page import Page


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """No waiting for a letter that may follow; the tests of that wait set it themselves."""
    monkeypatch.setattr(Page, "PAUSE", 0.0)
