"""Past calls with a known truth, at the level that learning reads."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from consult.call.closing_lines import Because, ChairOutcome, PastCall, StatedOdds


def reference(number: int) -> str:
    """Of the call with this number."""
    signs = "23456789CDFGHJKMNPQRTVWXY"
    text = ""
    for _ in range(6):
        number, place = divmod(number, len(signs))
        text += signs[place]
    return f"{text[:3]}-{text[3:]}"


def history(
    count: int,
    seed: int,
    *,
    true: Callable[[StatedOdds], float] = lambda odds: odds.fits,
    followed: float = 1.0,
) -> list[PastCall]:
    """Calls with stated odds of which ``true`` gives the true chance; a share is followed up."""
    chance = Random(seed)
    past = []
    for number in range(count):
        parts = (chance.choice(("SEAT-M", "SEAT-L")), chance.choice(("LIFT-STD", "LIFT-LOW")))
        fits = round(1 - 0.3 * chance.random() ** 2, 3)
        odds = StatedOdds(fits, chance.randrange(15, 30), parts, chance.randrange(300, 900))
        outcome = None
        if chance.random() < followed:
            if chance.random() < true(odds):
                outcome = ChairOutcome(reference(number), chance.choice(("kept", "adjusted")))
            else:
                because: Because = "fit" if chance.random() < 0.5 else "fault"
                outcome = ChairOutcome(reference(number), "exchanged", ("seat",), because)
        past.append(PastCall(odds, outcome, chance.choice(("Ann", "Bo"))))
    return past
