"""An exercise: the session within, the log, hints, and leading it again."""

from __future__ import annotations

import json
from datetime import timedelta
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.basis import Basis
from consult.practice.exercise import HINT_COST, Exercise
from consult.practice.log import Closed, Entered, Hinted, Lifted, Recommend, Say, log_json
from consult.practice.model import LEVELS, Persona
from consult.practice.scoring.evidence import call_of
from tests.call.calls import HOSTILE, basis_of
from tests.long import examples
from tests.practice.callers import SHIPPED, START, begun, listen, little, shipped
from tests.practice.replay import log_of, replayed

FEVER = """
truth: {sites: [back]}
behaviours:
  - name: hot
    kind: sign_in_passing
    at: name
    about: signs
    answer: fever
    says: [I am hot.]
    explain: A fever ends it.
  - name: shoes
    kind: shoes_on
    at: leg
    off: 3 cm
    explain: The shoes were on.
"""


@cache
def feverish() -> tuple[Basis, Persona]:
    """The little tree with somebody who has a fever."""
    return little(Path(mkdtemp()), FEVER)


def test_answers_go_into_the_session(tmp_path: Path) -> None:
    """What is entered counts as in a real call: in turn, out of turn, and refused with a reason."""
    exercise = begun(*little(tmp_path))
    exercise.opening()
    assert exercise.ask("name").about == "name"
    assert exercise.enter("Bea", START + timedelta(seconds=9)).taken
    assert exercise.enter("/kind: fixed", START + timedelta(seconds=20)).taken
    assert not exercise.enter("perhaps", START + timedelta(seconds=30)).taken
    said = {name: answer.said for name, answer in exercise.session.now.call.latest().items()}
    assert said == {"name": "Bea", "kind": "fixed"}
    entries = exercise.log.entries
    assert [(one.question, one.taken) for one in entries] == [
        ("name", True),
        ("kind", True),
        ("consent", False),
    ]
    assert entries[0].took == 9
    assert entries[2].tell == exercise.session.offer("perhaps", START).tell


def test_asking_out_of_turn_moves_the_answer_line(tmp_path: Path) -> None:
    """Whatever was asked is what an answer without a name belongs to."""
    exercise = begun(*little(tmp_path))
    exercise.ask("hours")
    exercise.enter("8", START)
    assert exercise.session.now.call.latest()["hours"].said == "8"
    assert exercise.session.asking is exercise.basis.tree.questions["name"]


def test_a_doubted_figure_is_confirmed_by_entering_it_again(tmp_path: Path) -> None:
    """The log tells a figure that was given back from one that was made to stand."""
    exercise = begun(*little(tmp_path))
    exercise.ask("hours")
    assert not exercise.enter("20", START).taken
    exercise.again("hours")
    assert exercise.enter("20", START).taken
    assert [one.confirmed for one in exercise.log.entries] == [False, True]


def test_a_sign_stops_the_call_and_is_said(tmp_path: Path) -> None:
    """Entered as heard, a sign said in passing stops the fitting; its words are in the log."""
    exercise = begun(*little(tmp_path, FEVER))
    turn = exercise.ask("name")
    for name, said in turn.tells.items():
        exercise.enter(f"/{name}: {said}", START)
    (raised,) = exercise.session.now.to_say
    assert exercise.say(raised, START).act == Say("feverish", "stop", raised.say)
    chair = exercise.recommend(START)
    assert chair.act == Recommend((), None, "I can't recommend a chair for you today.")
    exercise.close(START)
    assert exercise.session.now.stopped is not None
    assert not exercise.session.now.to_say


def test_a_lifted_stop_is_logged(tmp_path: Path) -> None:
    """Lifting asks for a reason, as at the desk."""
    exercise = begun(*little(tmp_path, FEVER))
    exercise.enter("/signs: fever", START)
    assert not exercise.lift(" ", START).taken
    assert exercise.lift("A slip.", START).taken
    assert exercise.log.events[-1] == Lifted("A slip.", True, START)
    assert exercise.session.now.stopped is None


