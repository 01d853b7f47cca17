"""Advice and needs that change a figure: boots raise the seat, a cushion lowers the chair's own."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians
from pathlib import Path

import pytest

from consult.call.basis import Basis
from consult.call.gains import worth_of_pool
from consult.call.state import State, request_of, state
from consult.content.changes.trees import changes
from consult.fit.request import draw
from consult.fit.rules import dimensions_for
from consult.fit.scoring import demands
from consult.fit.workplace import places
from consult.summary import Paper
from consult.summary.render import Writer
from consult.tree.model import Advice
from consult.tree.quantities import FIGURES, Adjusts, parse_adjusts
from tests.call.calls import seating, small, told

_PAPERS: tuple[Paper, ...] = ("caller", "employer")
BOOTS = """\
tree: little
title: Shoes and a cushion
version: 1
first: shoes
questions:
  shoes:
    ask: What is on your feet?
    answer: choice
    choices: {boots: Boots, shoes: Shoes}
    next: heel
  heel:
    ask: How high is the heel?
    coach: Tape.
    answer: length
    unit: cm
    expect: 0 to 8
    sets: heel
    next: soft
  soft: {ask: How thick is it?, coach: Tape., answer: length, unit: cm, next: desk}
  desk:
    ask: How high is the desk?
    coach: Tape.
    answer: length
    unit: cm
    sets: desk_height
    next: leg
  leg:
    ask: How long is the lower leg?
    coach: Tape.
    answer: length
    unit: cm
    measures: popliteal_height
    next: end
advice:
  - name: boots
    topic: shoes
    when: shoes == boots
    adjusts: heel + 3 cm, at most 6 cm
    say: Leave the boots on.
    source: from_memory
  - name: cushion
    topic: cushion
    when: known(soft)
    adjusts: cushion + soft, at most 5 cm
    say: Keep the cushion.
    source: common_practice
"""


def heights(now: State) -> dict[str, float]:
    """What the fit asks for, mm."""
    assert now.fit is not None
    return {name: one.target for name, one in now.fit.requirements.items()}


def in_the_shop(folder: Path) -> Basis:
    """The little tree, with the shipped range to choose chairs from."""
    return replace(small(folder, BOOTS), range=seating().range)


@pytest.mark.parametrize(("heel", "added"), [(None, 30), ("1", 30), ("4 cm", 20), ("8 cm", 0)])
def test_boots_raise_the_seat_up_to_their_limit(
    tmp_path: Path, heel: str | None, added: float
) -> None:
    """A sole of 3 cm lifts the seat with the legs, the standing desk by itself, and not beyond."""
    basis = small(tmp_path, BOOTS)
    answers = {"leg": "42", **({"heel": heel} if heel else {})}
    low, high = (heights(told(basis, shoes=one, **answers)) for one in ("shoes", "boots"))
    assert high["seat_height"] - low["seat_height"] == pytest.approx(added * cos(radians(5)))
    assert high["armrest_height"] == low["armrest_height"]
    assert high["screen_top"] - low["screen_top"] == pytest.approx(
        high["seat_height"] - low["seat_height"]
    )


def test_a_cushion_lowers_the_chair_and_nothing_else(tmp_path: Path) -> None:
    """The chair goes down by the cushion; elbows, eyes and desk stay where they are."""
    basis = small(tmp_path, BOOTS)
    bare, soft = (heights(told(basis, leg="42", heel="2", **more)) for more in ({}, {"soft": "3"}))
    assert bare["seat_height"] - soft["seat_height"] == pytest.approx(30)
    assert soft["armrest_height"] - bare["armrest_height"] == pytest.approx(30)
    assert soft["desk_height"] == pytest.approx(bare["desk_height"])
    assert soft["screen_top"] == pytest.approx(bare["screen_top"])
    thick = heights(told(basis, leg="42", heel="2", soft="9"))
    assert bare["seat_height"] - thick["seat_height"] == pytest.approx(50), "no more than 5 cm"


def test_the_bodies_drawn_sit_by_the_same_figures(tmp_path: Path) -> None:
    """What chairs are held against moves as the figures of one body do, and so do drawn shoes."""
    range_, basis = seating().range, small(tmp_path, BOOTS)
    assert range_ is not None
    bare, soft, boots = (
        replace(request_of(range_, told(basis, leg="36", heel="2", desk="72", **more)), n=50)
        for more in ({}, {"soft": "3"}, {"shoes": "boots"})
    )
    order = dimensions_for(bare.estimate)
    bodies = draw(bare.estimate, order, 50).values
    one, other = (demands(bodies, order, each.workplace) for each in (bare, soft))
    assert other.heights[0][1] - one.heights[0][1] == pytest.approx(-30)
    assert other.arms[0] - one.arms[0] == pytest.approx(30)
    assert one.reach_up is not None
    assert other.reach_up is not None
    assert other.reach_up - one.reach_up == pytest.approx(-30), "the elbows are that much higher"
    shoes = [places(each.workplace, 50, 1).heel for each in (bare, boots)]
    assert shoes[1] - shoes[0] == pytest.approx(30)
    high = demands(bodies, order, boots.workplace)
    assert high.heights[0][1] - one.heights[0][1] == pytest.approx(30 * cos(radians(5)))


def test_the_caller_is_told_and_the_employer_is_not(tmp_path: Path) -> None:
    """The note says what was added and cites the advice; the employer's document is as before."""
    basis = in_the_shop(tmp_path)
    now = state(basis, told(basis, shoes="boots", leg="42", heel="2", soft="3").call)
    assert now.fit is not None
    notes = {one.name: one for one in now.fit.notes}
    assert "3 cm more under your feet" in notes["heel_counted"].say.text("metric")
    assert notes["heel_counted"].source == ("from_memory",)
    assert "3 cm higher" in notes["cushion_counted"].say.text("metric")
    papers = Writer(basis, now)
    caller, employer = (papers.write("text", one) for one in _PAPERS)
    assert b"3 cm higher" in caller
    assert b"heel of 5 cm" in papers.write("text", "card")
    for word in (b"cushion", b"boots", b"under your feet"):
        assert word not in employer.lower()


