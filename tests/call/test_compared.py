"""What another population would have recommended."""

from __future__ import annotations

from dataclasses import replace

import pytest

from consult.body.population_file import available, load_named
from consult.call.basis import Basis
from consult.call.chosen import NOTICED, Chosen, Moved, moved
from consult.call.fit_json import moved_lines
from consult.call.state import State, request_of
from tests.call.calls import seating, told

SOMEBODY = {"who_sits": "1", "sex": "female", "consent": "no", "stature": "160 cm"}
MEASURES = SOMEBODY | {
    "weight": "62 kg",
    "lower_leg": "40 cm",
    "thigh_length": "47 cm",
    "desk_kind": "fixed",
    "desk_height": "74 cm",
}


def moves_of(basis: Basis, now: State) -> tuple[Moved, ...]:
    """What the others would have moved, chair included."""
    assert now.fit is not None
    assert basis.range is not None
    return moved(
        basis.population,
        now.estimate,
        now.workplace,
        now.fit,
        reach=basis.range.reach(),
        request=request_of(basis.range, now),
        now=now.chosen,
    )


def without_chair(now: State) -> Chosen:
    """The choice of a call, its chair taken away."""
    assert now.chosen is not None
    return replace(now.chosen, picked=replace(now.chosen.picked, parts={}))


def codes(now: State) -> tuple[str, ...]:
    assert now.picked is not None
    return tuple(part.code for part in now.picked.parts.values())


@pytest.mark.parametrize("answers", [SOMEBODY, MEASURES], ids=["stature", "more"])
@pytest.mark.parametrize("mine", available())
def test_a_move_is_the_difference_of_two_calls(mine: str, answers: dict[str, str]) -> None:
    """The same call read against the other population gives just what was told of it."""
    basis = replace(seating(), population=load_named(mine))
    now = told(basis, **answers)
    moves = {one.population: one for one in moves_of(basis, now)}
    assert mine not in moves
    for other in available():
        if other == mine:
            continue
        then = told(replace(basis, population=load_named(other)), **answers)
        assert now.fit is not None
        assert then.fit is not None
        by = {
            name: then.fit.requirements[name].target - one.target
            for name, one in now.fit.requirements.items()
            if name in then.fit.requirements
        }
        expected = {name: mm for name, mm in by.items() if abs(mm) >= NOTICED}
        found = moves.get(other)
        assert dict(found.by if found else {}) == pytest.approx(expected, abs=0.5)
        assert (found.parts if found else ()) == (codes(then) if codes(then) != codes(now) else ())


def test_same_inputs_same_moves() -> None:
    """Nothing but the call decides."""
    now = told(seating(), **MEASURES)
    assert moves_of(seating(), now) == moves_of(seating(), now)


def test_a_mass_set_aside_bars_chairs_of_every_population() -> None:
    """No other population offers a chair rated below what was said."""
    now = told(seating(), **SOMEBODY | {"weight": "165 kg"})
    assert now.doubts
    range_ = seating().range
    assert range_ is not None
    ratings = {part.code: part.rating for kind in range_.parts.values() for part in kind}
    # Without the tree's need of heavy-duty parts, and against no chair, so that all are told.
    none = replace(now, needs=(), chosen=without_chair(now))
    moves = moves_of(seating(), none)
    assert moves
    assert all(one.parts for one in moves)
    for one in moves:
        assert all((ratings[code] or 999) >= 165 for code in one.parts)


def test_without_a_chair_only_the_figures_move() -> None:
    """Where no range is given there are differences in mm, and no parts."""
    now = told(seating(), **SOMEBODY)
    assert now.fit is not None
    range_ = seating().range
    assert range_ is not None
    found = moved(seating().population, now.estimate, now.workplace, now.fit, reach=range_.reach())
    assert found
    assert all(one.by and not one.parts for one in found)


def test_moves_in_words() -> None:
    """A sentence for each, the lengths in the reader's units, and which way it lies."""
    moves = (Moved("them", "Them", {"seat_height": 12.7, "seat_depth": -25.4}, ("A", "B")),)
    assert [*moved_lines(moves, "imperial")] == [
        "Estimated from Them instead: seat height ½ in more, seat depth 1 in less, "
        "another chair (A, B)."
    ]