def test_the_chair_of_the_session_is_recommended() -> None:
    """Parts and seat height are those worked out from what was entered."""
    exercise = begun(basis_of("seating"), shipped("for_her_mother", 1))
    listen(exercise)
    turn = exercise.recommend(START)
    assert isinstance(turn.act, Recommend)
    assert turn.act == exercise.log.recommended
    picked = exercise.session.whole().picked
    assert picked is not None
    assert turn.act.parts == tuple(part.code for part in picked.parts.values())
    fit = exercise.session.now.fit
    assert fit is not None
    assert turn.act.seat_height == fit.quantities["seat_height"]
    assert turn.adviser == turn.act.words


def test_an_ended_exercise_stays_as_it_is(tmp_path: Path) -> None:
    """After the end nothing can be done; ending it again gives the same."""
    exercise = begun(*little(tmp_path))
    exercise.opening()
    assert exercise.opening() is exercise.turns[0]
    exercise.close(START)
    assert exercise.over
    log = exercise.log
    exercise.close(START + timedelta(1))
    assert exercise.log == log
    assert isinstance(log.events[-1], Closed)
    for act in (exercise.hint, lambda: exercise.ask("name"), lambda: exercise.enter("x", START)):
        with pytest.raises(ValueError, match="This exercise is finished"):
            act()


def test_hints_say_what_is_most_urgent(tmp_path: Path) -> None:
    """A warning before a sign heard, that before a doubtful figure, that before a question."""
    exercise = begun(*little(tmp_path, FEVER))
    assert exercise.hint().text == "Ask now: Who is it?"
    exercise.ask("leg")
    assert "The shoes were on." in exercise.hint().text
    exercise.ask("name")
    assert exercise.hint().question == "signs"
    exercise.enter("/signs: fever", START)
    assert exercise.hint().text.startswith("A caution must be read out now: Please ring")
    exercise.say(exercise.session.now.to_say[0], START)
    assert exercise.hint().text.startswith("Product advice has stopped and nothing is left to ask.")
    assert [one.cost for one in exercise.log.hints] == [HINT_COST] * 5


def test_a_hint_reminds_of_a_sign_that_was_denied_first(tmp_path: Path) -> None:
    """The answer entered before the remark does not hold the sign; one entered after it does."""
    exercise = begun(
        *little(tmp_path, FEVER.replace("    says: [I", "    denied_first: yes\n    says: [I"))
    )
    exercise.opening()
    exercise.enter("/signs: none", START)
    exercise.ask("name")
    assert exercise.hint().question == "signs"
    exercise.enter("/signs: fever", START)
    assert exercise.hint().text.startswith("A caution must be read out now")


def test_a_hint_reminds_of_what_was_answered(tmp_path: Path) -> None:
    """Who asked and did not enter is told so; at the end, that everything was asked."""
    exercise = begun(*little(tmp_path))
    exercise.ask("name")
    assert exercise.hint().text == "The caller answered. Enter what you heard: Name."
    listen(exercise)
    assert exercise.hint().text == "Everything was asked. Recommend the chair, and end the call."


def test_after_a_stop_there_is_nothing_to_do_but_end_the_call(tmp_path: Path) -> None:
    """A figure that was wrong no longer matters then."""
    exercise = begun(*little(tmp_path, FEVER))
    exercise.ask("leg")
    listen(exercise)
    assert exercise.session.now.stopped is not None
    assert exercise.hint().text.startswith("Product advice has stopped and nothing is left to ask.")


@pytest.mark.parametrize("text", HOSTILE)
def test_no_entry_breaks_the_log(text: str, tmp_path: Path) -> None:
    """Whatever is typed is kept as typed, through JSON too."""
    exercise = begun(*little(tmp_path))
    exercise.enter(text, START)
    assert log_of(json.loads(json.dumps(log_json(exercise.log)))) == exercise.log
    assert exercise.log.entries[0].said == text


QUESTIONS = st.sampled_from(
    ["name", "consent", "sites", "signs", "leg", "stature", "hours", "kind"]
)
DEEDS = st.lists(
    st.one_of(
        st.tuples(st.sampled_from(["ask", "coach", "again"]), QUESTIONS),
        st.tuples(
            st.just("enter"),
            st.one_of(
                st.sampled_from(
                    ["yes", "41", "16 in", "back", "none", "/signs: fever", "/leg", "?"]
                ),
                st.text(max_size=12),
            ),
        ),
        st.tuples(st.just("told"), st.just("")),
        st.tuples(st.sampled_from(["say", "hint", "lift", "recommend"]), st.just("A reason.")),
    ),
    max_size=14,
)


