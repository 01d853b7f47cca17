"""A stop counts by whom it sent the caller to, under whichever question the sign was entered."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from consult.call.basis import Basis
from consult.practice.exercise import Exercise
from consult.practice.log import Again, Ask, Coach, Entered, Log, Recommend, Say, Spoke
from consult.practice.model import Persona
from consult.practice.score import as_it_should_be, score_of
from consult.practice.scoring.evidence import counts_for
from consult.practice.scoring.points import Score
from consult.tree.floor import the_floor
from tests.call.calls import basis_of
from tests.practice.callers_by_hand import caller
from tests.practice.test_score import lost
from tests.practice.trainees import BEGAN, Clock, typed


@cache
def entered_as(name: str, said: str) -> tuple[Log, Score]:
    """The perfect call, but the answer that stopped it was entered as this, with its score.

    After it everything that the desk has to say is said and what it leads to is asked.
    """
    basis, persona = caller(name)
    events = as_it_should_be(basis, persona, 1, BEGAN.date()).log.events
    stop = next(
        at
        for at, one in enumerate(events)
        if isinstance(one, Spoke) and isinstance(one.turn.act, Say)
    )
    entry = max(at for at in range(stop) if isinstance(events[at], Entered))
    exercise, now = Exercise(basis, persona, 1, "guided", BEGAN), Clock()
    for event in events[:entry]:
        match event:
            case Spoke(turn=turn):
                _act(exercise, turn.act, now)
            case Entered():
                exercise.enter(event.said, now())
    assert exercise.session.now.stopped is None
    assert exercise.enter(said, now()).taken
    assert exercise.session.now.stopped is not None
    while due := exercise.session.now.to_say:
        exercise.say(due[0], now())
    while (question := exercise.session.asking) is not None:
        turn = exercise.ask(question.name, now())
        exercise.enter(typed(question, turn.tells.get(question.name, "?")), now())
    exercise.close(now())
    return exercise.log, score_of(exercise.log, persona, basis)


def _act(exercise: Exercise, act: object, now: Clock) -> None:
    match act:
        case None:
            exercise.opening(now())
        case Ask(question):
            exercise.ask(question, now())
        case Coach(question):
            exercise.coach(question, now())
        case Again(question):
            exercise.again(question, now())
        case Recommend():
            exercise.recommend(now())
        case _:
            raise AssertionError(f"{act} before the stop")


def said_in(log: Log) -> list[str]:
    """The cautions that were said."""
    return [turn.act.caution for turn in log.turns if isinstance(turn.act, Say)]


PAIRS = [
    ("in_passing", "/warning signs: both_legs", "/legs feel: legs_both_weak"),
    ("in_passing", "/warning signs: both_legs", "/lower back runs: runs_both"),
    ("denies", "/warning signs: both_legs", "/legs feel: legs_both_weak"),
    ("late_sign", "/lower back runs: runs_both", "/warning signs: both_legs"),
    ("late_sign", "/lower back runs: runs_both", "/legs feel: legs_both_weak"),
    ("swollen", "/warning signs: swollen_leg", "/legs feel: leg_one_swollen"),
    ("numb", "/hips where: hips_numb", "/warning signs: saddle_numb"),
    ("numb", "/hips where: hips_numb", "/tailbone when: tail_numb"),
    ("weak_hand", "/hands when: hands_sudden", "/warning signs: weak_hand"),
    ("blades", "/upper back when: upper_blades", "/pain signs: between_blades"),
    ("swelled", "/pregnant now: swelled_suddenly", "/warning signs: pregnancy"),
    ("new_hip", "/operated ago: under_three_months", "/warning signs: operation"),
    ("new_hip", "/operated ago: under_three_months", "/operation limits: limits_in_force"),
]


@pytest.mark.parametrize(("name", "one", "other"), PAIRS)
def test_two_right_names_get_the_same_marks(name: str, one: str, other: str) -> None:
    """Each of two questions that stop the call for the same sign earns every point."""
    (first, its), (second, others) = entered_as(name, one), entered_as(name, other)
    assert len(said_in(first)) == len(said_in(second)) == 1
    assert its.full, lost(its)
    assert others.full, [item for item in others.items if item.got < item.of or item.fails]
    assert (its.total, its.out_of, its.passed) == (others.total, others.out_of, others.passed)


def test_no_hint_asks_for_a_sign_that_stopped_the_call_under_another_name() -> None:
    """After a stop a hint leads on to the end of the call."""
    basis, persona = caller("in_passing")
    exercise, now = Exercise(basis, persona, 1, "guided", BEGAN), Clock()
    exercise.opening(now())
    exercise.ask("reasons", now())
    assert exercise.hint().question == "warning_signs"
    exercise.enter("/legs feel: legs_both_weak", now())
    exercise.say(exercise.session.now.to_say[0], now())
    assert exercise.hint().question == "call_back_number"


def test_the_pairs_are_stopped_by_different_cautions() -> None:
    """Two names of one caution could not be marked differently; most pairs raise two cautions."""
    differ = [
        said_in(entered_as(name, one)[0]) != said_in(entered_as(name, other)[0])
        for name, one, other in PAIRS
    ]
    assert sum(differ) >= len(PAIRS) * 2 / 3


def test_a_graver_stop_counts() -> None:
    """Sent to an emergency department with what a doctor should see today, nobody was let down."""
    log, found = entered_as("swollen", "/warning signs: chest_or_breath")
    assert said_in(log) == ["emergency_sign"]
    assert found.full


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("emergency", "/legs feel: leg_one_swollen"),
        ("emergency", "/warning signs: not_sure"),
        ("emergency", "/warning signs: operation"),
        ("swelled", "/warning signs: unwell"),
        ("swollen", "/warning signs: operation"),
    ],
)
def test_a_lesser_stop_fails(name: str, said: str) -> None:
    """Whoever is sent to somebody less urgent than the sign calls for was not helped."""
    _, found = entered_as(name, said)
    assert [item.criterion for item in found.failed_by] == ["signs"]
    assert not found.passed


def test_the_graver_of_two_signs_has_to_be_covered() -> None:
    """Of two signs that were told, the stop for the lesser does not excuse the other."""
    basis, persona = caller("emergency")
    both = {**persona.truth, "warning_signs": "both_legs, swollen_leg"}
    twice = replace(persona, truth=both)

    def led(first: str) -> Score:
        exercise, now = Exercise(basis, twice, 1, "guided", BEGAN), Clock()
        exercise.opening(now())
        exercise.ask("warning_signs", now())
        exercise.enter("/warning signs: both_legs, swollen_leg", now())
        (due,) = [one for one in exercise.session.now.cautions if one.caution.name == first]
        exercise.say(due, now())
        exercise.close(now())
        return score_of(exercise.log, twice, basis)

    assert not led("emergency_sign").failed_by
    (item,) = led("urgent_sign").failed_by
    assert "does not cover it" in item.why


def test_a_stop_entered_unasked_is_marked_the_same_under_either_name() -> None:
    """Also where the caller never got to say it, the name of the question makes no difference."""
    basis, persona = caller("emergency")
    found = []
    for said in ("/warning signs: both_legs", "/legs feel: legs_both_weak"):
        exercise, now = Exercise(basis, persona, 1, "guided", BEGAN), Clock()
        exercise.opening(now())
        exercise.enter(said, now())
        exercise.say(exercise.session.now.to_say[0], now())
        exercise.close(now())
        found.append(score_of(exercise.log, persona, basis))
    assert found[0].total == found[1].total
    assert found[0].out_of == found[1].out_of
    assert found[1].of("signs")


def test_only_itself_counts_for_a_stop_without_a_contact() -> None:
    """A young person is sent home, not to a hospital, and the other way round."""
    cautions = {one.name: one for one in basis_of("seating").tree.cautions}
    young, emergency = cautions["under_eighteen"], cautions["emergency_sign"]
    assert counts_for(young, young)
    assert not counts_for(emergency, young)
    assert not counts_for(young, emergency)


@pytest.mark.parametrize("tree", ["seating", "my_chair", "set_up", "follow_up", "team_order"])
def test_every_stop_is_ranked(tree: str) -> None:
    """The floor knows the contact of every stop, and a referral never counts for a stop."""
    cautions = basis_of(tree).tree.cautions
    stops = [one for one in cautions if one.level == "stop" and one.contact]
    assert stops
    assert {one.contact for one in stops} <= the_floor().contacts.keys()
    refers = [one for one in cautions if one.level == "refer"]
    assert not any(
        counts_for(refer, stop) or counts_for(stop, refer) for refer in refers for stop in stops
    )


def without_the_list(basis: Basis, persona: Persona, *, chair: bool) -> Score:
    """The score of the perfect call with the list of warning signs left out."""
    log = as_it_should_be(basis, persona, 1, BEGAN.date()).log
    kept = [
        one
        for one in log.events
        if not (isinstance(one, Entered) and one.question == "warning_signs")
        and not (isinstance(one, Spoke) and one.turn.about == "warning_signs")
        and (chair or not (isinstance(one, Spoke) and isinstance(one.turn.act, Recommend)))
    ]
    return score_of(replace(log, events=tuple(kept)), persona, basis)


@pytest.mark.parametrize("chair", [True, False])
@pytest.mark.parametrize("name", ["refuses", "plain", "says_no_first"])
def test_never_reading_the_list_fails(name: str, chair: bool) -> None:
    """Everybody hears the list, with consent or without, whether a chair is named or not."""
    basis, persona = caller(name)
    every = without_the_list(basis, persona, chair=chair).failed_by
    (failed,) = (one for one in every if one.criterion == "signs")
    assert failed.criterion == "signs"
    assert "I'll read you a short list" in failed.better


def test_the_list_needs_no_consent() -> None:
    """Read before consent was asked for, or after a no, it costs nothing."""
    for name in ("refuses", "says_no_first"):
        basis, persona = caller(name)
        best = as_it_should_be(basis, persona, 1, BEGAN.date())
        assert "warning_signs" in best.asked
        (item,) = [
            one for one in score_of(best.log, persona, basis).items if one.criterion == "consent"
        ]
        assert item.got == item.of
