"""Long runs: ``CONSULT_LONG=1 pytest`` tries more of what random keys and screen sizes may break.

Without it a run keeps to what a person waits for: fewer keys, sizes, callers and demo calls, and a
few tests skipped, saying so. Run the long form before a release and after work on a screen.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from inspect import signature
from typing import Any

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


def every_case(cases: Iterable[Any]) -> Callable[[Callable[..., None]], Callable[[], None]]:
    """Try a test with every case of a table, as one test; a failure says with which.

    Where a case is quick, pytest takes longer to keep account of a test than to run it. A case is
    the one argument of the test, or a tuple of all of them.
    """

    def of(test: Callable[..., None]) -> Callable[[], None]:
        alone = len(signature(test).parameters) == 1

        def with_every_case() -> None:
            tried = 0
            for tried, case in enumerate(cases, 1):
                try:
                    test(*((case,) if alone else case))
                except Exception as error:
                    error.add_note(f"Case {tried}: {case!r:.2000}")
                    raise
            assert tried, "there are no cases"

        with_every_case.__name__, with_every_case.__doc__ = test.__name__, test.__doc__
        with_every_case.__module__, with_every_case.__qualname__ = (
            test.__module__,
            test.__qualname__,
        )
        return with_every_case

    return of
