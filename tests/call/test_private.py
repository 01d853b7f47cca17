"""A list that everybody hears works in the call; without consent nothing of it is stored."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.call import (
    READ_OUT,
    UNTOLD,
    Answer,
    Call,
    marked_stopped,
    private_of,
    without_health,
)
from consult.call.session import Session
from consult.call.stops import WITHHELD
from consult.call.transcript import write_transcript
from consult.summary.model import summarise
from consult.summary.render import render
from tests.call.calls import seating
from tests.call.signs import NOON, again, give, led, little, say_all

SIGNS = ("none", "legs", "saddle", "swollen", "ache", "not_sure", "legs, saddle", "saddle, ache")
OTHERS = {
    "caller_name": ("Ada", "Bo"),
    "bag": ("nothing", "laptop"),
    "at_home": ("yes", "no"),
    "consent": ("no",),
    "delivery_country": ("germany", "?"),
    "caller_contact": ("ring me",),
}


def stored(found: Session) -> Call:
    """What another desk finds of this call."""
    return without_health(little().tree, found.now.call)


def test_a_stop_comes_without_consent_asked_or_given() -> None:
    """Before consent was asked, and after it was refused, a sign ends the advice."""
    for before in ((), (("consent", "no"),)):
        found = led(*before, ("signs", "legs"))
        assert found.now.stopped is not None
        assert say_all(found) == ["emergency"]
        assert found.asking is not None
        assert found.asking.name == "caller_contact"


def test_a_referral_comes_after_refusal_though_told_out_of_turn() -> None:
    """What everybody is asked counts for a referral, too, refused or not, on the way or not."""
    found = led(("consent", "no"), ("bag", "sign_said"), ("signs", "ache"))
    names = [one.caution.name for one in found.now.cautions]
    assert "aching" in names


def test_what_everybody_is_asked_is_the_only_exception_after_refusal() -> None:
    """Another health answer, told in spite of a refusal, leads to a stop and to nothing less."""
    found = led(("signs", "none"), ("consent", "no"), ("pain", "10"))
    assert [one.caution.name for one in found.now.cautions] == ["much_pain"]


def test_the_mark_says_only_that_the_list_was_read() -> None:
    """Whatever was answered, the same mark is stored, once, with no seconds."""
    marks = set()
    for said in SIGNS:
        found = led(("caller_name", "Ada"), ("signs", said), ("signs", "none"), ("consent", "no"))
        kept = stored(found).answers
        assert [one.question for one in kept] == ["caller_name", "signs", "consent"]
        assert (kept[1].said, kept[1].took, kept[1].note) == (READ_OUT, None, "")
        marks.add(kept[1])
    assert len(marks) == 1


def test_a_mark_counts_as_asked_and_not_known() -> None:
    """A stored call goes on after the list, and no condition reads an answer into the mark."""
    now = again(stored(led(("caller_name", "Ada"), ("signs", "none"), ("consent", "no"))))
    assert now.current is not None
    assert now.current.name == "bag"
    step = now.step("signs")
    assert step is not None
    assert step.status == "unknown"
    assert now.stopped is None


def test_a_mark_cannot_be_typed() -> None:
    """Nobody passes the list by typing what is stored in place of an answer."""
    found = led(("caller_name", "Ada"))
    assert found.asking is not None
    assert found.asking.name == "signs"
    assert not found.offer(READ_OUT, NOON).taken


def test_a_stop_is_marked_when_it_arises() -> None:
    """Broken off before the caution was said, the stored call is stopped and says so again."""
    found = led(("caller_name", "Ada"), ("signs", "saddle"))
    assert found.now.to_say
    call = stored(found)
    assert [(one.caution, one.lifted) for one in call.handled] == [("", "")]
    resumed = Session(little(), call, NOON)
    assert resumed.now.stopped is WITHHELD
    assert resumed.asking is not None
    assert resumed.asking.name == "caller_contact"
    assert say_all(resumed) == [WITHHELD.name]
    assert resumed.now.to_say == ()
    assert again(stored(resumed)).stopped is WITHHELD


def test_a_list_not_answered_is_asked_again() -> None:
    """A stop that came from elsewhere leaves the list open for after it was lifted."""
    found = led(("caller_name", "Ada"), ("consent", "no"), ("pain", "10"))
    resumed = Session(little(), stored(found), NOON)
    assert resumed.now.stopped is WITHHELD
    assert resumed.lift("a slip", NOON).taken
    assert resumed.asking is not None
    assert resumed.asking.name == "signs"


def test_the_running_call_says_why_and_not_that_it_was_not_stored() -> None:
    """At the desk where the sign was told the stop keeps its own words."""
    found = led(("signs", "legs"))
    say_all(found)
    assert [one.caution.name for one in found.now.cautions] == ["emergency"]


def test_lifting_lifts_the_mark_as_well() -> None:
    """After a lift nothing of the stop is left, here or for another desk; the reason is untold."""
    found = led(("signs", "legs"))
    say_all(found)
    assert found.lift("her doctor rang", NOON).taken
    assert found.now.stopped is None
    marks = [(one.caution, one.lifted) for one in stored(found).handled]
    assert marks == [("", ""), ("", UNTOLD)]
    assert again(stored(found)).stopped is None


def test_a_stop_told_again_after_a_lift_is_marked_again() -> None:
    """Raised anew, it is on disk anew before it is said."""
    found = led(("signs", "legs"))
    say_all(found)
    found.lift("a slip", NOON)
    give(found, "signs", "legs")
    assert again(stored(found)).stopped is WITHHELD


def test_two_stops_leave_one_mark() -> None:
    """How many signs were told is nobody's business."""
    one, two = led(("signs", "legs")), led(("signs", "legs, swollen, not_sure"))
    assert say_all(one) == ["emergency"]
    # The others hold as well; only whom to ring first is said.
    assert say_all(two) == ["emergency"]
    assert stored(one).handled == stored(two).handled


