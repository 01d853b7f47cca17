"""How long calls are stored, in days: the defaults, and what an installation sets instead."""

from __future__ import annotations

import os
from dataclasses import dataclass

CALLS, HEALTH = "CONSULT_RETENTION_DAYS", "CONSULT_HEALTH_DAYS"


@dataclass(frozen=True, slots=True)
class Retention:
    """Days after the last change of a call until it is deleted."""

    days: int = 365
    health_days: int = 90
    """The same for its answers about health."""


def retention_set() -> Retention:
    """What the environment sets; the default of whatever it does not set as a whole number."""
    usual = Retention()

    def days(variable: str, default: int) -> int:
        written = os.environ.get(variable, "").strip()
        return int(written) if written.isascii() and written.isdigit() else default

    return Retention(days(CALLS, usual.days), days(HEALTH, usual.health_days))
