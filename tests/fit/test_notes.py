"""What is said where a workplace or a range does not suit, and never two opposed ways."""

from __future__ import annotations

from itertools import product

import pytest

from consult.fit.assess import assess
from consult.fit.requirements import Fit, FitNote
from consult.fit.workplace import Desk, Workplace
from consult.moves import MovePiece, opposed
from consult.range.model import Reach
from tests.fit.bodies import body
from tests.fit.test_seating import LEGS, at


def fitted(height: float | None, reach: Reach, thickness: float | None = None) -> Fit:
    desk = Desk("none") if height is None else Desk("fixed", height, thickness)
    return assess(body(), Workplace(desk, heel=25), reach)


def amounts(fit: Fit) -> dict[str, float]:
    """Note name to the amount it states."""
    return {one.name: one.say.lengths["amount"] for one in fit.notes if "amount" in one.say.lengths}


@pytest.mark.parametrize(
    ("height", "reach", "seat"),
    [
        pytest.param(640, Reach((400, 520), (50, 150)), LEGS, id="within reach"),
        pytest.param(720, Reach((400, 520), (50, 150)), 485, id="raised within reach"),
        pytest.param(720, Reach((400, 470), (40, 150)), 470, id="seat tops out below the band"),
        pytest.param(720, Reach((400, 520), (50, 55)), LEGS + 55, id="footrest tops out"),
        pytest.param(720, Reach((400, 560), (90, 150)), 485, id="footrest starts a little above"),
        pytest.param(720, Reach((400, 520)), 485, id="no footrest in the range: one can be had"),
        pytest.param(660, Reach((400, 520), (80, 150)), 425, id="within what feet reach"),
        pytest.param(None, Reach((435, 520), (20, 150)), 435, id="seat stops, feet still reach"),
        pytest.param(None, Reach((450, 520), (20, 150)), 450, id="seat stops above the legs"),
        pytest.param(None, Reach((440, 520), (50, 150)), 440, id="no higher for the footrest"),
        pytest.param(None, Reach((350, 400)), LEGS, id="seat stops below the legs"),
    ],
)
def test_seat_within_reach(height: float | None, reach: Reach, seat: float) -> None:
    """The seat is the acceptable one nearest the best that seat and footrests can give."""
    fit = fitted(height, reach)
    assert fit.requirements["seat_height"].target == pytest.approx(seat)
    if "footrest_height" in fit.requirements:
        footrest = fit.requirements["footrest_height"].target
        raised, lowest = seat - LEGS, (reach.footrest_height or (0.0, 0.0))[0]
        assert footrest == pytest.approx(max(raised, lowest) if raised > 15 else 0)


def test_all_in_reach() -> None:
    """A range that can do it all is said to, and no note is needed."""
    fit = fitted(720, Reach((400, 520), (50, 150)))
    assert [note.name for note in fit.notes] == ["desk_too_high"]
    assert fit.quantities["seat_out_of_reach"] is False
    assert fit.quantities["footrest_out_of_reach"] is False


def test_seat_does_not_reach_the_desk() -> None:
    """The note says so; by how much is for the chair to say, in one way."""
    fit = fitted(800, Reach((400, 520), (50, 150)))
    assert fit.requirements["seat_height"].target == 520
    assert amounts(fit) == {}
    (note,) = (one for one in fit.notes if one.name == "seat_out_of_reach")
    assert note.say.text("metric").startswith("No seat in the range is high enough for this desk.")
    assert note.moves == {"desk": "lower"}
    assert fit.requirements["seat_height"].sd == 0


def test_footrest_does_not_reach() -> None:
    """The note says how much higher a footrest would have to be."""
    fit = fitted(750, Reach((400, 600), (50, 80)))
    assert fit.requirements["seat_height"].target == pytest.approx(LEGS + 80)
    assert amounts(fit) == {"footrest_out_of_reach": pytest.approx(515 - LEGS - 80)}
    assert fit.quantities["footrest_out_of_reach"] is True
    assert "still" in fit.notes[0].say.text("metric")


