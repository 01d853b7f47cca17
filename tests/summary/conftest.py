"""The browser that pages are tried in."""

from __future__ import annotations

from tests.commands.chromium import browser

__all__ = ["browser"]
