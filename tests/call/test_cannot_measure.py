"""A caller without a tape is not asked for one measure after the other."""

from __future__ import annotations

from consult.call.session import Session
from consult.call.worth import taped
from tests.ui.desk import NOON, before, demo_basis


def asked_after(*, known: str = "", thorough: bool = False) -> tuple[list[str], str]:
    """The measures asked where none is known, or one is; and what the adviser is told."""
    call = before("stature").led_in_full(thorough, NOON)
    session = Session(demo_basis(), call, NOON)
    session.offer("5 ft 9", NOON)
    asked, told = [], ""
    while (question := session.asking) is not None and question.sets != "agreed":
        said = "?"
        if taped(question):
            asked.append(question.name)
            said = known if len(asked) == 1 and known else "?"
        elif question.sets == "desk_kind":
            said = "fixed"
        told += session.offer(said, NOON).tell
    return asked, told


def test_two_in_vain_are_enough() -> None:
    """Nothing more is measured, and the adviser is told why."""
    asked, told = asked_after()
    assert len(asked) == 2
    assert told.count("no others are asked") == 1


def test_one_that_is_known() -> None:
    """There is a tape then, and more is asked."""
    asked, told = asked_after(known="72 cm")
    assert len(asked) > 2
    assert not told


def test_asked_in_full() -> None:
    """A thorough call asks them all."""
    asked, told = asked_after(thorough=True)
    assert len(asked) > 4
    assert "no others are asked" not in told


def test_a_measure_told_later_counts() -> None:
    """There is a tape after all, so others may be asked again."""
    session = Session(demo_basis(), before("stature"), NOON)
    session.offer("5 ft 9", NOON)
    for name in ("hip_breadth", "thigh_length"):
        session.offer(f"/{name} ?", NOON)
    assert session.now.told(demo_basis()).cannot_measure
    session.offer("/lower leg 43 cm", NOON)
    assert not session.now.told(demo_basis()).cannot_measure
