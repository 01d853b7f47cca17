"""Stops hold: until lifted with a reason, whatever is amended, whenever the sign was mentioned."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.call import READ_OUT, UNTOLD, Answer, Call, without_health
from consult.call.state import State, state_so_far
from consult.call.stops import grounds, items, warning_questions
from consult.tree.condition import parse_condition
from consult.tree.nodes import Value
from tests.call.calls import call_of, seating, whole_call
from tests.long import every_case, examples

BEFORE = {
    "caller_name": "Ada",
    "who_sits": "caller",
    "reasons": "first chair",
    "sex": "female",
    "consent": "yes",
    "pain_sites": "lower back",
    "warning_signs": "both_legs",
}
STOP = "emergency_sign"


def so_far(call: Call) -> State:
    return state_so_far(seating(), call)


def said(call: Call, question: str, words: str) -> Call:
    return call.add(Answer(question, words))


def test_a_slip_is_not_undone_by_amending() -> None:
    """Once the stop was said, another answer alone does not bring product advice back."""
    call = call_of(BEFORE).handle(STOP)
    call = said(call, "warning_signs", "none")
    now = so_far(call)
    assert now.stopped is not None
    assert now.stopped.name == STOP
    assert now.fit is None
    assert now.current is not None
    assert now.current.name == "with_somebody"
    assert now.cautions[0].caution.name == STOP


def test_a_stop_not_said_yet_goes_with_its_answer() -> None:
    """Amended before it was said to the caller, nothing was stopped."""
    assert so_far(said(call_of(BEFORE), "warning_signs", "none")).stopped is None


def test_lifted_with_a_reason() -> None:
    """A stop that was lifted lets the call go on where it was; the caution itself stays seen."""
    call = call_of(BEFORE).handle(STOP).handle(STOP, lifted="has seen her doctor since")
    now = so_far(call)
    assert now.stopped is None
    assert now.fit is not None
    (raised,) = [one for one in now.cautions if one.caution.name == STOP]
    assert raised.lifted is not None
    assert raised.lifted.lifted == "has seen her doctor since"
    assert now.current is not None
    assert now.current.name == "pain_signs"


def test_a_later_answer_raises_it_anew() -> None:
    """What was lifted before is no licence for what the caller says afterwards."""
    call = call_of(BEFORE).handle(STOP).handle(STOP, lifted="a slip of the finger")
    call = said(call, "warning_signs", "none")
    assert so_far(call).stopped is None
    call = said(call, "warning_signs", "saddle")
    assert so_far(call).stopped is not None
    assert so_far(said(call, "stature", "170 cm")).stopped is not None


def test_a_lift_outlasts_other_answers() -> None:
    """Answers to other questions do not bring a lifted stop back."""
    call = call_of(BEFORE).handle(STOP).handle(STOP, lifted="cleared")
    assert so_far(said(call, "pain_signs", "none")).stopped is None


def test_a_sign_mentioned_before_consent_stops() -> None:
    """A warning sign out of turn, before health was even asked about, ends product advice."""
    call = call_of({"caller_name": "Ada", "warning_signs": "chest"})
    now = so_far(call)
    assert now.stopped is not None
    assert now.fit is None
    assert now.current is not None
    assert now.current.name == "with_somebody"


def test_a_sign_mentioned_after_refusing_consent_stops() -> None:
    """Refused consent keeps health out of the records, not out of what is safe to advise."""
    call = call_of({**BEFORE, "consent": "no"})
    now = so_far(call)
    assert now.stopped is not None
    assert now.current is not None
    assert now.current.name == "with_somebody"


def test_nothing_about_health_is_kept_of_a_stop_without_consent() -> None:
    """That it was stopped is kept, its name, its answers and the reason it was lifted are not."""
    tree = seating().tree
    call = call_of({**BEFORE, "consent": "no"}).handle(STOP)
    kept = without_health(tree, call)
    assert {answer.question for answer in kept.answers} == set(BEFORE) - {"pain_sites"}
    assert kept.latest()["warning_signs"].said == READ_OUT
    (one,) = kept.handled
    assert (one.caution, one.after) == ("", len(kept.answers))
    again = so_far(kept)
    assert again.stopped is not None
    assert again.fit is None
    lifted = without_health(tree, call.handle(STOP, lifted="no more numb legs"))
    assert [one.lifted for one in lifted.handled] == ["", UNTOLD]
    assert so_far(lifted).stopped is None


def test_referrals_said_are_not_kept_without_consent() -> None:
    """A referral that tells of health leaves no trace; a caution about the desk stays."""
    call, tree = call_of(BEFORE), seating().tree
    health = {one.name for one in warning_questions(tree)}
    named = {one.name for one in tree.cautions if one.when.names & health or one.level == "refer"}
    for name in sorted(named):
        call = call.handle(name)
    kept = without_health(tree, call.handle("desk_reach_crossed"))
    stops = {one.name for one in tree.cautions if one.level == "stop"}
    assert {one.caution for one in kept.handled} - stops == {"", "desk_reach_crossed"}


def test_warning_questions_are_about_health_and_read_by_a_stop() -> None:
    """The key for warning signs leads to the lists that are read out, not to the caller's age."""
    names = [one.name for one in warning_questions(seating().tree)]
    assert "warning_signs" in names
    assert "pain_signs" in names
    assert "who_sits" not in names
    # Asked only of those whose knees hurt, and no list.
    assert "knees_when" not in names


