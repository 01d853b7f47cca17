"""What an answer changed in the chair, in words."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from consult.call.chair_lines import changed_chair
from consult.call.state import State, state
from tests.call.calls import of_facts, seating


@cache
def chosen(**answers: str) -> State:
    return state(seating(), of_facts(**answers))


def with_parts(now: State, *, without: tuple[str, ...] = (), price: float = 0.0) -> State:
    """The same state with kinds of part left out, and another price."""
    assert now.chosen is not None
    picked = now.chosen.picked
    parts = {kind: part for kind, part in picked.parts.items() if kind not in without}
    made = replace(picked, parts=parts, price=picked.price + price)
    return replace(now, chosen=replace(now.chosen, picked=made))


def test_parts_that_come_and_go() -> None:
    """A kind of part that was not there is added; one that goes is told; the sum has its sign."""
    now = chosen(sex="women", stature="157")
    assert now.picked is not None
    arms, castors = (now.picked.parts[kind].name for kind in ("arms", "castors"))
    named = [f"{name[0].lower()}{name[1:]}" for name in (arms, castors)]
    bare = with_parts(now, without=("arms", "castors"), price=-58)
    assert changed_chair(bare, now) == f"{named[0]} and {named[1]} added, GBP 58.00 more"
    assert changed_chair(now, bare) == f"no {named[0]} or {named[1]} any more, GBP 58.00 less"
    odd = with_parts(now, without=("arms",), price=-0.5)
    assert changed_chair(odd, now).endswith("added, GBP 0.50 more")


def test_parts_that_are_exchanged() -> None:
    """Another part of the same kind is told with the one before, without the words they share."""
    small, tall = chosen(sex="women", stature="150"), chosen(sex="men", stature="200")
    assert small.picked is not None
    assert tall.picked is not None
    was, now = (one.picked.parts["seat"].name.lower() for one in (small, tall) if one.picked)
    assert was != now
    assert now.endswith(" seat")
    assert f"{now} instead of {was.removesuffix(' seat')}," in changed_chair(small, tall)


def test_only_the_chances_moved() -> None:
    """The same chair with other chances says so; with the same it says nothing."""
    now = chosen(sex="women", stature="157")
    assert changed_chair(now, now) == ""
    assert now.chosen is not None
    best = now.chosen.choice.best
    assert best is not None
    less = replace(now.chosen.choice, best=replace(best, p_fits=0.25))
    before = replace(now, chosen=replace(now.chosen, choice=less))
    said = changed_chair(before, now)
    assert said.startswith("same chair, now fits ")
    assert said.endswith("(before: 25 of 100)")


def test_without_two_chairs_nothing_is_said() -> None:
    """Before the first chair, and after a stop, there is nothing to compare."""
    now = chosen(sex="women", stature="157")
    none = replace(now, chosen=None)
    assert changed_chair(none, now) == changed_chair(now, none) == ""
    empty = with_parts(now, without=tuple(now.picked.parts) if now.picked else ())
    assert changed_chair(now, empty) == changed_chair(empty, now) == ""
