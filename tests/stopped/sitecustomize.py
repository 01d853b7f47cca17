"""Stops the clock of the program at noon of one day, in this process.

Python loads a module of this name by itself where its folder is on the path: so it is in every
process that a test starts. ``tests/conftest.py`` puts it there.
"""

from __future__ import annotations

from datetime import datetime

from consult.commands import clock

NOON = datetime(2026, 11, 25, 12, 0)
clock.read_clock = lambda: NOON