def test_a_change_of_it_is_listed(tmp_path: Path) -> None:
    """Publishing names the figure, and by how much it changes before and after."""
    old = small(tmp_path, BOOTS).tree
    first = replace(old.advice[0], adjusts=Adjusts("heel", 40.0, "", 60.0))
    listed = changes(old, replace(old, advice=(first, *old.advice[1:])))
    (line,) = [str(one.text) for one in listed]
    assert "by 4 cm, to at most 6 cm; before, the heel by 3 cm" in line
    without = replace(old.advice[1], adjusts=None)
    (line,) = [one.text for one in changes(old, replace(old, advice=(first, without)))][1:]
    assert "no figure; before, the cushion by" in line


def test_it_is_read_as_written() -> None:
    """Millimetres and inches, a question in place of a length; nothing else is taken for one."""
    assert parse_adjusts("heel + 30 mm, at most 6 cm") == Adjusts("heel", 30.0, "", 60.0)
    assert parse_adjusts("cushion + 1 in,\n at most 2 in") == Adjusts("cushion", 25.4, "", 50.8)
    assert parse_adjusts("cushion + soft, at most 5 cm") == Adjusts("cushion", None, "soft", 50.0)
    for text in ("heel - 3 cm, at most 6 cm", "heel + 3, at most 6", "heel + 3 cm", ""):
        assert parse_adjusts(text) is None
    assert set(FIGURES) == {"heel", "cushion"}


def test_in_a_pool_it_counts_what_an_answer_changes_of_a_figure(tmp_path: Path) -> None:
    """Soles of 8 cm lift the legs of somebody for whom the chair chosen is then too low; advice
    that only speaks adds nothing."""
    basis = in_the_shop(tmp_path)
    facts = told(basis, leg="46", heel="2").told(basis)
    boots = basis.tree.questions["shoes"]

    def gain(advice: Advice) -> float:
        tree = replace(basis.tree, advice=(advice, *basis.tree.advice[1:]))
        known = replace(facts.copy(), basis=replace(basis, tree=tree))
        request = known.request()
        assert request is not None
        return worth_of_pool(known, request, [boots], []).alone["shoes"]

    first = basis.tree.advice[0]
    assert gain(replace(first, adjusts=Adjusts("heel", 80.0, "", 100.0))) > 0.01
    assert gain(replace(first, adjusts=None)) == 0.0
