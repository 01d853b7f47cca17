"""The content desk under test: a form has many widgets, so what changed is gathered for longer."""

from __future__ import annotations

import pytest
from textual import screen

GATHERED = 0.004
"""Seconds from a change to the drawing of it."""


@pytest.fixture(autouse=True)
def gathered(at_once: None, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: ARG001
    """Each layout of the desk takes 4 ms of the processor, and a second one shows nothing new."""
    monkeypatch.setattr(screen, "UPDATE_PERIOD", GATHERED)
