"""The tree for an employer who orders for several people."""

from __future__ import annotations

import csv
from functools import cache

from consult.call.basis import Basis, load_basis
from consult.call.batch import columns_of
from consult.paths import demo_folder, trees_folder
from tests.call.calls import seating, told


@cache
def team_order() -> Basis:
    """The shipped tree."""
    basis, problems = load_basis(trees_folder() / "team_order.yaml")
    assert basis is not None, problems
    return basis


def test_health_is_never_asked_of_the_employer() -> None:
    """No question is about health, none asks for consent, and no body is measured."""
    for question in team_order().tree.questions.values():
        assert question.private != "health", question.name
        assert question.sets != "consent", question.name
        assert question.measures is None, question.name
    assert not team_order().tree.fits


def test_only_the_caller_is_named() -> None:
    """The one person named or reached is whoever calls; whether anybody is heavy is theirs too."""
    personal = {n for n, q in team_order().tree.questions.items() if q.private == "personal"}
    assert personal == {"caller_name", "caller_contact", "call_back_number", "over_rating"}


def test_the_heaviest_is_a_yes_or_no() -> None:
    """No weight of anybody is taken: the one question about it takes yes, no or not known."""
    assert team_order().tree.questions["over_rating"].answer == "yes-no"
    assert all(q.answer != "mass" for q in team_order().tree.questions.values())


def test_the_columns_read_out_are_columns_of_the_batch() -> None:
    """Every column the adviser reads out is one that ``consult batch`` reads, and not of health."""
    coach = team_order().tree.questions["sheet"].coach
    listed = coach.partition("The columns are ")[2].partition(".")[0].replace(" and ", ", ")
    headings = [one for one in listed.split(", ") if one]
    columns, problems = columns_of(seating().tree, headings, "people.csv", with_health=False)
    assert problems == []
    assert len(columns) == len(headings) > 15
    assert "name" not in headings
    with (demo_folder() / "team" / "people.csv").open(encoding="utf-8", newline="") as file:
        assert set(headings) <= set(next(csv.reader(file)))


def test_duties_are_those_of_the_country() -> None:
    """British duties are told of deliveries to the United Kingdom; elsewhere the firm's own."""
    said = {"team_size": "9", "places": "1", "ring_themselves": "will_tell", "sheet": "each_rings"}
    here = told(team_order(), **said, delivery_country="united_kingdom")
    there = told(team_order(), **said, delivery_country="germany")
    assert {"assessment", "footrest"} <= {one.advice.topic for one in here.advice}
    assert "rules" not in {one.advice.topic for one in here.advice}
    assert {one.advice.topic for one in there.advice} == {"rules"}


def test_what_the_rows_tell_is_not_asked() -> None:
    """Desk heights and floors stand in the rows, so the caller hears to write them there."""
    said = {"team_size": "9", "places": "1", "ring_themselves": "will_tell", "sheet": "own_rows"}
    now = told(team_order(), **said, who_measures="in_pairs", team_desks="fixed_desks")
    assert {"desk_in_every_row", "floor_in_every_row"} <= {one.advice.name for one in now.advice}
    asked = set(team_order().tree.questions)
    assert not {name for name in asked if "floor" in name or "height" in name}
