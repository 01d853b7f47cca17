"""The impact of proposals on simulated callers."""

from __future__ import annotations

from statistics import mean
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.state import with_chair
from consult.call.worth import seconds_of
from consult.commands import clock
from consult.content.callers import Source, led_state

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from consult.call.basis import Basis
    from consult.tree.learned import Learned

CALLERS = 60
_SEED = 1


def effect_lines(path: Path, basis: Basis, after: Learned) -> list[str]:
    """Compare the same simulated callers with the current values and with the proposals.

    Both are timed with the proposed seconds, so that only the questions asked differ.
    """
    with_them, _ = load_basis(path, basis.population, learned=after)
    assert with_them is not None
    # Who rings is the same in both.
    source = Source(basis.shares, basis.population, _SEED, clock.today())
    told = [
        f"{CALLERS} simulated callers, timed by the proposals:",
        _line("with the values in use", basis, source, with_them),
        _line("with the proposals", with_them, source, with_them),
    ]
    return told


def _line(what: str, basis: Basis, source: Source, timed_by: Basis) -> str:
    questions: list[int] = []
    seconds: list[float] = []
    fits: list[float] = []
    for number in range(1, CALLERS + 1):
        now = with_chair(basis, led_state(basis, source, number))
        if now.chosen is None or now.chosen.ordered is None:
            continue
        questions.append(len(now.steps))
        seconds.append(_seconds([one.question.name for one in now.steps], timed_by))
        fits.append(now.chosen.ordered.p_fits)
    if not questions:
        return f"  {what:<22} no chair in any of these calls"
    return (
        f"  {what:<22} {mean(questions):.1f} questions, {mean(seconds) / 60:.1f} minutes, "
        f"{100 * mean(fits):.1f} of 100 chairs fit"
    )


def _seconds(asked: Sequence[str], timed_by: Basis) -> float:
    return sum(seconds_of(timed_by.tree.questions[name]) for name in asked)
