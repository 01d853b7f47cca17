"""A lifted stop comes back on a new ground, and on no other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.call import Answer, Call
from consult.call.session import Session
from consult.call.state import State, state_so_far
from consult.call.stops import (
    WITHHELD,
    health_off_the_way,
    last_handled,
    last_lift,
    latched,
    said_to_caller,
    stops_of,
    warning_questions,
)
from consult.tree.condition import parse_condition
from tests.call.calls import small
from tests.call.signs import NOON, give, led, little, say_all

REASON = "her doctor saw her today"


def lifted(*said: tuple[str, str], consent: bool = False) -> Session:
    """A call in which every stop that came was said and lifted."""
    found = led(*said)
    if consent:
        give(found, "consent", "yes")
    assert say_all(found)
    assert found.lift(REASON, NOON).taken
    assert found.now.stopped is None
    return found


def holds(found: Session) -> str | None:
    """The stop in force."""
    return found.now.stopped.name if found.now.stopped else None


def test_the_same_sign_as_the_very_next_answer_raises_it_anew() -> None:
    """Told again at once after the lift, it is told again."""
    found = lifted(("signs", "legs"))
    give(found, "signs", "legs")
    assert holds(found) == "emergency"


def test_the_last_answer_before_the_lift_does_not() -> None:
    """What was lifted is what had been said by then."""
    assert holds(lifted(("bag", "laptop"), ("signs", "legs"))) is None


@pytest.mark.parametrize("said", ["nothing", "laptop"])
def test_another_question_of_the_condition_answered_harmlessly(said: str) -> None:
    """The condition reads what they carry; that it is a laptop is no ground."""
    found = lifted(("signs", "legs"))
    give(found, "bag", said)
    give(found, "at_home", "yes")
    assert holds(found) is None
    shown = [(one.caution.name, one.lifted) for one in found.now.cautions]
    assert [(name, lift and lift.lifted) for name, lift in shown] == [("emergency", REASON)]


def test_a_sign_named_elsewhere_is_new() -> None:
    """The other part of the condition has become true."""
    found = lifted(("signs", "legs"))
    give(found, "bag", "sign_said")
    assert holds(found) == "emergency"


def test_another_sign_of_the_list_is_new() -> None:
    """It was not said when the stop was lifted, alone or beside the first."""
    for said in ("saddle", "legs, saddle"):
        found = lifted(("signs", "legs"))
        give(found, "signs", said)
        assert holds(found) == "emergency"


def test_one_of_two_signs_taken_away_is_no_ground() -> None:
    """The list shortened names the rest once more, and tells nothing new."""
    found = lifted(("signs", "legs, saddle"))
    give(found, "signs", "legs")
    assert holds(found) is None


def test_a_shortened_list_told_again_is_told_again() -> None:
    """Taking away is measured against the answer before, not against the lift."""
    found = lifted(("signs", "legs, saddle"))
    give(found, "signs", "legs")
    give(found, "signs", "legs")
    assert holds(found) == "emergency"


def test_withdrawn_and_told_again() -> None:
    """None of these, and then the sign once more, is a sign told."""
    found = lifted(("signs", "legs, saddle"))
    give(found, "signs", "none")
    assert holds(found) is None
    give(found, "signs", "saddle")
    assert holds(found) == "emergency"


def test_a_sign_that_counts_for_another_stop_leaves_this_one_lifted() -> None:
    """Each stop has its own grounds."""
    found = lifted(("signs", "legs"))
    give(found, "signs", "swollen")
    assert holds(found) == "clot"
    (emergency,) = [one for one in found.now.cautions if one.caution.name == "clot"]
    assert emergency.was_lifted is None


def test_parts_joined_by_and_each_count() -> None:
    """The stop holds through all of them: one told again is told again."""
    found = lifted(("signs", "swollen"), ("at_home", "yes"))
    give(found, "bag", "laptop")
    assert holds(found) is None
    give(found, "at_home", "no")
    assert holds(found) is None
    give(found, "at_home", "yes")
    assert holds(found) == "clot"


def test_a_number_told_again() -> None:
    """Still above the limit, a number said once more counts; one below it does not."""
    found = lifted(("signs", "none"), ("consent", "yes"), ("pain", "9"))
    give(found, "pain", "4")
    assert holds(found) is None
    give(found, "pain", "10")
    assert holds(found) == "much_pain"


def test_a_note_is_no_answer() -> None:
    """A remark beside the sign leaves the lift alone."""
    found = lifted(("consent", "yes"), ("signs", "legs"))
    found.remark(little().tree.questions["signs"], "since Monday", NOON)
    assert found.now.call.latest()["signs"].note == "since Monday"
    assert holds(found) is None
    noted = Answer("signs", "Weakness in both legs", note="again, she says")
    assert _state(found.now.call.add(noted)).stopped is not None
    give(found, "signs", "legs")
    assert holds(found) == "emergency"


def test_the_reason_is_kept_and_shown() -> None:
    """A stop that came back says why it had been lifted, and is said again."""
    found = lifted(("signs", "legs"))
    give(found, "signs", "saddle")
    (raised,) = found.now.to_say
    assert raised.lifted is None
    assert raised.was_lifted is not None
    assert raised.was_lifted.lifted == REASON
    assert say_all(found) == ["emergency"]
    assert found.lift("seen again", NOON).taken
    assert holds(found) is None
    (raised,) = found.now.cautions
    assert raised.lifted is not None
    assert raised.lifted.lifted == "seen again"
    assert raised.was_lifted is None


def test_a_lift_without_its_stop_said_counts_from_its_place() -> None:
    """In a call file, too, only answers after the lift can raise it anew."""
    call = led(("signs", "legs")).now.call
    off = replace(call, handled=()).handle("emergency", lifted=REASON)
    assert _state(off).stopped is None
    assert _state(off.add(Answer("caller_name", "Ada"))).stopped is None
    assert _state(off.add(Answer("signs", "saddle"))).stopped is not None
    early = replace(off, handled=(replace(off.handled[0], after=0),))
    assert _state(early).stopped is not None


def _state(call: Call) -> State:
    return state_so_far(little(), call)


BODY = """\
tree: little
title: A stop about the body
version: '1'
first: numb
questions:
  numb: {ask: Is your leg numb?, answer: yes-no, next: weight}
  weight:
    ask: How much do you weigh?
    coach: As the scales say.
    answer: mass
    unit: kg
    expect: 40 to 200
    measures: weight
    next: stature
  stature:
    ask: How tall are you?
    coach: Heels against a wall.
    answer: length
    unit: cm
    expect: 140 to 210
    measures: stature
    next: caller_name
  caller_name: {ask: Who is calling?, answer: text, sets: caller_name, next: end}