@settings(max_examples=examples(60), deadline=None)
@given(DEEDS, st.sampled_from(LEVELS), st.integers(0, 5), st.booleans())
def test_a_log_is_led_again_to_the_same(
    deeds: list[tuple[str, str]], level: str, seed: int, closes: bool
) -> None:
    """Whatever was done in whatever order: JSON and back is the log, and led again it is too."""
    basis, persona = feverish()
    exercise = Exercise(basis, persona, seed, level, START)  # type: ignore[arg-type]
    exercise.opening()
    for number, (deed, what) in enumerate(deeds):
        _do(exercise, deed, what, number)
    if closes:
        exercise.close(START + timedelta(hours=1))
    log = log_of(json.loads(json.dumps(log_json(exercise.log))))
    assert log == exercise.log
    again = replayed(basis, persona, log)
    assert again.log == log
    assert again.session.now.call == exercise.session.now.call


def _do(exercise: Exercise, deed: str, what: str, number: int) -> None:
    at = START + timedelta(seconds=7 * number)
    match deed:
        case "ask":
            exercise.ask(what, at)
        case "coach":
            exercise.coach(what)
        case "again":
            exercise.again(what)
        case "enter":
            exercise.enter(what, at)
        case "told":
            for name, said in exercise.turns[-1].tells.items():
                exercise.enter(f"/{name}: {said}", at)
        case "say":
            for raised in exercise.session.now.to_say[:1]:
                exercise.say(raised, at)
        case "hint":
            exercise.hint()
        case "lift":
            exercise.lift(what, at)
        case "recommend":
            exercise.recommend(at)


@pytest.mark.parametrize("name", ["short_and_mixed", "falling_to_bits", "for_her_mother"])
def test_whole_calls_are_led_again_to_the_same(name: str) -> None:
    """The log of a whole call with a shipped caller leads to the same call."""
    basis, persona = basis_of(SHIPPED[name].tree), shipped(name, 1)
    exercise = begun(basis, persona)
    listen(exercise)
    exercise.close(START)
    log = log_of(json.loads(json.dumps(log_json(exercise.log))))
    assert replayed(basis, persona, log).log == log


def test_a_caution_that_nothing_raises_cannot_be_led_again(tmp_path: Path) -> None:
    """A log of another tree is refused in words."""
    exercise = begun(*little(tmp_path, FEVER))
    exercise.enter("/signs: fever", START)
    exercise.say(exercise.session.now.to_say[0], START)
    data = log_json(exercise.log)
    data["events"] = [one for one in data["events"] if one["event"] != "entered"]
    with pytest.raises(ValueError, match="which nothing raises now"):
        replayed(exercise.basis, exercise.persona, log_of(data))


def test_every_kind_of_event_is_logged(tmp_path: Path) -> None:
    """Turns, entries, hints and the end stand in the order they came."""
    exercise = begun(*little(tmp_path))
    exercise.opening()
    exercise.hint()
    exercise.enter("Bea", START)
    exercise.close(START)
    kinds = [type(event).__name__ for event in exercise.log.events]
    assert kinds == ["Spoke", "Hinted", "Entered", "Spoke", "Closed"]
    assert isinstance(exercise.log.events[1], Hinted)
    assert isinstance(exercise.log.events[2], Entered)
    assert exercise.log.closed == START


@pytest.mark.parametrize("keys", [("five two", "y"), ("5.2", "b"), ("five two", "five two")])
def test_a_reading_that_was_taken_is_in_the_log(keys: tuple[str, str]) -> None:
    """What a y or a letter took is logged as it was recorded, and is led again to the same."""
    name = next(name for name, one in SHIPPED.items() if one.tree == "seating")
    basis, persona = basis_of("seating"), shipped(name, 1)
    exercise = begun(basis, persona)
    exercise.opening()
    first, second = keys
    assert not exercise.enter(f"/stature {first}", START + timedelta(seconds=9)).taken
    again = f"/stature {second}" if second == first else second
    assert exercise.enter(again, START + timedelta(seconds=20)).taken
    answers = exercise.session.now.call.answers
    assert answers[-1].question == "stature"
    made = [(one.question, one.said) for one in call_of(basis, exercise.log).answers]
    assert made == [(one.question, one.said) for one in answers]
    assert replayed(basis, persona, log_of(log_json(exercise.log))).log == exercise.log
