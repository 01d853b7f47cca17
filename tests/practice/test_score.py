"""Score: each criterion can lose its points alone, and a missed sign fails the call."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime

import pytest

from consult.practice.log import (
    Again,
    Ask,
    Coach,
    Entered,
    Event,
    Hinted,
    Lifted,
    Log,
    Recommend,
    Say,
    Spoke,
    Turn,
    log_json,
)
from consult.practice.score import as_it_should_be, evidence, score_of
from consult.practice.scoring.points import CRITERIA, POINTS, Score, ScoreItem
from tests.long import every_case
from tests.practice.callers_by_hand import caller
from tests.practice.replay import log_of
from tests.practice.trainees import BEGAN

Change = Callable[[list[Event]], Sequence[Event]]


def perfect(name: str) -> Log:
    """The log of the perfect call with a caller made by hand."""
    basis, persona = caller(name)
    return as_it_should_be(basis, persona, 1, BEGAN.date()).log


def marked(name: str, change: Change = list) -> Score:
    """The score of the perfect call after a change of its events, turns numbered anew."""
    basis, persona = caller(name)
    log, events, number = perfect(name), [], 0
    for event in change(list(log.events)):
        if isinstance(event, Spoke):
            number += 1
            event = replace(event, turn=replace(event.turn, number=number))
        events.append(event)
    return score_of(replace(log, events=tuple(events)), persona, basis)


def lost(found: Score) -> set[str]:
    """The criteria that lost points."""
    return {item.criterion for item in found.items if item.got < item.of}


def item_lost(found: Score, criterion: str) -> ScoreItem:
    """The first item of a criterion that lost points."""
    return next(item for item in found.of(criterion) if item.got < item.of)


def asks(event: Event, question: str) -> bool:
    """Whether an event asks a question."""
    return (
        isinstance(event, Spoke)
        and isinstance(event.turn.act, (Ask, Coach, Again))
        and event.turn.about == question
    )


def says(event: Event, caution: str) -> bool:
    """Whether an event says a caution."""
    return (
        isinstance(event, Spoke)
        and isinstance(event.turn.act, Say)
        and event.turn.act.caution == caution
    )


def changed(test: Callable[[Event], bool], to: Callable[[Spoke], Spoke]) -> Change:
    """Every turn that passes a test, replaced."""
    return lambda events: [
        to(event) if isinstance(event, Spoke) and test(event) else event for event in events
    ]


def entering(question: str, said: str) -> Change:
    """Another entry for a question."""

    def change(events: list[Event]) -> list[Event]:
        return [
            replace(event, said=f"/{question.replace('_', ' ')}: {said}", recorded=said)
            if isinstance(event, Entered) and event.question == question
            else event
            for event in events
        ]

    return change


def after(question: str, *new: Event) -> Change:
    """Events put in right after the one that first asks a question."""

    def change(events: list[Event]) -> list[Event]:
        at = next(at for at, event in enumerate(events) if asks(event, question))
        return [*events[: at + 1], *new, *events[at + 1 :]]

    return change


def moved(question: str, behind: str) -> Change:
    """The asking of one question, moved behind that of another."""

    def change(events: list[Event]) -> Sequence[Event]:
        moving = [event for event in events if asks(event, question)]
        return after(behind, *moving)([event for event in events if event not in moving])

    return change


def asking(question: str) -> Spoke:
    """A turn that asks a question and is answered with not knowing."""
    return Spoke(Turn(0, Ask(question), "So?", "I don't know.", question, tells={question: "?"}))


def recommending(**change: object) -> Change:
    """Another recommendation."""

    def to(event: Spoke) -> Spoke:
        assert isinstance(event.turn.act, Recommend)
        act = replace(event.turn.act, **change)  # type: ignore[arg-type]
        return replace(event, turn=replace(event.turn, act=act))

    return changed(lambda one: isinstance(one, Spoke) and isinstance(one.turn.act, Recommend), to)


def slower(events: list[Event]) -> list[Event]:
    """Twice the time that is allowed for every entry, and more."""
    return [replace(one, took=500.0) if isinstance(one, Entered) else one for one in events]


def in_other_words(event: Spoke) -> Spoke:
    """A caution said otherwise."""
    assert isinstance(event.turn.act, Say)
    act = replace(event.turn.act, words="You might see somebody.")
    return replace(event, turn=replace(event.turn, act=act))


def with_error(event: Spoke) -> Spoke:
    """The tape went to the drawer, and nobody noticed."""
    return replace(event, turn=replace(event.turn, shown=("to_the_drawer",)))


ALONE: dict[str, tuple[str, Change]] = {
    "signs": (
        "refer",
        lambda events: [one for one in events if not says(one, "pain_not_settling")],
    ),
    "consent": ("plain", moved("consent", behind="pain_sites")),
    "noticed": (
        "wrong_everywhere",
        changed(lambda event: asks(event, "desk_height"), with_error),
    ),
    "heard": ("plain", entering("caller_name", "Somebody Else")),
    "measures": ("plain", entering("desk_thickness", "9 cm")),
    "chair": ("plain", recommending(parts=())),
    "questions": ("plain", after("tasks", asking("rated_now"), asking("other_desk"))),
    "order": ("plain", moved("warning_signs", behind="stature")),
    "pace": ("plain", slower),
    "wording": (
        "refer",
        changed(lambda event: says(event, "pain_not_settling"), in_other_words),
    ),
    "hints": ("plain", after("tasks", Hinted("Ask now.", "desk_kind", 1))),
}


def test_every_criterion_is_tried_alone() -> None:
    """The table of points and the cases here name the same criteria, 100 points in all."""
    assert list(ALONE) == [one.name for one in CRITERIA]
    assert sum(POINTS.values()) == 100


@every_case(ALONE)
def test_a_criterion_loses_its_points_alone(criterion: str) -> None:
    """One fault costs points of its own criterion and of no other."""
    name, change = ALONE[criterion]
    assert marked(name).full
    found = marked(name, change)
    assert lost(found) == {criterion}
    assert item_lost(found, criterion).better
    assert found.passed == (criterion not in ("signs", "consent", "chair"))
    assert {item.criterion for item in found.failed_by} <= {criterion}


def test_a_missed_sign_fails_and_is_quoted() -> None:
    """The words of the caution stand in what would have been better, and its turn is the moment."""
    item = item_lost(marked(*ALONE["signs"]), "signs")
    assert item.fails
    assert "Pain that lasts more than a month" in item.better
    turn = marked_turn("refer", item)
    assert turn.about == "pain_signs"


def marked_turn(name: str, item: ScoreItem) -> Turn:
    """The turn of the perfect call that an item hangs on, where nothing before it was moved."""
    return perfect(name).turns[item.turn - 1]


def test_a_sign_never_asked_about_fails() -> None:
    """Where the list was left out the sign never came out, and the item says what to ask."""

    def change(events: list[Event]) -> list[Event]:
        return [
            one
            for one in events
            if not asks(one, "warning_signs")
            and not says(one, "emergency_sign")
            and not (isinstance(one, Entered) and one.question == "warning_signs")
        ]

    failed = {item.name: item for item in marked("emergency", change).failed_by}
    assert "never asked" in failed["Warning signs asked about"].why
    missed = failed["Warning sign: emergency sign"]
    assert "never found out" in missed.why
    assert "I'll read you a short list" in missed.better


def test_a_late_caution_costs_but_does_not_fail() -> None:
    """A referral said some turns after its ground was told loses half its points."""

    def change(events: list[Event]) -> Sequence[Event]:
        moving = [one for one in events if says(one, "pain_not_settling")]
        return after("weight", *moving)([one for one in events if one not in moving])

    found = marked("refer", change)
    item = item_lost(found, "signs")
    assert item.got == pytest.approx(item.of / 2)
    assert not found.failed_by


def test_a_referral_due_before_a_stop_is_not_excused_by_it() -> None:
    """Only what was told with the sign, or after it, gives way to the stop."""
    assert marked("refer_then_stop").full

    def change(events: list[Event]) -> list[Event]:
        return [one for one in events if not says(one, "pain_not_settling")]

    item = item_lost(marked("refer_then_stop", change), "signs")
    assert item.name == "Warning sign: pain not settling"


def after_the_stop(*new: Event) -> Change:
    """Events put in after a stop was said."""

    def change(events: list[Event]) -> list[Event]:
        at = next(at for at, one in enumerate(events) if says(one, "emergency_sign"))
        return [*events[: at + 1], *new, *events[at + 1 :]]

    return change


CHAIR = Spoke(Turn(0, Recommend(("SEAT-M",), 450.0, "This one."), "This one.", "Fine."))


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (CHAIR, "You recommended a chair"),
        (Lifted("It is fine.", True, BEGAN), "lifted"),
        (asking("stature"), "other questions"),
    ],
)
def test_a_stop_that_is_not_respected_fails(new: Event, said: str) -> None:
    """Naming a chair, lifting the stop or going on after it fails the call."""
    found = marked("emergency", after_the_stop(new))
    assert any(said in item.why for item in found.failed_by)


def test_asking_after_the_sign_again_is_no_breach() -> None:
    """A stop may be checked by asking about the signs once more."""
    found = marked("emergency", after_the_stop(asking("warning_signs")))
    assert not found.failed_by


def test_a_needless_question_costs_a_point_each() -> None:
    """Two questions that the call does not lead to cost two points."""
    found = marked(*ALONE["questions"])
    assert found.out_of - found.total == pytest.approx(2)


def test_asking_for_what_was_told_early_is_needless() -> None:
    """What the caller volunteered is entered, not asked."""
    found = marked("wrong_everywhere", after("weight", asking("floor")))
    assert "had already told you" in item_lost(found, "questions").why


def test_a_measure_may_be_measured_twice() -> None:
    """Having a figure measured once more is care, not waste."""
    name = "desk_height"
    turn = next(one for one in perfect("plain").turns if one.about == name)
    again = Spoke(replace(turn, act=Again(name)))
    assert marked("plain", after(name, again)).full


@pytest.mark.parametrize(("off", "fine"), [(-45, False), (-15, True), (15, True), (45, False)])
def test_measures_are_held_against_the_true_body(off: float, fine: bool) -> None:
    """Twice the error of self-measuring (24 mm for the height, from the survey file) and rounding
    are allowed, no more."""
    true = caller("plain")[1].body["stature"]
    found = marked("plain", entering("stature", f"{(true + off) / 10:.1f} cm"))
    assert ("measures" not in lost(found)) == fine
    if not fine:
        assert "Say back each figure" in item_lost(found, "measures").better


def test_a_worse_chair_loses_in_proportion() -> None:
    """The chair is held against the best of the range for the true body; one that fits nobody
    like the caller gets nothing, and one that fits as well gets all."""
    basis, _ = caller("plain")
    assert basis.range is not None
    best = perfect("plain").recommended
    assert best is not None
    got = []
    for lift in basis.range.on_sale("gas_lift"):
        others = [p.code for p in basis.range.on_sale("gas_lift")]
        parts = (*(code for code in best.parts if code not in others), lift.code)
        item = marked("plain", recommending(parts=parts)).of("chair")[0]
        got.append(item.got / item.of)
        if item.got < item.of:
            assert "of 100" in item.why
    assert max(got) == 1.0
    assert min(got) < 0.9


def test_no_chair_is_right_after_a_stop() -> None:
    """A call that ends with a stop is not marked on a chair; naming one loses all its points."""
    assert not marked("emergency").of("chair")
    item = marked("emergency", after_the_stop(CHAIR)).of("chair")[0]
    assert item.got == 0


def test_a_chair_after_a_late_stop_loses() -> None:
    """Named before its sign came out a chair is marked as any; named once more after it, not."""

    def change(events: list[Event]) -> list[Event]:
        at = next(at for at, one in enumerate(events) if says(one, "emergency_after_all"))
        return [*events[: at + 1], CHAIR, *events[at + 1 :]]

    assert marked("late_sign").of("chair")[0].got > 0
    assert marked("late_sign", change).of("chair")[0].got == 0


def test_a_doubt_confirmed_unasked_is_not_noticed() -> None:
    """Entering an odd figure twice without asking again loses; asking between keeps the point."""
    at = datetime(2026, 11, 25, 9, 5)
    name = "desk_height"
    odd = Entered("/desk height: 97 cm", name, False, "Odd.", at)
    stands = Entered(odd.said, name, True, "", at, 5.0, confirmed=True, recorded="97 cm")
    unasked = marked("plain", after(name, odd, stands)).of("noticed")
    asked = marked("plain", after(name, odd, asking(name), stands)).of("noticed")
    assert [item.got for item in unasked] == [0]
    assert [item.got for item in asked] == [asked[0].of]


def without(question: str) -> Change:
    """A call in which a question was neither asked nor entered."""
    return lambda events: [
        one
        for one in events
        if not asks(one, question) and not (isinstance(one, Entered) and one.question == question)
    ]


def both(*changes: Change) -> Change:
    """One change after the other."""

    def change(events: list[Event]) -> list[Event]:
        for each in changes:
            events = list(each(events))
        return events

    return change


NO_DESK = both(without("desk_height"), without("desk_thickness"), entering("desk_kind", "none"))


def test_measures_of_a_pool_left_unfinished_are_missed() -> None:
    """While what decides the chair is not asked to its end, all its figures count, and not only
    that which would be asked next."""
    found = marked("plain", both(without("desk_height"), without("desk_thickness")))
    missed = {item.name for item in found.of("measures") if not item.got}
    assert missed == {"Desk height", "Desk thickness"}


def test_what_the_call_never_led_to_is_not_missed() -> None:
    """Told otherwise, the answers before lead the call past what a good adviser asked, and past
    the tape that would have been held at the wrong place there."""
    basis, persona = caller("wrong_everywhere")
    log = perfect("wrong_everywhere")
    past = evidence(replace(log, events=tuple(NO_DESK(list(log.events)))), persona, basis)
    assert "desk_height" in past.best.asked
    assert "desk_height" not in past.due
    found = marked("wrong_everywhere", NO_DESK)
    assert "Desk height" not in {item.name for item in found.of("measures")}
    assert "to_the_drawer" not in {item.behaviour for item in found.of("noticed")}


def test_the_pace_is_that_of_the_questions() -> None:
    """What takes long at the call screen may take long here: a tape longer than a choice."""

    def slow(question: str) -> Change:
        return lambda events: [
            replace(one, took=100.0 if one.question == question else None)
            if isinstance(one, Entered)
            else one
            for one in events
        ]

    assert "pace" not in lost(marked("plain", slow("desk_height")))
    assert "pace" in lost(marked("plain", slow("desk_kind")))


def test_without_times_there_is_no_pace() -> None:
    """A log in which nothing took any time is not marked on the time at the keys."""

    def change(events: list[Event]) -> list[Event]:
        return [replace(one, took=None) if isinstance(one, Entered) else one for one in events]

    assert [item.name for item in marked("plain", change).of("pace")] == ["Minutes of the call"]


def again(name: str, times: int) -> Change:
    """A question asked some times more."""
    turn = next(one for one in perfect("plain").turns if one.about == name)
    return after(name, *[Spoke(replace(turn, act=Again(name)))] * times)


def test_a_call_that_takes_far_longer_fails() -> None:
    """Measuring once more is within the time; the same over and over is not, and nothing but the
    time and the needless questions is lost by it."""
    assert marked("plain", again("desk_height", 1)).passed
    found = marked("plain", again("desk_height", 4))
    assert [item.name for item in found.failed_by] == ["Minutes of the call"]
    assert lost(found) == {"pace", "questions"}


def test_hints_cost_the_time_they_take() -> None:
    """A few hints leave a call in time, one before every question does not."""

    def hinted(times: int) -> Change:
        return after("tasks", *[Hinted("Ask now.", "desk_kind", 1)] * times)

    assert marked("plain", hinted(3)).passed
    assert not marked("plain", hinted(20)).passed


def test_what_fails_a_call_limits_its_score() -> None:
    """A failed call has fewer points than any that passed, and a missed sign leaves fewest."""
    sign, chair = (marked(*ALONE[name]) for name in ("signs", "chair"))
    assert sign.share == pytest.approx(0.3)
    assert chair.share == pytest.approx(0.5)


def test_a_false_sign_costs() -> None:
    """A sign that the caller does not have, entered all the same, weighs more than another wrong
    answer."""
    sign = marked("plain", entering("warning_signs", "unwell"))
    other = marked("plain", entering("tasks", "phone"))
    assert "not have" in item_lost(sign, "heard").why
    gone = [sum(i.of - i.got for i in found.of("heard")) for found in (sign, other)]
    assert gone[0] > gone[1] > 0


def test_criteria_that_did_not_come_up_are_left_out() -> None:
    """A caller with no error to notice is not marked on noticing any."""
    assert not marked("plain").of("noticed")
    assert marked("plain").out_of == 100 - POINTS["noticed"]


def test_a_log_kept_and_read_is_marked_the_same() -> None:
    """Score hang on what a log says, so they come out the same from its JSON."""
    basis, persona = caller("refer")
    log = perfect("refer")
    again = log_of(json.loads(json.dumps(log_json(log))))
    assert score_of(again, persona, basis) == score_of(log, persona, basis)


def test_the_way_is_read_from_the_log() -> None:
    """What was entered by name, lifted and said is read back into the same call."""
    basis, persona = caller("refer")
    found = evidence(perfect("refer"), persona, basis)
    assert found.own.way == found.best.way
    assert found.led_share == 1.0
    assert not found.stopped


def test_hostile_words_never_break_the_marks() -> None:
    """Whatever was typed, a score is given."""
    for text in ("/", "//", "[bold]x[/]", "\u202eabc", "🪑" * 50, "x" * 10_000, '"' * 9):
        at = datetime(2026, 11, 25, 9, 5)
        new = Entered(text, "caller_name", True, "", at, 1.0, recorded=text)
        assert marked("child", after("who_sits", new)).out_of > 0