def test_a_reason_for_lifting_a_stop_without_a_name_is_untold_too() -> None:
    """It may tell of health like any other."""
    resumed = Session(little(), stored(led(("signs", "legs"))), NOON)
    resumed.lift("the numbness is gone", NOON)
    assert "numbness" not in repr(stored(resumed))


def test_with_consent_nothing_is_marked_and_withdrawing_it_marks() -> None:
    """Consent makes the answer itself the trace; taken back, the mark takes its place."""
    found = led(("consent", "yes"), ("signs", "legs"))
    assert found.now.call.handled == ()
    give(found, "consent", "no")
    assert again(stored(found)).stopped is WITHHELD


def test_other_health_leaves_nothing_and_places_are_kept() -> None:
    """An ordinary health answer or a referral leaves no mark; a stop stays at its place."""
    found = led(("caller_name", "Ada"), ("pain", "3"), ("lasting", "yes"), ("signs", "ache"))
    assert say_all(found) == ["aching", "lasting_long"]
    give(found, "signs", "legs")
    give(found, "at_home", "yes")
    kept = stored(found)
    assert [one.question for one in kept.answers] == ["caller_name", "signs", "at_home"]
    assert [(one.caution, one.after) for one in kept.handled] == [("", 2)]


def test_a_stop_is_marked_once() -> None:
    """However much is said after it."""
    found = led(("signs", "legs"), ("bag", "laptop"), ("at_home", "yes"))
    assert [one.caution for one in found.now.call.handled] == [""]


def test_marked_stopped_follows_the_last_mark() -> None:
    """Raised, lifted, and raised again."""
    private = private_of(little().tree)
    call = Call(NOON.date())
    assert not marked_stopped(private, call.handled)
    call = call.handle("aching")
    assert not marked_stopped(private, call.handled)
    call = call.handle("emergency")
    assert marked_stopped(private, call.handled)
    call = call.handle("clot").handle("emergency", lifted="slip")
    assert marked_stopped(private, call.handled)
    call = call.handle("clot", lifted="slip")
    assert not marked_stopped(private, call.handled)


COURSES = st.lists(
    st.one_of(
        st.tuples(st.just("signs"), st.tuples(st.sampled_from(SIGNS), st.sampled_from(SIGNS))),
        *(
            st.tuples(st.just(name), st.sampled_from(said).map(lambda one: (one, one)))
            for name, said in OTHERS.items()
        ),
    ),
    max_size=8,
)


@settings(deadline=None)
@given(COURSES)
def test_the_same_is_written_whatever_the_list_was_answered(
    course: list[tuple[str, tuple[str, str]]],
) -> None:
    """Two callers who differ only in the signs they named leave the same bytes, stop marks aside.

    Call file, summary and its text; the tables and the recovery file: tests/records/test_signs.py.
    """
    written = []
    for who in (0, 1):
        found = led(*((name, said[who]) for name, said in course))
        say_all(found)
        kept = stored(found)
        unmarked = Call(kept.today, kept.system, kept.country, kept.answers)
        now = again(unmarked)
        found_now = summarise(little(), now)
        paper = render(little(), found_now, "text", "metric", "file")
        written.append((write_transcript(unmarked, "little", ""), found_now.as_json(), paper))
        assert (again(kept).stopped is None) == (found.now.stopped is None)
    assert written[0] == written[1]


def test_health_under_a_name_of_before_is_private() -> None:
    """An answer about health from before its question was renamed is stored no more than others."""
    sore = next(q for q in seating().tree.questions.values() if q.private == "health" and q.called)
    old = sore.called[0].replace(" ", "_")
    call = Call(NOON.date(), answers=(Answer(old, "yes"), Answer("stature", "170 cm")))
    left = without_health(seating().tree, call).answers
    assert [one.question for one in left if one.said == "yes"] == []
    assert "stature" in [one.question for one in left]