@settings(max_examples=examples(40), deadline=None)
@given(whole_call(seating()), st.integers(0, 60), st.integers(0, 60))
def test_no_advice_while_any_stop_holds(answers: dict[str, str], first: int, second: int) -> None:
    """Whatever is said, and in whatever order, a stop that was told holds until it is lifted."""
    pairs = list(answers.items())
    first = first % len(pairs)
    turned = [*pairs[first:], *pairs[:first]]
    stops = [one for one in seating().tree.cautions if one.level == "stop"]
    stop = stops[second % len(stops)]
    now = so_far(call_of(turned).handle(stop.name))
    assert now.stopped is not None
    assert now.fit is None
    assert now.advice == ()


# -- through what a condition is true -------------------------------------------------------------

KNOWN: dict[str, Value | None] = {
    "signs": frozenset({"legs", "saddle"}),
    "place": "office",
    "home": True,
    "pain": 8.0,
    "body.weight": 120.0,
    "away": None,
}
NAMES = set(KNOWN)


def through(text: str, **others: Value | None) -> set[tuple[str, object]]:
    """The grounds of a condition as things are known."""
    known = KNOWN | others
    return set(grounds(parse_condition(text).resolve(NAMES).node, known.get))


@every_case(
    [
        ("legs in signs", {("signs", "legs")}),
        ("swollen in signs", set()),
        ("legs in signs or swollen in signs", {("signs", "legs")}),
        ("legs in signs or saddle in signs", {("signs", "legs"), ("signs", "saddle")}),
        ("legs in signs and home", {("signs", "legs"), ("home", True)}),
        ("legs in signs and not home", set()),
        ("signs != none", {("signs", "legs"), ("signs", "saddle")}),
        ("swollen not in signs", {("signs", "legs"), ("signs", "saddle")}),
        ("not (swollen in signs)", {("signs", "legs"), ("signs", "saddle")}),
        ("not (swollen in signs or home == no)", {*through("signs != none"), ("home", True)}),
        ("not (legs in signs and home == no)", {("home", True)}),
        ("place == office", {("place", "office")}),
        ("place != here", {("place", "office")}),
        ("home", {("home", True)}),
        ("pain >= 7", {("pain", None)}),
        ("7 <= pain < 9", {("pain", None)}),
        ("pain >= 9", set()),
        ("known(pain)", {("pain", None)}),
        ("body.weight > 100", {("body.weight", None)}),
        ("away == office", set()),
        ("not known(away)", set()),
        ("home or away == office", {("home", True)}),
        ("yes", set()),
    ]
)
def test_grounds(text: str, expected: set[tuple[str, object]]) -> None:
    """Parts that are true count, with the choices they are true through."""
    assert through(text) == expected


def test_items() -> None:
    """Choices are told apart; of a number there is only that it was said."""
    assert items(None) == frozenset()
    assert items(frozenset({"a", "b"})) == {"a", "b"}
    assert items("a") == {"a"}
    assert items(False) == {False}
    assert items(7.5) == items(8.0) == {None}


@given(
    st.frozensets(st.sampled_from(["legs", "saddle", "swollen"])),
    st.sampled_from([True, False, None]),
    st.sampled_from(
        [
            "legs in signs or saddle in signs and home",
            "not (legs in signs or home)",
            "signs != legs and (home or swollen in signs)",
        ]
    ),
)
def test_only_what_is_true_has_grounds(signs: frozenset[str], home: bool | None, text: str) -> None:
    """A condition that is false or not known is true through nothing; grounds are known things."""
    condition = parse_condition(text).resolve(NAMES)
    known: dict[str, Value | None] = {"signs": signs, "home": home}
    found = grounds(condition.node, known.get)
    if condition.evaluate(known.get) is not True:
        assert not found
    assert all(item in items(known[name]) for name, item in found)
