"""What the answers so far come to: settings, measures, and what conditions read."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.facts import Facts
from consult.call.understand import AnswerValue, Understood
from tests.call.calls import seating, small, told

MIDWAY = """\
tree: little
title: A tree that looks at the fit on its way
version: 2026.11
first: usual_desk
questions:
  usual_desk:
    ask: How high is your desk, usually?
    answer: length
    unit: cm
    sets: desk_height
    skip_when: fit.seat_height > 100
    next: leg
  leg:
    ask: How long is the lower leg?
    coach: With a tape.
    answer: length
    unit: cm
    measures: popliteal_height
    skip_when: body.popliteal_height > 100
    next: heel
  heel:
    ask: How high is the heel?
    answer: length
    unit: cm
    expect: 0 to 8
    sets: heel
    next:
      - when: body.popliteal_height > 44
        go: desk_now
      - otherwise: end
  desk_now:
    ask: And how high is it now?
    answer: length
    unit: cm
    sets: desk_height
    skip_when: fit.seat_height < 45
    next: end
cautions: []
advice: []
needs: []
"""


def facts(**values: AnswerValue | None) -> Facts:
    """Facts of the shipped tree, each value as if it had been understood."""
    made = Facts(seating(), "metric")
    for name, value in values.items():
        made.learn(seating().tree.questions[name], Understood(value), False)
    return made


def test_conditions_on_the_way_read_the_newest_body_and_fit(tmp_path: Path) -> None:
    """Body and fit looked at early are worked out anew once more has been heard."""
    basis = small(tmp_path, MIDWAY)
    now = told(basis, usual_desk="72", leg="50", heel="4")
    assert [step.question.name for step in now.steps] == ["usual_desk", "leg", "heel", "desk_now"]
    assert now.step("desk_now")
    short = told(basis, usual_desk="72", leg="35", heel="4")
    assert short.step("desk_now") is None


def test_the_heel_counts_in_a_fit_already_looked_at() -> None:
    """A setting heard after the fit was first read changes the fit."""
    made = facts(heel=0.0)
    low = made.lookup("fit.seat_height")
    made.learn(seating().tree.questions["heel"], Understood(50.0), False)
    high = made.lookup("fit.seat_height")
    assert isinstance(low, float)
    assert isinstance(high, float)
    # 5 cm of heel lift the seat by 5 cm times the cosine of 5 degrees.
    assert high - low == pytest.approx(5 * 0.9962, abs=0.001)


def test_a_fact_set_twice_is_what_was_last_known(tmp_path: Path) -> None:
    """Where two questions set one fact the later answer counts, and 'not known' does not undo."""
    basis = small(tmp_path, MIDWAY)
    asked = basis.tree.questions
    made = Facts(basis, "metric")
    made.learn(asked["usual_desk"], Understood(720.0), False)
    made.learn(asked["desk_now"], Understood(None), False)
    assert made.workplace().desk.height == 720.0
    made.learn(asked["desk_now"], Understood(740.0), False)
    assert made.workplace().desk.height == 740.0


def test_conditions_read_questions_in_their_own_unit() -> None:
    """A length asked in cm is compared in cm, a count as it is; what is not known is None."""
    made = facts(stature=1570.0, hours=7.5, desk_kind="fixed", consent=True, weight=None)
    assert made.lookup("stature") == pytest.approx(157)
    assert made.lookup("hours") == 7.5
    assert made.lookup("desk_kind") == "fixed"
    assert made.lookup("consent") is True
    assert made.lookup("weight") is None
    assert made.lookup("tasks") is None


def test_conditions_read_fit_and_body_in_cm_and_kg() -> None:
    """Lengths of fit and body come in cm, weight in kg, yes-no as it is."""
    made = facts(sex="female")
    fit, body = made.fit, made.body[0]
    assert made.lookup("fit.seat_height") == pytest.approx(
        fit.requirements["seat_height"].target / 10
    )
    assert made.lookup("fit.footrest_height") is None
    assert made.lookup("fit.seat_out_of_reach") is False
    assert made.lookup("body.stature") == pytest.approx(body.dimensions["stature"].mean / 10)
    assert made.lookup("body.weight") == pytest.approx(body.dimensions["weight"].mean)


@pytest.mark.parametrize(
    ("said", "sex"), [("female", "female"), ("male", "male"), ("either", None), (None, None)]
)
def test_sex_only_where_it_was_said(said: str | None, sex: str | None) -> None:
    """'Both, or rather not say' is not known to the body estimate."""
    assert facts(sex=said).sex == sex


@pytest.mark.parametrize(("said", "close"), [("close", True), ("clear", False), (None, None)])
def test_close_to_the_desk(said: str | None, close: bool | None) -> None:
    """The two choices are yes and no to the fit."""
    assert facts(close_to_desk=said).workplace().close_to_desk is close


def test_a_stature_from_memory_is_corrected() -> None:
    """From memory, or not said whence: what people overstate is taken off and doubt added."""
    now, memory, unsaid, unasked = (
        facts(stature=1700.0, **more).measures()[0]
        for more in (
            {"stature_origin": "measured"},
            {"stature_origin": "remembered"},
            {"stature_origin": None},
            {},
        )
    )
    assert memory == unsaid == unasked
    assert memory.value < now.value == 1700.0
    assert memory.sd >= now.sd


def test_what_was_looked_up_is_of_the_answers_so_far() -> None:
    """A measure changes what conditions read of body and fit, looked up before or not."""
    known = facts(sex="female")
    names = ("body.popliteal_height", "fit.seat_height", "weight", "stature")
    before = [known.lookup(name) for name in names]
    known.learn(seating().tree.questions["stature"], Understood(1900.0), confirmed=False)
    after = [known.lookup(name) for name in names]
    assert after == [facts(sex="female", stature=1900.0).lookup(name) for name in names]
    assert [one != other for one, other in zip(before, after, strict=True)] == [
        True,
        True,
        False,
        True,
    ]