cautions:
  - name: about_the_body
    level: stop
    when: numb or body.weight > 150 or body.popliteal_height > 49
    say: Please <contact>.
    contact: clinician
"""


@pytest.fixture
def about_the_body(tmp_path: Path) -> Callable[..., State]:
    """The state of a call of that tree: what was said, the stop lifted, what was said after."""
    basis = small(tmp_path, BODY)

    def found(before: dict[str, str], **after: str) -> State:
        call = Call(NOON.date())
        for question, said in before.items():
            call = call.add(Answer(question, said, confirmed=True))
        assert state_so_far(basis, call).stopped is not None
        call = call.handle("about_the_body").handle("about_the_body", lifted=REASON)
        for question, said in after.items():
            call = call.add(Answer(question, said, confirmed=True))
        return state_so_far(basis, call)

    return found


def test_a_body_measured_again(about_the_body: Callable[..., State]) -> None:
    """A condition on the estimate reads the question that measures it, and no other."""
    heavy = {"numb": "no", "weight": "180 kg"}
    assert about_the_body(heavy).stopped is None
    assert about_the_body(heavy, caller_name="Ada").stopped is None
    assert about_the_body(heavy, stature="175 cm").stopped is None
    assert about_the_body(heavy, weight="181 kg").stopped is not None


def test_an_estimate_that_the_very_next_answer_makes(about_the_body: Callable[..., State]) -> None:
    """Something nobody told, and that was not so when the stop was lifted, is new."""
    assert about_the_body({"numb": "yes"}, stature="165 cm").stopped is None
    assert about_the_body({"numb": "yes"}, stature="208 cm").stopped is not None


# -- the small functions ----------------------------------------------------------------------


def test_dealt_with_last() -> None:
    """The last word on a caution counts, its own and nobody else's."""
    tree = little().tree
    emergency, clot = tree.cautions[:2]
    call = Call(NOON.date())
    assert last_handled(call, emergency) is None
    assert not latched(call, emergency)
    assert last_lift(call, emergency) is None
    call = call.handle("emergency", at=NOON).handle("clot")
    assert latched(call, emergency)
    assert said_to_caller(call, emergency) == call.handled[0]
    assert said_to_caller(call, clot) == call.handled[1]
    call = call.handle("emergency", lifted="one").handle("emergency", lifted="two")
    assert not latched(call, emergency)
    assert said_to_caller(call, emergency) is None
    assert latched(call, clot)
    lift = last_lift(call, emergency)
    assert lift is not None
    assert lift.lifted == "two"
    call = call.handle("emergency")
    assert latched(call, emergency)
    assert last_lift(call, emergency) == lift


def test_a_stop_without_a_name_is_known_only_where_one_was_marked() -> None:
    """Otherwise it would hold in every call."""
    tree = little().tree
    names = ["emergency", "clot", "unsure", "much_pain"]
    assert [one.name for one in stops_of(tree, Call(NOON.date()).handle("clot"))] == names
    marked = Call(NOON.date()).handle(WITHHELD.name)
    assert [one.name for one in stops_of(tree, marked)] == [*names, WITHHELD.name]


def test_a_mark_is_not_yet_said() -> None:
    """The first mark says that a stop was raised, the second that it was said to somebody."""
    call = Call(NOON.date()).handle(WITHHELD.name)
    assert latched(call, WITHHELD)
    assert said_to_caller(call, WITHHELD) is None
    call = call.handle(WITHHELD.name)
    assert said_to_caller(call, WITHHELD) is not None
    call = call.handle(WITHHELD.name, lifted="x").handle(WITHHELD.name)
    assert said_to_caller(call, WITHHELD) is None


def test_the_list_that_everybody_hears_comes_first() -> None:
    """The key for warning signs begins with it, wherever it stands in the tree."""
    tree = little().tree
    assert [one.name for one in warning_questions(tree)] == ["signs", "pain"]
    signs = replace(
        tree.questions["signs"], signs={"legs": ("both_legs",)}, skip_when=parse_condition("yes")
    )
    others = {name: one for name, one in tree.questions.items() if name != "signs"}
    last = replace(tree, questions={**others, "signs": signs})
    assert [one.name for one in warning_questions(last)] == ["signs", "pain"]
    bare = replace(last, questions={**others, "signs": replace(signs, signs={})})
    assert [one.name for one in warning_questions(bare)] == ["pain"]


def test_health_told_aside_from_the_way() -> None:
    """Answers about health alone, to questions of this tree, that the way does not pass."""
    call = Call(NOON.date())
    for name in ("pain", "signs", "bag", "caller_contact", "gone"):
        call = call.add(Answer(name, "x"))
    assert health_off_the_way(little().tree, call, ["signs"]) == ("pain",)
    assert health_off_the_way(little().tree, call, []) == ("pain", "signs")
