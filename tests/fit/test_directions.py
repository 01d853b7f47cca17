"""The notes of one workplace never send anybody two opposed ways."""

from __future__ import annotations

from itertools import product

import pytest

from consult.fit.assess import assess
from consult.fit.result import FitNote
from consult.fit.workplace import Desk, Reach, Workplace
from consult.moves import Piece, opposed
from tests.fit.bodies import body
from tests.fit.test_desk import LEGS, at

DRAWERS = range(60, 151, 15)
"""mm from the top of the desk to the underside of the drawer."""
REACHES = (None, Reach((380, 520), (40, 190)), Reach((LEGS + 30, LEGS + 90), (60, 190)))


def notes_of(workplace: Workplace, reach: Reach | None = None) -> dict[str, FitNote]:
    return {note.name: note for note in assess(body(), workplace, reach).notes}


@pytest.mark.parametrize("reach", REACHES)
def test_no_two_notes_are_opposed(reach: Reach | None) -> None:
    """Any desk height with any drawer, fixed or not."""
    met: set[str] = set()
    for drawer, height in product((None, 20, *DRAWERS), range(560, 861, 10)):
        for desk in (Desk("fixed", height, drawer), Desk("adjustable", None, drawer, height, 800)):
            notes = notes_of(at(desk), reach)
            met |= notes.keys()
            pairs = opposed(Piece(n.name, n.moves, n.may_move) for n in notes.values())
            assert [str(pair) for pair in pairs] == [], (desk, reach)
    assert met >= {"desk_too_high", "desk_too_low", "desk_out_of_reach", "thigh_room_short"}


@pytest.mark.parametrize("drawer", [100, 150])
def test_high_desk_with_a_drawer_has_one_answer(drawer: float) -> None:
    """The drawer comes out; nobody is told to raise a desk that is too high already.

    LEGS + 235 is the highest desk top that suits the elbows (see ``test_desk``), and the thighs
    of 150 mm want 20 mm of air below the drawer (``consult.fit.clearance``).
    """
    height = LEGS + 150 + 20 + drawer - 10
    assert height > LEGS + 235
    notes = notes_of(at(Desk("fixed", height, drawer)))
    assert notes.keys() == {"desk_too_high", "thigh_room_short"}
    high, thighs = notes["desk_too_high"], notes["thigh_room_short"]
    assert (high.moves, thighs.moves, thighs.may_move) == ({}, {"under_desk": "remove"}, {})
    assert "1 cm more room" in thighs.say.text("metric")
    assert "raise" not in thighs.say.template
    assert "drawer" in thighs.say.template
    assert "cannot be raised" in high.say.template


def test_low_desk_with_a_drawer_may_be_raised() -> None:
    """Where the elbows allow it, a desk without anything to take out goes up for the thighs."""
    note = notes_of(at(Desk("fixed", 610, 40)))["thigh_room_short"]
    assert note.may_move == {"desk": "raise"}
    assert note.moves == {"under_desk": "remove"}


def test_a_note_moves_what_its_words_move() -> None:
    """A raised seat, and a lower desk where only that helps."""
    raised = notes_of(at(Desk("fixed", 720)))["desk_too_high"]
    assert raised.moves == {"seat": "raise", "footrest": "add"}
    stuck = notes_of(at(Desk("fixed", 860)), Reach((LEGS - 20, LEGS)))
    assert stuck["desk_too_high"].moves == stuck["seat_out_of_reach"].moves == {"desk": "lower"}
    assert "cannot be raised" in stuck["desk_too_high"].say.template


def test_a_high_desk_that_is_met_is_no_misfit() -> None:
    """Where seat and footrest meet it the note says that it suits, so nothing speaks against the
    odds beside it; where elbows or thighs are left short it does not."""
    met = ", it should suit you."
    assert notes_of(at(Desk("fixed", 720)))["desk_too_high"].say.template.endswith(met)
    over = notes_of(at(Desk("fixed", 720)), Reach((LEGS - 20, LEGS + 20), (20.0, 40.0)))
    assert "still <left> above" in over["desk_too_high"].say.template
    deep = notes_of(at(Desk("fixed", 720, 120)))["desk_too_high"]
    for note in (over["desk_too_high"], deep):
        assert met not in note.say.template
