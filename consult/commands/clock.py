"""What time it is: the one place where the program reads the machine's clock.

Everything else is given a moment, or a clock to ask, so that a test can say when it is.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime

read_clock: Callable[[], datetime] = datetime.now
"""The machine's clock; a test puts its own here."""


def now() -> datetime:
    """The moment here, without a time zone; the second of two equal hours has its ``fold``."""
    return read_clock()


def now_utc() -> datetime:
    """The moment, the same everywhere."""
    return now().astimezone(UTC)


def today() -> date:
    """The day here."""
    return now().date()
