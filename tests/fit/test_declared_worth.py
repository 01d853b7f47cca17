"""What hearing an answer adds, of a product that a file declares."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest

from consult.call.ahead import why_next
from consult.call.basis import Basis, load_basis
from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.gains import worth_of_pool
from consult.call.state import state_so_far
from consult.call.understand import Understood
from consult.paths import shipped_trees
from consult.tree.check import check_tree
from consult.tree.nodes import Value
from consult.tree.quantities import Adjusts
from tests.call.calls import call_of

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"
TALL: dict[str, Value] = {"sex": "male", "stature": 1930.0, "elbow_height": 1190.0, "heel": 30.0}


@pytest.fixture(scope="module")
def desks() -> Basis:
    """The worked example."""
    basis, problems = load_basis(EXAMPLE / "desk_fitting.yaml")
    assert basis is not None, problems
    return basis


def gains(basis: Basis, known: dict[str, Value], *asked: str) -> dict[str, float]:
    """What each answer adds after these."""
    facts = Facts(basis, "metric")
    for name, value in known.items():
        facts.learn(basis.tree.questions[name], Understood(value), confirmed=False)
    request = facts.request()
    assert request is not None
    worth = worth_of_pool(facts, request, [basis.tree.questions[name] for name in asked], [])
    return worth.gains(basis.tree.questions)


def test_a_measure_adds_what_it_makes_surer(desks: Basis) -> None:
    """Nobody knows how high a desk has to be set before the body is known; once the elbow is
    measured, more of the stature adds nothing."""
    before = gains(desks, {}, "stature", "elbow_height", "sex")
    assert all(gain > 0.05 for gain in before.values())
    after = gains(desks, {"elbow_height": 1190.0, "sex": "male"}, "stature")
    assert after["stature"] < before["stature"] / 3


def test_what_no_product_hangs_on_adds_nothing(desks: Basis) -> None:
    """A limit that every top of the range keeps, and advice that only speaks."""
    found = gains(desks, TALL, "room_width", "standing_mat", "wanted_width", "mat_thickness")
    assert found["room_width"] == found["standing_mat"] == 0.0
    assert found["wanted_width"] > 0.2, "the cheapest top is too narrow for many"
    assert found["mat_thickness"] > 0.01, "the desk would be set too low"


def test_a_feature_adds_where_the_product_chosen_lacks_it(desks: Basis) -> None:
    """A short person's desk stops on contact anyway; a wish adds less than a must."""
    plain = gains(desks, {"sex": "female", "stature": 1700.0}, "several_people", "small_children")
    assert 0 < plain["several_people"] < 0.05
    needs = tuple(replace(one, strength="must") for one in desks.tree.needs)
    strict = replace(desks, tree=replace(desks.tree, needs=needs))
    assert gains(strict, TALL, "several_people")["several_people"] > plain["several_people"]


def test_an_answer_that_changes_a_figure_adds_that(desks: Basis) -> None:
    """A mat whose thickness nobody asks for raises the desk by what the advice says."""
    assert gains(desks, TALL, "standing_mat")["standing_mat"] == 0.0
    first = replace(desks.tree.advice[0], adjusts=Adjusts("heel", 40.0, "", 100.0))
    raised = replace(desks, tree=replace(desks.tree, advice=(first, *desks.tree.advice[1:])))
    assert gains(raised, TALL, "standing_mat")["standing_mat"] > 0.05


POOL = ("elbow_height", "heel", "mat_thickness", "equipment", "room_width", "wanted_width")


@pytest.fixture
def pooled(tmp_path: Path) -> Path:
    """The example with its measures in one pool."""
    copytree(EXAMPLE, tmp_path / "desks")
    path = tmp_path / "desks" / "desk_fitting.yaml"
    text = path.read_text("utf-8").replace("    next: elbow_height\n", "    next: standing_mat\n")
    text = text.replace("    next: mat_thickness\n", "    next: what_decides\n", 1)
    for name in POOL:
        start = text.index(f"  {name}:\n")
        found = re.compile(r"    next: .*\n").search(text, start)
        assert found is not None
        text = text[: found.start()] + text[found.end() :]
    step = f"  what_decides:\n    best_of: [{', '.join(POOL)}]\n    next: several_people\n\n"
    path.write_text(text.replace("  several_people:\n", f"{step}  several_people:\n"), "utf-8")
    return path


def asked(basis: Basis, **said: str) -> dict[str, str]:
    """The questions of a call one after another, each with why it is next."""
    call, found = call_of({}), dict[str, str]()
    while (now := state_so_far(basis, call)).current is not None:
        name = now.current.name
        found[name] = why_next(basis, now)
        call = call.add(Answer(name, said.get(name, "?")))
    return found


def test_a_pool_asks_what_is_worth_its_time(pooled: Path) -> None:
    """The place is not measured where any desk would stand in it, nor the mat where there is none;
    why a question is next is told in the words of the product."""
    basis, problems = load_basis(pooled)
    assert basis is not None, problems
    assert check_tree(pooled) == []
    said = {"caller_name": "Ann", "consent": "no", "reason": "aches", "sex": "men's"}
    said |= {"stature": "193", "elbow_height": "119", "heel": "3", "standing_mat": "no"}
    way = asked(basis, **said, warning_signs="none", several_people="no", small_children="no")
    assert {"elbow_height", "wanted_width"} <= way.keys()
    assert not {"room_width", "mat_thickness"} & way.keys()
    assert way["elbow_height"] == "elbow height: could change the frame and the top"
    assert not any("chair" in why for why in way.values())


def test_a_pool_has_no_question_that_changes_nothing(pooled: Path) -> None:
    """One that only advice reads is never asked there, and the check says so."""
    text = pooled.read_text("utf-8")
    text = text.replace("    next: what_decides\n", "", 1)
    text = text.replace("best_of: [", "best_of: [standing_mat, ")
    text = text.replace("    next: standing_mat\n", "    next: what_decides\n")
    pooled.write_text(text, "utf-8")
    assert check_tree(pooled) == []  # it opens the question how thick the mat is
    pooled.write_text(text.replace("    ask_when: standing_mat\n", ""), "utf-8")
    (only,) = check_tree(pooled)
    assert (only.rule, "changes what is chosen" in only.message) == ("never-worth", True)
