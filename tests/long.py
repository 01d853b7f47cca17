"""Long runs: ``CONSULT_LONG=1 pytest`` tries more of what random keys and screen sizes may break.

Without it a run keeps to what a person waits for: fewer keys, sizes, callers and demo calls, and a
few tests skipped, saying so. Run the long form before a release and after work on a screen.
"""

from __future__ import annotations

import os

import pytest

LONG = os.environ.get("CONSULT_LONG") == "1"

AT_MOST = 300.0
"""Seconds that a test waits for what has to come: longer than it takes on the busiest machine."""


PARTS = [1 if LONG else 3]
"""The part of all examples that properties are tried with: last, one in so many."""


def examples(many: int) -> int:
    """How many examples a property is tried with: all in a long run, a third in an everyday one."""
    return max(many // PARTS[-1], 5)


in_a_long_run = pytest.mark.skipif(not LONG, reason="tried in a long run: CONSULT_LONG=1")
