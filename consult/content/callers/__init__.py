"""Simulated callers: bodies drawn from the survey population, and their answers."""

from consult.content.callers.check import callers_problems
from consult.content.callers.lead import (
    CallerSource,
    Simulated,
    drawn,
    leans_on_pools,
    led,
    led_state,
    simulated,
)
from consult.tree.shares import FILE, NO_SHARES, QuestionShares, Shares, load_shares

__all__ = [
    "FILE",
    "NO_SHARES",
    "CallerSource",
    "QuestionShares",
    "Shares",
    "Simulated",
    "callers_problems",
    "drawn",
    "leans_on_pools",
    "led",
    "led_state",
    "load_shares",
    "simulated",
]