def test_footrest_starts_too_high() -> None:
    """A footrest that would fold the knees is too high, and by how much is said."""
    fit = fitted(680, Reach((400, 520), (90, 150)))
    assert fit.requirements["seat_height"].target == pytest.approx(445)
    assert amounts(fit) == {"footrest_out_of_reach": pytest.approx(90 - (445 - LEGS))}


def test_neither_seat_nor_footrest_reaches_the_desk() -> None:
    """Both are named: the seat by what the desk calls for, the footrest by what the seat gives."""
    fit = fitted(800, Reach((400, 520), (50, 80)))
    assert "seat_out_of_reach" in [note.name for note in fit.notes]
    assert amounts(fit) == {"footrest_out_of_reach": pytest.approx(520 - LEGS - 80)}


def test_lowest_seat_above_the_legs() -> None:
    """A shorter gas lift comes first, a footrest second, and its height is said."""
    fit = fitted(None, Reach((450, 520), (20, 150)))
    (note,) = fit.notes
    assert note.name == "seat_out_of_reach"
    assert note.say.lengths["footrest"] == pytest.approx(450 - LEGS)
    said = note.say.text("metric")
    assert said.index("gas lift") < said.index("feet")


def test_lowest_seat_above_the_legs_and_no_footrest_for_it() -> None:
    """Where neither helps both are said."""
    fit = fitted(None, Reach((500, 520), (20, 50)))
    assert fit.requirements["seat_height"].target == 500
    assert "seat_out_of_reach" in [note.name for note in fit.notes]
    assert amounts(fit) == {"footrest_out_of_reach": pytest.approx(500 - LEGS - 50)}


def test_raised_seat_does_not_ask_for_a_short_lift() -> None:
    """A seat raised for the desk stands above the lowest setting, so no shorter lift is asked."""
    fit = fitted(720, Reach((450, 520), (20, 150)))
    assert [note.name for note in fit.notes] == ["desk_too_high"]


def test_highest_seat_below_the_legs() -> None:
    """What the legs need stays the target, and that it is not reached is said."""
    fit = fitted(None, Reach((350, 400)))
    assert fit.requirements["seat_height"].target == pytest.approx(LEGS)
    (note,) = fit.notes
    assert note.say.text("metric") == (
        "No seat in the range is high enough for your legs. Ask for a taller gas lift."
    )


def test_desk_judged_from_the_seat_that_can_be_had() -> None:
    """A seat that cannot go low enough needs a desk that is as much higher."""
    fit = fitted(600, Reach((450, 520), (20, 150)))
    assert fit.quantities["desk_too_low"] is True
    assert fit.quantities["desk_raise"] == pytest.approx(450 + 215 - 600)


def test_thighs_bind_before_the_footrest_does() -> None:
    """A footrest that starts too high never lifts the thighs into the desk."""
    reach = Reach((400, 560), (90, 150))
    fit = fitted(720, reach, thickness=70)
    limit = 720 - 70 - 150 - 20
    assert fit.requirements["seat_height"].target <= max(limit, LEGS)


def test_without_reach_nothing_is_said_of_it() -> None:
    """No range, no verdict on its reach."""
    quantities = assess(body(), Workplace(Desk("fixed", 720))).quantities
    assert not {"seat_out_of_reach", "footrest_out_of_reach"} & set(quantities)


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
            pairs = opposed(MovePiece(n.name, n.moves, n.may_move) for n in notes.values())
            assert [str(pair) for pair in pairs] == [], (desk, reach)
    assert met >= {"desk_too_high", "desk_too_low", "desk_out_of_reach", "thigh_room_short"}


@pytest.mark.parametrize("drawer", [100, 150])
def test_high_desk_with_a_drawer_has_one_answer(drawer: float) -> None:
    """The drawer comes out; nobody is told to raise a desk that is too high already.

    LEGS + 235 is the highest desk top that suits the elbows (see ``test_seating``), and the thighs
    of 150 mm want 20 mm of air below the drawer (``consult.fit.seating``).
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


def test_a_low_desk_that_is_raised_gives_the_thighs_their_room() -> None:
    """At 580 the elbows want it higher by more than the thighs do: nothing need come out."""
    note = notes_of(at(Desk("fixed", 580, 25)))["thigh_room_short"]
    assert note.say.template.endswith("At the right height it gives them that.")
    assert not note.moves
