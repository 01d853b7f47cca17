"""A maker's own question stands on the order; a country's law is for callers from there."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.call import Answer
from consult.call.state import state
from consult.paths import shipped_trees
from consult.summary import Paper
from consult.summary.model import summarise
from consult.summary.order import order_csv, order_json
from consult.summary.render import Writer
from consult.tree.check import check_tree
from tests.ui.desk import demo, demo_basis

FILE = shipped_trees() / "agreement.yaml"
LIFT = """  which_floor:
    ask: Which floor shall we carry it to?
    answer: choice
    choices:
      ground: Ground floor
      upstairs: Upstairs, and there's no lift
    read_by: order_team
    next: caller_contact

  caller_contact:
"""


def texts(question: str = LIFT) -> dict[Path, str]:
    """The shipped trees with a question more before the contact."""
    text = FILE.read_text("utf-8").replace("  caller_contact:\n", question, 1)
    return {FILE: text.replace("next: caller_contact\n\n  which", "next: which_floor\n\n  which")}


@pytest.fixture(scope="module")
def basis() -> Basis:
    found, problems = load_basis(shipped_trees() / "seating.yaml", texts=texts())
    assert found is not None, problems
    return found


def test_the_order_has_the_answer_in_every_form(basis: Basis) -> None:
    """Document, JSON and CSV; nothing of it for the employer."""
    call = demo("01").call
    call = replace(call, answers=(*call.answers, Answer("which_floor", "upstairs")))
    now = state(basis, call)
    made = summarise(basis, now, reader="order", reference="7K3-M2Q")
    words = "Upstairs, and there's no lift"
    assert order_json(made)["answers"] == {"which_floor": words}
    row = next(csv.DictReader(io.StringIO(order_csv(made))))
    assert row["answers"] == f"which_floor: {words}"
    writer = Writer(basis, now, None, "7K3-M2Q")
    papers: dict[Paper, bool] = {"order": True, "employer": False}
    for paper, there in papers.items():
        assert (words in writer.write("text", paper).decode()) is there


def test_an_answer_that_was_not_given_is_left_out(basis: Basis) -> None:
    """Nothing stands for it."""
    made = summarise(basis, state(basis, demo("01").call), reader="order")
    assert order_json(made)["answers"] == {}


def test_the_order_team_reads_nothing_about_health() -> None:
    """The check refuses such a question."""
    private = LIFT.replace("    read_by", "    private: health\n    read_by")
    told = check_tree(shipped_trees() / "seating.yaml", texts=texts(private))
    assert "health-on-order" in {one.rule for one in told}


@pytest.mark.parametrize(("country", "told"), [("GB", True), ("GB-NIR", True), ("IE", False)])
def test_a_law_is_for_callers_of_its_country(country: str, told: bool) -> None:
    """A duty of employers there, a right to cancel there; and where the caller says so, not the
    maker."""
    call = replace(demo("01").call, country=country)
    text = Writer(demo_basis(), state(demo_basis(), call)).write("text", "caller").decode()
    assert ("United Kingdom" in text) is told
