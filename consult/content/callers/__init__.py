"""Simulated callers: bodies drawn from the survey population, and their answers."""

from consult.content.callers.check import callers_problems
from consult.content.callers.lead import Simulated, Source, drawn, led, led_state, simulated
from consult.tree.shares import FILE, NO_SHARES, Entry, Shares, load_shares

__all__ = [
    "FILE",
    "NO_SHARES",
    "Entry",
    "Shares",
    "Simulated",
    "Source",
    "callers_problems",
    "drawn",
    "led",
    "led_state",
    "load_shares",
    "simulated",
]
