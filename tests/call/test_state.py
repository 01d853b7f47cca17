"""A call as a whole, over the shipped tree: the same answers always come to the same state."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.call.call import READ_OUT, Answer, Call, without_health
from consult.call.state import State, state, state_so_far, with_chair
from consult.call.transcript import load_transcript, write_transcript
from consult.content.callers.simulation import led_state
from consult.paths import demo_folder
from consult.tree.shares import load_shares
from tests.call.calls import TODAY, call_of, derived, good_answers, seating, told, whole_call
from tests.content.callers.people import FILE, source
from tests.long import examples

TREE = seating().tree
HEALTH = {
    name
    for name, asked in TREE.questions.items()
    if asked.private == "health" and not asked.stored_with_consent
}
"""What is asked only with consent. The warning signs are asked of everybody."""


@cache
def led_calls() -> tuple[State, ...]:
    """Calls of simulated callers that came to a chair."""
    shares, problems = load_shares(FILE)
    assert shares is not None, problems
    every = (led_state(seating(), source(shares), number) for number in range(1, 31))
    return tuple(one for one in every if one.stopped is None and one.consent)


def a_call(**answers: str) -> Call:
    """The first of them in which this was said."""
    for one in led_calls():
        latest = one.call.latest()
        if all(name in latest and said in latest[name].said for name, said in answers.items()):
            return one.call
    raise AssertionError(f"no simulated caller says {answers}")


def demo(number: int) -> Call:
    """One of the demo calls."""
    (file,) = demo_folder().glob(f"{number:02}_*.yaml")
    transcript, problems = load_transcript(file)
    assert transcript is not None, problems
    return transcript.call


def replayed(folder: Path, call: Call) -> State:
    """The state of the call after it was written to a file and read again."""
    file = folder / "call.yaml"
    with file.open("w", encoding="utf-8", newline="") as stream:
        stream.write(write_transcript(call, "seating", "A call"))
    transcript, problems = load_transcript(file)
    assert transcript is not None, problems
    return state(seating(), transcript.call)


def test_knowing_nothing_still_comes_to_a_fit() -> None:
    """'?' wherever it is allowed, and no consent: the call ends with a fit, honestly wide."""
    answers = {
        name: "?" if asked.unknown_allowed else "no" if asked.answer == "yes-no" else "1"
        for name, asked in TREE.questions.items()
    }
    now = told(seating(), **answers)
    assert now.finished
    assert now.stopped is None
    assert not HEALTH & {step.question.name for step in now.steps}
    assert now.fit is not None
    assert "seat_height" in now.fit.requirements
    assert "footrest_height" in now.missing
    assert now.doubts == ()
    leg = now.estimate.dimensions["popliteal_height"]
    assert leg.origin == "estimated from the population alone"
    # Men and women of the survey together spread by more than 3 cm (2012 US Army survey).
    assert leg.sd > 30
    sure = told(seating(), **answers | {"lower_leg": "41 cm", "stature": "170 cm"})
    assert sure.estimate.dimensions["popliteal_height"].sd < leg.sd / 2


def test_what_is_measured_narrows_what_is_not() -> None:
    """A stature alone says a good deal of the legs, whether or not the sex is stated."""
    nobody = told(seating(), who_sits="1", consent="no")
    for sex in ("female", "either"):
        now = told(seating(), who_sits="1", sex=sex, consent="no", stature="157 cm")
        leg, unsure = (one.estimate.dimensions["popliteal_height"] for one in (now, nobody))
        assert leg.sd < unsure.sd * 0.7
        assert leg.origin == "estimated from stature"


def test_remembered_stature_is_held_to_be_less_sure() -> None:
    """A stature from memory, or of unknown origin, is worth less than one just measured."""
    base = {"who_sits": "1", "sex": "female", "consent": "no", "stature": "165 cm"}
    sds = [
        told(seating(), **base, stature_origin=origin).estimate.dimensions["stature"].sd
        for origin in ("measured", "remembered", "?")
    ]
    assert sds[0] < sds[1] == sds[2]


def test_a_stop_hides_product_and_goes_to_the_closing() -> None:
    """A warning sign ends product advice at once, and the caller can still leave a number."""
    now = state(seating(), demo(4))
    assert now.stopped is not None
    assert now.cautions[0].caution.level == "stop"
    assert now.cautions[0].contact in now.cautions[0].say
    assert (now.fit, now.picked, now.advice, now.needs) == (None, None, (), ())
    assert [step.question.name for step in now.steps][-2:] == ["with_somebody", "call_back_number"]


def test_the_country_decides_whom_to_ring() -> None:
    """The same signs name another number in another country, and something in every country."""
    calls = {code: replace(demo(4), country=code) for code in ("GB", "DE", "US", "ZZ", "")}
    contacts = {code: state(seating(), call).cautions[0].contact for code, call in calls.items()}
    assert "999" in contacts["GB"]
    assert "112" in contacts["DE"]
    assert "911" in contacts["US"]
    assert "local emergency number" in contacts["ZZ"] or contacts["ZZ"] == contacts[""]
    assert all(contacts.values())


def test_an_amended_answer_keeps_the_later_ones() -> None:
    """Putting an earlier answer right leaves every later one in place and asks nothing again."""
    call = a_call(desk_kind="fixed", desk_height="cm")
    before = state(seating(), call)
    assert before.finished
    taller = f"{float(call.latest()['stature'].said.removesuffix(' cm')) + 3} cm"
    after = state(seating(), call.add(Answer("stature", taller)))
    steps = {one.question.name: one.status for one in after.steps}
    assert {one.question.name: one.status for one in before.steps}.items() <= steps.items()
    # A question that was not worth its time may be now; nothing that was answered is open.
    assert not {name for name, status in steps.items() if status == "open"} & call.latest().keys()
    assert after.estimate.dimensions["stature"].mean > before.estimate.dimensions["stature"].mean


def test_an_amended_answer_asks_only_what_it_opens() -> None:
    """A desk that turns out to move opens its lowest height; nothing else is asked again."""
    call = a_call(desk_kind="fixed", desk_height="cm")
    after = state(seating(), call.add(Answer("desk_kind", "adjustable")))
    now_open = [one.question.name for one in after.steps if one.status == "open"]
    assert now_open[0] == "desk_lowest"
    assert not set(now_open) & call.latest().keys()
    assert after.step("desk_height") is None


def test_a_height_told_first_means_a_desk_that_stays() -> None:
    """Its kind need not be asked then; a desk that moves after all has no such height."""
    first = told(seating(), desk_height="73 cm")
    assert (first.workplace.desk.kind, first.workplace.desk.height) == ("fixed", 730.0)
    after = told(seating(), desk_height="73 cm", desk_kind="adjustable")
    assert after.workplace.desk.height is None


@pytest.mark.parametrize("name", ["17_board_on_trestles", "23_low_table_that_must_stay"])
def test_nothing_is_ordered_to_raise_a_desk_that_stays(name: str) -> None:
    """Advice that leaves the desk as high as it is keeps a desk raiser off the order."""
    demo, problems = load_transcript(demo_folder() / f"{name}.yaml")
    assert demo is not None, problems
    now = state_so_far(seating(), demo.call)
    assert any("leave" in given.advice.moves.values() for given in now.advice)
    assert now.fit is not None
    assert now.fit.quantities["desk_raise"]
    chosen = with_chair(seating(), now)
    assert chosen.picked is not None
    assert "desk_raiser" not in chosen.picked.parts
    assert "seat" in chosen.picked.parts


def test_who_sits_alone_is_not_asked_about_sharing() -> None:
    """Led in full too, where every topic is open."""
    for who, asked in (("caller", False), ("shared", True)):
        call = call_of({"who_sits": who, "consent": "no", "warning_signs": "none"})
        names = {one.question.name for one in state(seating(), call.led_in_full(True)).steps}
        sharing = {"sharers", "sharing_time", "who_sets"}
        assert names & sharing == (sharing if asked else set())


def test_withdrawn_consent_takes_health_off_the_call() -> None:
    """Taking consent back removes every trace of health from what is derived and what is kept."""
    call = a_call(pain_sites="neck").add(Answer("weight", "120 kg"))
    assert state(seating(), call).advice
    after = state(seating(), call.add(Answer("consent", "no")))
    assert after.consent is False
    assert not HEALTH & {step.question.name for step in after.steps}
    # What the chair must carry is about no one's health.
    left = [raised.caution for raised in after.cautions]
    assert "rating_must_cover" in {one.name for one in left}
    assert not HEALTH & {name for one in left for name in one.when.names}
    kept = without_health(TREE, after.call)
    assert not HEALTH & {answer.question for answer in kept.answers}
    assert kept.latest()["warning_signs"].said == READ_OUT
    lost = [answer for answer in after.call.answers if answer.question in HEALTH]
    assert len(kept.answers) + len(lost) == len(after.call.answers)
    # All that is not known any more is what was said to the list that everybody hears.
    again, now = derived(state(seating(), kept)), derived(after)
    assert {name for name in now if again[name] != now[name]} <= {"steps", "advice"}
    assert set(again["advice"]) <= set(now["advice"])
    changed = [one for one in zip(again["steps"], now["steps"], strict=True) if one[0] != one[1]]
    assert [before[:2] for before, _ in changed] == [("warning_signs", "unknown")]


def test_a_rating_below_what_was_said_is_never_picked() -> None:
    """However odd a weight said is, every chair rated for less is ruled out."""
    now = state(seating(), demo(1).add(Answer("weight", "185 kg")))
    assert [d.dimension for d in now.doubts if d.dimension == "weight"] == ["weight"]
    range_ = seating().range
    assert range_ is not None
    assert max(part.rating for part in range_.on_sale("seat") if part.rating is not None) < 185
    assert now.picked is not None
    assert dict(now.picked.parts) == {}
    assert now.picked.shortfalls


@given(
    name=st.sampled_from(sorted(TREE.questions)),
    number=st.integers(0, 4),
    data=st.data(),
)
@settings(max_examples=examples(60), deadline=None)
def test_amending_there_and_back_changes_nothing(
    name: str, number: int, data: st.DataObject
) -> None:
    """Whatever is said in between, saying the old answer again gives the old state."""
    call = led_calls()[number].call
    old = call.latest().get(name)
    if old is None:
        old = Answer(name, data.draw(good_answers(TREE.questions[name])))
        call = call.add(old)
    other = Answer(name, data.draw(good_answers(TREE.questions[name]) | st.text(max_size=10)))
    there = call.add(other)
    back = there.add(old)
    assert derived(state(seating(), back)) == derived(state(seating(), call))
    assert len(back.answers) == len(call.answers) + 2


@given(answers=whole_call(seating(), junk=True), country=st.sampled_from(["GB", "ZZ", "no", ""]))
@settings(
    max_examples=examples(60),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_no_answers_make_a_call_fail(tmp_path: Path, answers: dict[str, str], country: str) -> None:
    """Sense and nonsense mixed: the state is always worked out, the same live and replayed."""
    call = call_of(answers, country)
    live = state(seating(), call)
    unread = [step.question.name for step in live.steps if step.status == "unclear"]
    assert (live.current.name if live.current else None) == (unread[0] if unread else None)
    assert derived(replayed(tmp_path, call)) == derived(live)


@given(answers=whole_call(seating()), data=st.data())
@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_every_walk_comes_to_an_end(
    tmp_path: Path, answers: dict[str, str], data: st.DataObject
) -> None:
    """Answering whatever is asked next ends every call within one answer a question."""
    call = Call(TODAY)
    now = state_so_far(seating(), call)
    junk = data.draw(st.sets(st.sampled_from(sorted(answers)), max_size=4))
    while now.current is not None:
        name = now.current.name
        assert len(call.answers) <= 2 * len(TREE.questions)
        if name in junk:
            junk.discard(name)
            call = call.add(Answer(name, "\x00 [what]"))
        else:
            call = call.add(Answer(name, answers[name]))
        now = state_so_far(seating(), call)
    now = with_chair(seating(), now)
    assert now.finished
    asked = [step.question.name for step in now.steps]
    assert len(asked) == len(set(asked))
    assert (now.fit is None) == (now.stopped is not None)
    if "consent" in answers and now.consent is not True:
        assert not HEALTH & set(asked)
    assert derived(replayed(tmp_path, call)) == derived(now)


@given(answers=whole_call(seating()))
@settings(max_examples=examples(40), deadline=None)
def test_order_of_answers_does_not_matter(answers: dict[str, str]) -> None:
    """A call is what was said last to each question, not when."""
    forward = state(seating(), call_of(answers))
    backward = state(seating(), call_of(reversed(answers.items())))
    assert derived(forward) == derived(backward)
