"""Measure how long each question was on the screen, without time on hold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Stopwatch:
    """A stopwatch that pauses on hold."""

    since: datetime | None
    """When it last began to run; None on hold."""
    before: float = 0.0
    """Seconds it ran before that."""

    def seconds(self, now: datetime) -> float:
        """Seconds it ran; a clock that was set back counts as no time."""
        running = now.timestamp() - self.since.timestamp() if self.since else 0.0
        return self.before + max(0.0, running)

    def hold(self, now: datetime) -> Stopwatch:
        """Pause."""
        return Stopwatch(None, self.seconds(now))

    def go_on(self, now: datetime) -> Stopwatch:
        """Run again; does nothing if it is running."""
        return self if self.since else replace(self, since=now)


def call_seconds(took: list[float | None]) -> float:
    """How long the answers of a call took together."""
    return sum(one for one in took if one is not None)


def minutes(seconds: float) -> str:
    """As people say it: "under a minute", "1 minute", "12 minutes"."""
    whole = round(seconds / 60)
    if whole == 0:
        return "under a minute"
    return "1 minute" if whole == 1 else f"{whole} minutes"
