"""Score of scripted trainees: a good one gets more than a bad one, and no missed sign passes."""

from __future__ import annotations

from functools import cache
from statistics import mean

import pytest

from consult.practice.exercise import HINT_COST
from consult.practice.log import Log, Say
from consult.practice.score import as_it_should_be, evidence, score_of
from consult.practice.scoring.points import LATE_SHARE, Score
from tests.call.calls import basis_of
from tests.long import LONG
from tests.practice import trainees
from tests.practice.callers import SHIPPED, shipped
from tests.practice.callers_by_hand import HEALTH_SIGNS, caller
from tests.practice.trainees import BEGAN, Trainee

SOME = ("refer", "in_passing", "wrong_everywhere", "emergency", "set_up")


@cache
def led(trainee: Trainee, name: str, seed: int = 1) -> Log:
    """The call of a trainee with a caller made by hand."""
    basis, persona = caller(name, seed)
    return trainee(basis, persona, seed, "partly_guided")


@cache
def marked(trainee: Trainee, name: str, seed: int = 1) -> Score:
    """The score of a trainee with a caller made by hand."""
    basis, persona = caller(name, seed)
    return score_of(led(trainee, name, seed), persona, basis)


@cache
def perfect(name: str) -> Score:
    """The score of the adviser who does everything right."""
    basis, persona = caller(name)
    return score_of(as_it_should_be(basis, persona, 1, BEGAN.date()).log, persona, basis)


@pytest.mark.parametrize("name", HEALTH_SIGNS)
def test_the_careless_fail_whoever_has_a_sign(name: str) -> None:
    """Who never asks about warning signs, and lets remarks pass, fails whatever else was good."""
    found = marked(trainees.careless, name)
    assert not found.passed
    assert any(item.criterion == "signs" for item in found.failed_by)


def test_the_careless_fail_by_luck_as_well() -> None:
    """Answers entered for lists that nobody read out fail the call though no sign was there."""
    failed = marked(trainees.careless, "plain").failed_by
    assert [item.criterion for item in failed] == ["signs"]
    assert "entered" in failed[0].why


def test_the_careless_believe_first_figures() -> None:
    """Errors that show at a plain question are lost points, each hung on its behaviour."""
    lost = {
        item.behaviour
        for item in marked(trainees.careless, "wrong_everywhere").of("noticed")
        if item.got < item.of
    }
    assert {"to_the_drawer", "in_shoes", "about_so", "other_height"} <= lost


def test_a_remark_let_pass_fails_who_asks_everything_else() -> None:
    """Leading the call by the desk alone, deaf to what is said in passing, fails."""
    found = marked(trainees.led_by_the_desk, "denies")
    assert not found.passed
    failed = found.failed_by[0]
    assert failed.behaviour == "legs_tingle"
    log = led(trainees.led_by_the_desk, "denies")
    assert "legs_tingle" in log.turns[failed.turn - 1].shown


def test_a_remark_let_pass_costs_half_where_the_list_finds_the_sign() -> None:
    """A sign mentioned before the list, and found by it, was acted on late."""
    (item,) = marked(trainees.led_by_the_desk, "in_passing").of("signs")
    assert item.behaviour == "legs_give_way"
    assert item.got == pytest.approx(item.of * LATE_SHARE)
    assert not item.fails


@pytest.mark.parametrize("name", SOME)
def test_chance_lies_below_care(name: str) -> None:
    """Acting at random never comes near the perfect call."""
    assert marked(trainees.at_random, name).share < perfect(name).share == 1.0


def test_chance_lies_above_doing_nothing() -> None:
    """On average random acts earn more than closing at once, which earns nothing anywhere."""
    nothing = [marked(trainees.quitter, name) for name in SOME]
    assert not any(found.passed for found in nothing)
    assert all(found.total == 0 for found in nothing)
    assert mean(marked(trainees.at_random, name).share for name in SOME) > 0.1


def test_what_did_not_come_up_is_not_missed() -> None:
    """Who hangs up at once has left questions out; hints were never needed."""
    found = marked(trainees.quitter, "plain")
    assert {item.criterion for item in found.items if not item.came_up} == {"hints"}
    (left_out,) = found.of("questions")
    assert (left_out.came_up, left_out.name) == (True, "Questions left out")
    assert all(item.came_up for item in perfect("plain").items)


@pytest.mark.parametrize("name", sorted(SHIPPED)[:: 1 if LONG else 4])
def test_every_shipped_caller_tells_the_good_from_the_bad(name: str) -> None:
    """Random acts lie between the perfect call and none; who never asks about warning signs, and
    lets remarks pass, fails with every caller who has one to hear a caution about."""
    basis, persona = basis_of(SHIPPED[name].tree), shipped(name, 1)
    best = as_it_should_be(basis, persona, 1, BEGAN.date()).log
    by_chance = score_of(
        trainees.at_random(basis, persona, 1, "partly_guided"), persona, basis
    ).share
    assert 0 < by_chance < score_of(best, persona, basis).share == 1.0
    said = [turn.act for turn in best.turns if isinstance(turn.act, Say)]
    if any(act.level != "note" for act in said):
        assert not score_of(
            trainees.careless(basis, persona, 1, "partly_guided"), persona, basis
        ).passed


def test_a_topic_the_call_did_not_come_to_is_not_missed() -> None:
    """Eyes are measured only where somebody helps; without a word of that nobody misses them."""
    basis, persona = basis_of("seating"), shipped("sore_neck_on_the_telephone", 1)
    log = trainees.led_by_the_desk(basis, persona, 1, "partly_guided")
    found = evidence(log, persona, basis)
    assert "eye_height" in found.best.asked
    assert "eye_height" not in found.due
    measures = {item.name: item.got for item in score_of(log, persona, basis).of("measures")}
    assert "Stature" in measures
    assert "Eye height" not in measures


def test_hints_cost_what_they_said() -> None:
    """Three hints take three times their price, and nothing else."""
    without, with_ = (marked(one, "set_up") for one in (trainees.led_by_the_desk, trainees.hinted))
    assert without.total - with_.total == pytest.approx(3 * HINT_COST)
    assert with_.of("hints")[0].better


def test_haste_costs_the_measures() -> None:
    """Naming a chair without a tape leaves the measures, and much of the chair, unearned."""
    found = marked(trainees.hasty, "plain")
    taken = {item.name for item in found.of("measures") if item.got}
    assert not taken & {"Stature", "Weight", "Lower leg", "Thigh length", "Elbow height"}
    assert found.share < perfect("plain").share


@pytest.mark.parametrize("trainee", [trainees.careless, trainees.at_random, trainees.quitter])
def test_every_item_says_what_and_how(trainee: Trainee) -> None:
    """Each item hangs on a turn of the call; what was not done fully says what would have been."""
    for name in SOME:
        numbers = {turn.number for turn in led(trainee, name).turns}
        for item in marked(trainee, name).items:
            assert item.turn in numbers
            assert item.why.endswith((".", "”", "?", "!"))
            assert 0 <= item.got <= item.of
            if item.came_up:
                assert bool(item.better) == (item.got < item.of or item.fails)
            else:
                assert item.got < item.of
