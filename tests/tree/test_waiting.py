"""What a condition waits for: none of it said, it is never true."""

from __future__ import annotations

import pytest

from consult.tree.condition import parse_condition


def _condition(text: str):  # type: ignore[no-untyped-def]
    return parse_condition(text).resolve({"desk", "weight", "signs", "consent"})


@pytest.mark.parametrize(
    "text",
    [
        "consent",
        "not consent",
        "desk == fixed",
        "desk != fixed or weight > 110",
        "a in signs or b in signs",
        "weight / 2 < 3 + 4",
        "not (weight > 90 and consent)",
    ],
)
def test_reads_answers_only(text: str) -> None:
    """It is not true while none of its answers is there, so it waits for one of them."""
    found = _condition(text)
    assert found.waits_for is not None
    assert found.waits_for >= found.names & {"desk", "weight", "signs", "consent"}
    assert found.evaluate(lambda _: None) is not True


@pytest.mark.parametrize(
    "text",
    [
        "not known(weight)",
        "not known(desk) and not known(weight)",
        "yes",
        "weight > 90 or yes",
        "1 < 2 or consent",
        "2 + 1 > -4 or consent",
        "not (2 < 1)",
        "fixed == fixed or consent",
    ],
)
def test_may_be_true_with_nothing_said(text: str) -> None:
    """It waits for nothing, since it is true before anything is said."""
    found = _condition(text)
    assert found.evaluate(lambda _: None) is True
    assert found.waits_for is None


@pytest.mark.parametrize("text", ["fit.seat_height > 50", "consent and body.weight > 90"])
def test_what_is_worked_out_waits_for_no_answer(text: str) -> None:
    """The fit and the body are known from the survey alone."""
    assert _condition(text).waits_for is None
