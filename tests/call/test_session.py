"""A call led without a screen: order, facts out of turn, cautions, trials and time."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.ahead import Coming, WorkedOut
from consult.call.call import Call
from consult.call.offer import Trial, TrialChange
from consult.call.session import Session
from consult.call.stops import SIGN_HEARD
from tests.call.calls import HOSTILE, TODAY, seating
from tests.long import every_case, examples

NOON = datetime(2026, 11, 25, 12, 0)
START = ("Ada", "caller", "first chair", "yes", "none", "none", "none")
"""A call up to the stature."""


def at(seconds: float = 0) -> datetime:
    return NOON + timedelta(seconds=seconds)


def session(*said: str) -> Session:
    """A call in which this was said to the questions as they came."""
    found = Session(seating(), Call(TODAY), NOON)
    for one in said:
        reply = found.offer(one, NOON)
        assert reply.taken, reply
    return found


def asked(found: Session) -> str | None:
    question = found.asking
    return question.name if question else None


def test_a_fact_out_of_turn_is_not_asked_again() -> None:
    """What a caller volunteers is taken by name, and its question is not put afterwards."""
    found = session(*START)
    turn = asked(found)
    assert found.offer("/lower leg 41 cm", NOON).taken
    assert asked(found) == turn
    seen = []
    for _ in range(6):
        seen.append(asked(found))
        found.offer("?", NOON)
    assert "lower_leg" not in seen
    assert found.now.call.latest()["lower_leg"].said == "41 cm"


def test_a_name_alone_goes_to_its_question() -> None:
    """ "/heel" asks about the heel now, and the call goes on afterwards where it was."""
    found = session(*START)
    turn = asked(found)
    assert found.offer("/heel", NOON).taken
    assert asked(found) == "heel"
    assert found.offer("3 cm", NOON).taken
    assert asked(found) == turn


def test_a_name_that_is_none_is_given_back() -> None:
    """Nothing is guessed: the adviser is told the nearest name."""
    found = session(*START)
    reply = found.offer("/lowr leg 41", NOON)
    assert not reply.taken
    assert "lower leg" in reply.tell
    assert found.now.call.answers == session(*START).now.call.answers


def test_two_slashes_stand_for_one() -> None:
    """A text that begins with a slash can be kept all the same."""
    found = Session(seating(), Call(TODAY), NOON)
    assert found.offer("//etc/passwd", NOON).taken
    assert found.now.caller_name == "/etc/passwd"


def test_a_fact_whose_question_is_not_reached_counts_later() -> None:
    """The lowest setting of a desk that nobody called adjustable waits until somebody does."""
    found = session(*START)
    reply = found.offer("/desk lowest 62 cm", NOON)
    assert reply.taken
    assert "when the call reaches" in reply.tell
    assert found.now.workplace.desk.lowest is None
    found.offer("/desk kind adjustable", NOON)
    assert found.now.workplace.desk.lowest == 620


def test_an_odd_fact_out_of_turn_stands_when_typed_twice() -> None:
    """By name, too, an odd measure is given back once."""
    found = session(*START, "5ft 2", "/origin measured")
    assert not found.offer("/lower leg 51 cm", NOON).taken
    assert found.offer("/lower leg 51 cm", NOON).taken
    assert found.now.call.latest()["lower_leg"].confirmed


def test_warning_signs_at_any_time() -> None:
    """The signs are asked now, one after the other, and the call goes on where it was."""
    found = session("Ada", "caller")
    turn = asked(found)
    found.ask_warnings()
    lists = []
    while asked(found) != turn:
        lists.append(asked(found))
        assert found.offer("none of these" if lists[-1] != "pain_sites" else "neck", NOON).taken
    assert "warning_signs" in lists
    assert "pain_signs" in lists


def test_a_sign_said_before_consent_stops_the_call() -> None:
    """A stop out of turn is to be said, ends the questions out of turn, and leaves no fit."""
    found = session("Ada", "caller")
    found.ask_warnings()
    while asked(found) != "warning_signs":
        found.offer("neck", NOON)
    assert found.offer("chest", NOON).taken
    (stop,) = [one for one in found.now.to_say if one.caution.level == "stop"]
    assert found.now.fit is None
    assert asked(found) == "with_somebody"
    found.said(stop, at(5))
    assert found.now.to_say == ()
    assert found.now.call.handled[-1].at == at(5)


def test_a_sign_of_a_later_question_ends_the_questions_before_it() -> None:
    """A sign told before its own question came: nothing is asked any more but how to get back."""
    desk = session("Ada", "caller", "feet", "yes", "none")
    reply = desk.offer("/pregnant_now swelled_suddenly", at())
    assert reply.taken
    assert desk.now.stopped is not None
    open_now = [one.name for one in desk.now.to_ask]
    assert open_now == ["with_somebody", "call_back_number"]


def test_lifting_needs_a_reason_and_a_stop() -> None:
    """Blank reasons lift nothing; nor is there anything to lift in a call without a stop."""
    assert not session(*START).lift("because", NOON).taken
    found = session("Ada", "young person")
    found.said(found.now.to_say[0], NOON)
    assert not found.lift("  ", NOON).taken
    assert found.now.stopped is not None
    assert found.lift("typed by mistake", at(9)).taken
    assert found.now.stopped is None
    assert found.now.to_say == ()
    raised = found.now.cautions[0]
    assert raised.lifted is not None
    assert (raised.lifted.lifted, raised.lifted.at) == ("typed by mistake", at(9))


def test_a_trial_records_nothing() -> None:
    """What would change is told; the call is the very same afterwards."""
    found = session(*START, "5ft 2", "/origin measured", "9st 4")
    found.offer("/desk kind fixed", NOON)
    found.offer("/desk height 76 cm", NOON)
    now = found.now
    trial = found.trial("/desk height 66 cm")
    assert isinstance(trial, Trial)
    assert found.now is now
    assert any(one.topic == "Seat height" for one in trial.found)


def test_a_trial_of_an_odd_measure_says_so() -> None:
    """It is shown with what makes it odd, and still records nothing."""
    found = session(*START, "5ft 2", "/origin measured")
    trial = found.trial("/lower leg 51 cm")
    assert isinstance(trial, Trial)
    assert trial.odd
    assert "lower_leg" not in found.now.call.latest()


def test_a_trial_of_a_sign_shows_the_stop_first() -> None:
    """And leaves the call unstopped."""
    found = session("Ada", "caller", "first chair", "yes")
    trial = found.trial("chest")
    assert isinstance(trial, Trial)
    assert isinstance(trial.found[0], TrialChange)
    assert trial.found[0].topic == "STOP"
    assert found.now.stopped is None
    assert found.now.to_say == ()


def test_what_cannot_be_tried_is_said() -> None:
    """Nothing typed, nonsense, an unknown name: a sentence, never a trial."""
    found = session("Ada")
    for typed in ("", "  ", "hippopotamus", "/nonsense 5", "/desk height"):
        told = found.trial(typed)
        assert isinstance(told, str)
        assert told


def test_a_note_stands_beside_its_answer() -> None:
    """A note changes no answer, stays when the answer is amended, and can be changed."""
    found = session(*START, "5ft 2")
    stature = seating().tree.questions["stature"]
    found.remark(stature, "[she] read it off\nher passport", NOON)
    latest = found.now.call.latest()["stature"]
    assert (latest.said, latest.note) == ("5ft 2", "[she] read it off\nher passport")
    found.ask(stature)
    assert found.offer("5ft 3", NOON).taken
    latest = found.now.call.latest()["stature"]
    assert (latest.said, latest.note) == ("5ft 3", "[she] read it off\nher passport")


def test_time_is_kept_per_question_without_holds() -> None:
    """Each answer knows how long its question was before the adviser."""
    found = Session(seating(), Call(TODAY), NOON)
    found.offer("Ada", at(10))
    found.hold(at(15))
    found.go_on(at(1000))
    found.offer("caller", at(1010))
    assert [one.took for one in found.now.call.answers] == [10, 15]


def test_what_is_given_back_does_not_stop_the_watch() -> None:
    """An answer that had to be mended counts from when the question was put."""
    found = Session(seating(), Call(TODAY), NOON)
    found.offer("Ada", at(10))
    assert not found.offer("hippopotamus", at(20)).taken
    found.offer("caller", at(40))
    assert found.now.call.answers[-1].took == 30


def test_a_late_chair_is_not_taken() -> None:
    """A chair worked out for an earlier state changes nothing."""
    found = session(*START)
    old = found.now
    found.offer("5ft 2", NOON)
    now = found.now
    assert not found.take_in(old, WorkedOut(old, Coming((), 0.0), (), ""))
    assert found.now is now


def test_units_turn_round() -> None:
    """Metric, imperial, both, and round again; no answer changes."""
    found = session("Ada")
    seen = []
    for _ in range(3):
        found.turn_units()
        seen.append(found.now.call.system)
    assert seen == ["imperial", "both", "metric"]
    assert [one.said for one in found.now.call.answers] == ["Ada"]


TYPED = st.one_of(
    st.text(max_size=30),
    st.sampled_from([*HOSTILE[:20], "yes", "no", "1", "2", "?", "/desk 73", "/signs", "//", "/"]),
    st.text(max_size=15).map(lambda text: f"/{text}"),
)


@settings(max_examples=examples(60), deadline=None)
@given(st.lists(st.tuples(st.sampled_from("oooootlwbrsu"), TYPED), max_size=25))
def test_nothing_typed_loses_an_answer(turns: list[tuple[str, str]]) -> None:
    """Whatever is typed and done, answers are only ever added, and nothing raises."""
    found = Session(seating(), Call(TODAY), NOON)
    for what, typed in turns:
        answers = found.now.call.answers
        match what:
            case "o":
                found.offer(typed, NOON)
            case "t":
                found.trial(typed)
            case "l":
                found.lift(typed, NOON)
            case "w":
                found.ask_warnings()
            case "b":
                found.back()
            case "r":
                found.remark(seating().tree.questions["caller_name"], typed, NOON)
            case "s":
                for raised in found.now.to_say:
                    found.said(raised, NOON)
            case "u":
                found.turn_units()
        assert found.now.call.answers[: len(answers)] == answers


@every_case(HOSTILE)
def test_a_text_is_kept_to_the_character(text: str) -> None:
    """A name of any characters is kept as it was typed."""
    found = Session(seating(), Call(TODAY), NOON)
    reply = found.offer(text, NOON)
    if reply.taken and not text.startswith("/"):
        assert found.now.call.answers[0].said == text


@every_case(
    [
        ("carpet, oh and my left calf's been swollen and hot since the flight", True),
        ("no, though my foot goes numb", True),
        ("I had an operation on the hip", True),
        ("I can’t pee since Tuesday", True),
        ("a number of things", False),
        ("carpet, my back hurts a bit", False),
    ]
)
def test_a_sign_in_passing_reminds_of_the_list(said: str, reminds: bool) -> None:
    """Whatever is asked; it is taken for no answer, and at the list itself nothing is told."""
    held = session(*START)
    floor = seating().tree.questions["floor"]
    held.ask(floor)
    reply = held.offer(said, NOON)
    assert (SIGN_HEARD in reply.tell) is reminds, reply
    assert held.now.call.latest()["warning_signs"].said == "none"


def test_an_answer_that_is_taken_reminds_too() -> None:
    held = Session(seating(), Call(TODAY), NOON)
    reply = held.offer("Ada, I'm pregnant", NOON)
    assert reply.taken
    assert SIGN_HEARD in reply.tell
    at_list = session(*START)
    at_list.ask(seating().tree.questions["warning_signs"])
    assert SIGN_HEARD not in str(at_list.offer("pregnant perhaps", NOON))
