"""No document of a call sends its reader two opposed ways."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from consult.moves import Opposed, opposed
from consult.summary.known import remedies
from consult.summary.lines import AdviceLine, AgreedLine
from consult.summary.model import Summary, move_pieces, summarise
from consult.summary.readers import READERS
from tests.call.calls import DEMOS, basis_of, replayed, transcript_of
from tests.summary.calls import GOOD, REFUSED, UNKNOWN, basis, state_of, summary_of


def opposed_pieces(summary: Summary) -> list[Opposed]:
    """Every two pieces that send the reader opposed ways; none in a sound call."""
    return list(opposed(move_pieces(summary)))


def lowers_seat(summary: Summary, today: float | None = None) -> list[str]:
    """The pieces that lower the seat, or set it lower than ``today`` (mm, sat on), by name.

    A figure's acceptable range counts by its low end, as a reader may go there.
    """
    found = [piece.name for piece in move_pieces(summary) if "lower" in piece.ways("seat")]
    if today is None:
        return found
    seat, chair = summary.fit.get("seat_height"), summary.specification
    heights = {
        "figure 'seat_height'": seat.target if seat else None,
        "acceptable range of 'seat_height'": seat.low if seat else None,
        "setting 'seat_height'": chair.settings.get("seat_height") if chair else None,
    }
    steps = {
        f"step '{step.topic}'": step.value_mm
        for step in summary.setup_steps
        if step.topic == "seat_height"
    }
    lower = (name for name, mm in {**heights, **steps}.items() if mm is not None and mm < today)
    return [*found, *lower]


@pytest.mark.parametrize("file", DEMOS, ids=lambda file: file.stem)
def test_demo_calls(file: Any) -> None:
    """Whoever reads it: the caller, the employer, the order team or the file."""
    found, now = basis_of(transcript_of(file).tree), replayed(file)
    for reader in READERS:
        assert [str(pair) for pair in opposed_pieces(summarise(found, now, reader=reader))] == []


def advised(answers: dict[str, str], **moves: str) -> list[str]:
    """The opposed pairs once somebody adds advice that moves things so."""
    summary = summary_of(answers)
    more = AdviceLine("added", "added", "", "", (), moves)
    return [str(one) for one in opposed_pieces(replace(summary, advice=(*summary.advice, more)))]


@pytest.mark.parametrize(
    ("moves", "met"),
    [
        # What was once said side by side.
        ({"seat": "lower"}, "step 'seat_height': seat lower and raise"),
        ({"armrests": "remove"}, "step 'armrests': armrests remove and set"),
        ({"armrests": "remove"}, "part 'armrests': armrests remove and ordered"),
        ({"footrest": "buy"}, "part 'footrest': footrest buy and ordered"),
        ({"footrest": "lower"}, "card 'Feet not flat': footrest lower and raise"),
        ({"desk": "raise"}, "step 'desk': desk raise and leave"),
        ({"seat": "lower"}, "note 'desk_too_high': seat lower and raise"),
    ],
)
def test_every_part_of_a_document_is_looked_at(moves: dict[str, str], met: str) -> None:
    """At a desk that is too high; ``GOOD`` itself has no opposed pair."""
    assert advised(GOOD) == []
    assert f"advice 'added' with {met}" in advised(GOOD, **moves)


def test_needs_and_missing_arms_are_looked_at() -> None:
    """A chair without armrests, or one that must have them, against advice on armrests."""
    now = state_of(GOOD)
    assert now.picked is not None
    settings = {k: v for k, v in now.picked.settings.items() if k != "armrest_height"}
    summary = summarise(basis(), now)
    assert summary.specification is not None
    bare = replace(summary, specification=replace(summary.specification, settings=settings))
    assert "armrests" in {one.thing for one in opposed_pieces(bare)}


def test_nothing_is_ordered_where_no_chair_was_agreed() -> None:
    """A caller who wants no chair may be told to buy a footrest elsewhere."""
    summary = summary_of(GOOD)
    assert any(one.name == "part 'footrest'" for one in move_pieces(summary))
    assert summary.specification is not None
    chair = replace(summary.specification, agreed=AgreedLine("none", (), "", ()))
    names = [one.name for one in move_pieces(replace(summary, specification=chair))]
    assert "part 'footrest'" not in names


CALLS: dict[str, dict[str, str]] = {
    "high desk": GOOD,
    "refused": REFUSED,
    "unknown": UNKNOWN,
    "no desk": {**GOOD, "desk_kind": "none"},
    "moves": {**GOOD, "desk_kind": "adjustable"},
    "low desk": {**GOOD, "height": "198", "lower_leg": "50", "desk_height": "65"},
    **{f"drawer {cm}": {**GOOD, "desk_thickness": str(cm)} for cm in (6, 10, 15)},
}


@pytest.mark.parametrize("name", CALLS)
def test_the_card_goes_the_way_of_the_steps(name: str) -> None:
    """With a footrest nobody is told to lower the seat for their feet; none lowers it at all."""
    summary = summary_of(CALLS[name])
    assert opposed_pieces(summary) == []
    remedies = {one.feels: one for one in summary.remedies}
    rest = any(step.topic == "footrest" for step in summary.setup_steps)
    assert remedies["Feet not flat"].moves == ({"footrest": "raise"} if rest else {"seat": "set"})
    for one in remedies.values():
        assert "lower" not in {*one.moves.values(), *one.may_move.values()}
        assert "lower" not in one.do
    steps = {step.topic: step for step in summary.setup_steps}
    assert steps["seat_height"].moves == {"seat": "raise" if rest else "set"}
    assert remedies["Your back does not touch"].may_move == steps["lumbar"].moves


def test_after_an_operation_no_footrest_lifts_the_knees_above_the_hips() -> None:
    """Pressure behind the knee is then no reason to raise it; hanging feet are, up to the hips."""
    steps = summary_of(GOOD).setup_steps
    assert "footrest" in {step.topic for step in steps if step.moves}
    behind, feet, *_ = remedies(steps, kept_up=True)
    assert "footrest" not in behind.do
    assert behind.may_move == {}
    assert "never so that your knees are higher than your hips" in feet.do


def test_a_drawer_is_one_story() -> None:
    """Note and step both take out the drawer, and neither touches the height of the desk."""
    summary = summary_of({**GOOD, "desk_thickness": "20 cm"})
    (step,) = (step for step in summary.setup_steps if step.topic == "desk")
    notes = {note.name: note.moves for note in summary.notes}
    assert notes["thigh_room_short"] == step.moves == {"under_desk": "remove"}
    assert "desk" not in notes["desk_too_high"]


def test_who_lowers_the_seat() -> None:
    """Words that lower it, and figures below where it stands today."""
    summary = summary_of({**GOOD, "desk_kind": "none"})
    seat = summary.fit["seat_height"]
    assert lowers_seat(summary) == []
    assert lowers_seat(summary, seat.low) == []
    assert lowers_seat(summary, seat.low + 1) == ["acceptable range of 'seat_height'"]
    assert set(lowers_seat(summary, seat.target + 100)) == {
        "figure 'seat_height'",
        "acceptable range of 'seat_height'",
        "setting 'seat_height'",
        "step 'seat_height'",
    }
    lower, nothing = {"seat": "lower"}, dict[str, str]()
    for moves, may_move in ((lower, nothing), (nothing, lower)):
        down = AdviceLine("down", "seat", "", "", (), moves, may_move)
        assert lowers_seat(replace(summary, advice=(down,))) == ["advice 'down'"]
