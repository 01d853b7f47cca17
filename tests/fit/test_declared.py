"""A product that a file declares: its figures and its choice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from consult.body.derived import derivable, derived_from, with_derived
from consult.body.estimate import Estimate, estimate
from consult.body.population import load_population
from consult.fit.declared import (
    choose_declared,
    declared_fit,
    declared_ready,
    product_truth,
)
from consult.fit.declared_worth import PREFERRED, DeclaredWorth
from consult.fit.request import FitRequest
from consult.fit.workplace import Adjusted, Workplace
from consult.paths import shipped_trees
from consult.range.fitting_file import load_fitting
from consult.range.model import Range
from consult.range.parts import Kind

FILE = shipped_trees() / "examples" / "desk_fitting" / "fitting.yaml"
ELBOW = "elbow_height_standing"
TOP = cast("Kind", "top")


@pytest.fixture(scope="module")
def desks() -> Range:
    """The desks of the worked example."""
    range_, problems = load_fitting(FILE)
    assert range_ is not None, problems
    return range_


def body(**measured: float) -> Estimate:
    """A woman of whom this was measured, mm."""
    people = with_derived(load_population(), (ELBOW,))
    return estimate(people, [people.measure(name, mm) for name, mm in measured.items()], "female")


def said(**answers: float) -> Callable[[str], float | None]:
    """Answers, mm or kg."""
    return answers.get


def test_a_figure_is_its_sum(desks: Range) -> None:
    """Body, shoes and answers are added, and a question without an answer counts as usual."""
    fitting = desks.fitting
    assert fitting is not None
    who = body(stature=1700.0, elbow_height_standing=1050.0)
    elbow = who.dimensions[ELBOW].mean
    in_shoes = Workplace(heel=30.0)
    fit = declared_fit(fitting, who, in_shoes, said())
    standing = fit.requirements["standing_desk_height"]
    assert standing.target == pytest.approx(elbow + 30 - 20)
    assert (standing.target - standing.low, standing.high - standing.target) == (40.0, 20.0)
    assert 0 < standing.sd < 20
    on_a_mat = declared_fit(fitting, who, in_shoes, said(mat_thickness=15.0))
    assert on_a_mat.requirements["standing_desk_height"].target == pytest.approx(elbow + 25)
    boots = Workplace(heel=30.0, adjusted=(Adjusted("heel", 20.0, ("from_memory",)),))
    booted = declared_fit(fitting, who, boots, said())
    assert booted.requirements["standing_desk_height"].target == pytest.approx(elbow + 30)
    assert [one.name for one in booted.notes] == ["heel_counted"]
    # A limit of the parts is nothing to set; without an answer it is not tested, and says so.
    assert set(fit.requirements) == {"standing_desk_height", "desk_height"}
    assert "room width" in fit.missing["room"]


def test_the_choice_meets_what_was_said(desks: Range) -> None:
    """The cheapest of those that suit; limits and musts leave parts out, a preference only pays
    where it is wanted."""
    who = body(stature=1800.0, elbow_height_standing=1120.0)
    shoes = Workplace(heel=25.0)

    def codes(needs: tuple[tuple[str, str], ...] = (), **answers: float) -> set[str]:
        lines = [(name, strength, "") for name, strength in needs]
        known = {"room_width": 2000.0, "equipment": 20.0, **answers}
        found = choose_declared(FitRequest(desks, who, shoes, lines), said(**known))  # type: ignore[arg-type]
        return {part.code for part in found.best.parts.values()} if found.best else set()

    assert codes() == {"FRAME-THREE", "TOP-120", "HAND-PLAIN"}
    assert "HAND-MEMORY" in codes((("remembers_heights", "prefer"),))
    assert "TOP-160" in codes(wanted_width=1600.0)
    assert codes(wanted_width=1600.0, room_width=1500.0) == set(), "no top is both"
    assert codes(equipment=103.0) == {"FRAME-THREE", "TOP-120", "HAND-PLAIN"}
    assert codes(equipment=104.0) == set(), "120 kg less 17 for the top carry 103"
    assert codes((("folds_up", "must"),)) == set()


def test_what_falls_short_says_so(desks: Range) -> None:
    """Where no desk goes low enough, the best is offered with what it misses, and the odds."""
    who = body(stature=1400.0, elbow_height_standing=820.0)
    found = choose_declared(FitRequest(desks, who, Workplace(heel=0.0)), said(room_width=2000.0))
    assert found.best is not None
    fit = declared_fit(desks.fitting, who, Workplace(heel=0.0), said())  # type: ignore[arg-type]
    picked = declared_ready(desks, fit, found.best.parts, ())
    assert found.best.p_fits < 0.5
    (short,) = picked.shortfalls
    assert short.requirement == "desk_height"
    assert "too high at its lowest" in short.say.text("metric")
    assert picked.settings["desk_height"] == pytest.approx(575.0), "as low as it goes"


def test_the_odds_are_those_of_bodies(desks: Range) -> None:
    """P(fits) is the share of true bodies, drawn from the same estimate, that the desk suits."""
    who = body(stature=1500.0)
    shoes, answers = Workplace(heel=10.0), said(room_width=2000.0)
    found = choose_declared(FitRequest(desks, who, shoes), answers)
    assert found.best is not None
    assert 0.3 < found.best.p_fits < 0.99
    (part,) = who.components
    chance = np.random.Generator(np.random.PCG64(3))
    drawn = chance.multivariate_normal(part.mean, part.covariance, 200)
    codes = [one.code for one in found.best.parts.values()]
    names = list(who.dimensions)
    suited = [
        product_truth(desks, dict(zip(names, row, strict=True)), shoes, answers).fits(codes)
        for row in drawn[:200]
    ]
    assert found.best.p_fits == pytest.approx(np.mean(suited), abs=0.08)


def test_a_derived_dimension_is_what_it_is_made_of() -> None:
    """Its mean is the sum, its spread a little wider, and the others stay as they were."""
    people = load_population()
    more = with_derived(people, (ELBOW,))
    made = derivable()[ELBOW]["from"]
    for sex, group in people.groups.items():
        mean = sum(factor * group.mean[people.index(name)] for name, factor in made.items())
        grown = more.groups[sex]
        assert grown.mean[-1] == pytest.approx(mean)
        assert np.array_equal(grown.covariance[:-1, :-1], group.covariance)
        assert np.linalg.eigvalsh(grown.covariance).min() > 0
    assert with_derived(more, (ELBOW,)) is more
    assert with_derived(people, ("stature", "no such thing")) is people
    assert set(derived_from({"stature": 1.0}, lambda _: 0.0)) == set(), "not without the rest"


def test_measuring_it_moves_what_it_is_made_of() -> None:
    """Elbows measured high, standing, make high elbows sitting likelier."""
    low, high = (body(stature=1650.0, elbow_height_standing=mm) for mm in (970.0, 1070.0))
    name = "elbow_rest_height"
    assert high.dimensions[name].mean > low.dimensions[name].mean + 20


def test_what_was_agreed_on_is_kept(desks: Range) -> None:
    """The part agreed on, though a cheaper one suits as well; none that cannot be built."""
    who = FitRequest(desks, body(stature=1800.0), Workplace())
    known = said(room_width=2000.0, equipment=20.0)
    found = choose_declared(who, known, {TOP: "TOP-160"})
    assert found.best is not None
    assert {"TOP-160"} < {part.code for part in found.best.parts.values()}
    assert found.eligible < choose_declared(who, known).eligible
    none = choose_declared(who, known, {TOP: "TOP-9"})
    assert none.best is None
    assert none.none_because is not None
    assert none.none_because.template == "No desk can be built of these parts."


@pytest.mark.parametrize(("plain", "memory"), [(10.0, 30.0), (30.0, 10.0)])
def test_a_wish_counts_where_the_cheapest_lacks_it(
    desks: Range, plain: float, memory: float
) -> None:
    """Chosen is the cheapest of those that suit alike, in whatever order the file has them."""
    prices = {"HAND-PLAIN": plain, "HAND-MEMORY": memory}
    parts = {
        kind: tuple(replace(one, price=prices.get(one.code, one.price)) for one in of)
        for kind, of in desks.parts.items()
    }
    who = FitRequest(replace(desks, parts=parts), body(elbow_height_standing=1050.0), Workplace())
    worth = DeclaredWorth(who, said(room_width=2000.0))
    rise = worth.rise([("remembers_heights", "prefer", "")])
    assert rise == pytest.approx(PREFERRED if plain < memory else 0.0)


def test_a_figure_not_known_is_not_set(desks: Range) -> None:
    """What the mat is tells how high the desk has to stand, which nobody sets before."""
    assert desks.fitting is not None
    unusual = replace(desks, fitting=replace(desks.fitting, usual={}))
    who = FitRequest(unusual, body(elbow_height_standing=1050.0), Workplace(heel=20.0))
    worth = DeclaredWorth(who, said())
    assert worth.of_answer([(1.0, who.workplace, said(mat_thickness=10.0))]) > 0.5


def test_a_figure_is_set_as_near_as_the_parts_go(desks: Range) -> None:
    """Where the elbow is below the lowest desk, knowing it makes no desk suit."""
    low = FitRequest(desks, body(elbow_height_standing=820.0, elbow_rest_height=150.0), Workplace())
    assert DeclaredWorth(low, said(room_width=2000.0)).best < 0.1
