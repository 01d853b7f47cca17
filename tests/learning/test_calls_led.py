"""Simulated calls from end to end: the odds they state beside whether the chairs fit."""

from __future__ import annotations

from dataclasses import replace

from consult.body.population import corrected
from consult.call.closing_lines import stated_odds
from consult.call.state import with_chair
from consult.content.callers.simulation import CallerSource, came_to, led_state
from tests.call.calls import TODAY, seating
from tests.long import in_a_long_run

CALLERS = 200


@in_a_long_run
def test_odds_are_right_within_three_points_with_the_corrected_population() -> None:
    """Callers whose lower legs are 15 mm shorter than in the survey, and calls that know it."""
    basis = seating()
    true = corrected(basis.population, {"popliteal_height": -15.0}, {})
    basis = replace(basis, population=true)
    source = CallerSource(basis.shares, true, 7, TODAY)
    stated, fit = [], []
    for number in range(1, CALLERS + 1):
        now = with_chair(basis, led_state(basis, source, number))
        odds = stated_odds(basis, now)
        for result in came_to(basis, source, number, now):
            if odds is not None and now.agreed == "recommended":
                stated.append(odds.fits)
                fit.append(result.fits)
    assert len(stated) > CALLERS / 3
    assert abs(sum(stated) / len(stated) - sum(fit) / len(fit)) < 0.03
