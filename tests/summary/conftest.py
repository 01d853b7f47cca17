"""The browser that pages are tried in, and the rules they are held against."""

from __future__ import annotations

from tests.commands.chromium import browser
from tests.summary.test_html_checked import axe

__all__ = ["axe", "browser"]
