"""Strengths, weak points, and the caller who comes next."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from consult.practice.learner.done import Done, LearnerRecord
from consult.practice.learner.report import group_report, report_text
from consult.practice.learner.standing import (
    INTERVALS,
    NOTICING,
    LearningTopic,
    due,
    next_caller,
    outlook,
    resting,
    standings,
    tries,
    two_weeks,
)
from consult.practice.model import BehaviourKind
from consult.practice.scoring.points import CRITERIA, ScoreItem
from tests.practice.learner.samples import DAY, done

VAGUE = LearningTopic("behaviour", "vague")


def vague(day: int, noticed: bool) -> Done:
    return done(day, noticed={"vague": noticed})


def day(after: int) -> date:
    return DAY + timedelta(days=after)


def test_the_intervals_grow() -> None:
    """One, three, seven and twenty-one days."""
    assert INTERVALS == (1, 3, 7, 21)


def test_a_miss_is_due_the_next_day() -> None:
    """What was missed today rests today and is due tomorrow."""
    missed = [vague(0, False)]
    assert due(missed, day(0)) == ()
    (one,) = due(missed, day(1))
    assert (one.topic, one.due) == (VAGUE, day(1))


def test_it_goes_from_interval_to_interval_until_it_is_learned() -> None:
    """Going well on the day it is due begins the next interval; after the last it is over."""
    history = [vague(0, False)]
    at = 0
    for interval in INTERVALS:
        (one,) = resting(history)
        assert one.interval == interval
        at += interval
        assert one.due == day(at)
        history.append(vague(at, True))
    assert resting(history) == ()


def test_going_well_too_early_changes_nothing() -> None:
    """The same day proves little: what was missed this morning is due tomorrow all the same."""
    (one,) = resting([vague(0, False), vague(0, True), vague(0, True)])
    assert one.due == day(1)


def test_a_miss_goes_back_to_the_first() -> None:
    """However far it had come, a miss begins again."""
    (one,) = resting([vague(0, False), vague(1, True), vague(4, True), vague(12, False)])
    assert (one.interval, one.due) == (INTERVALS[0], day(13))


def test_what_was_never_missed_never_comes() -> None:
    """Only misses are repeated."""
    assert resting([vague(0, True), vague(5, True)]) == ()


def test_what_the_marks_say_nothing_of_is_no_topic() -> None:
    """A behaviour that nothing was marked for is neither missed nor learned."""
    assert tries([done(noticed={"vague": None})]) == {}


def test_what_did_not_come_up_is_no_miss() -> None:
    """A call that ended before it could be judged on its pace was not too slow."""
    led = done(lost=("pace", "order"))
    items = tuple(replace(one, came_up=one.criterion != "pace") for one in led.marks)
    assert set(tries([replace(led, marks=items)])) == {LearningTopic("criterion", "order")}


def test_criteria_come_again_as_behaviours_do() -> None:
    """Points lost on a criterion make it due."""
    (one,) = due([done(0, lost=("order",), kept=("signs",))], day(1))
    assert one.topic == LearningTopic("criterion", "order")
    assert one.topic.words == "Order of the call"


def test_twice_in_one_exercise_is_well_only_if_it_was_twice() -> None:
    """One miss of two counts as a miss."""
    assert [
        one.well
        for one in tries([done(lost=("order",), kept=("order",))])[
            LearningTopic("criterion", "order")
        ]
    ] == [False]


def test_every_kind_has_words() -> None:
    """No learner reads the inner name of a behaviour or criterion."""
    assert set(NOTICING) == set(get_args(BehaviourKind))
    assert all(LearningTopic("criterion", one.name).words == one.label for one in CRITERIA)


@given(st.lists(st.tuples(st.integers(0, 5), st.booleans()), max_size=12), st.integers(0, 80))
def test_due_only_grows_with_the_days(history: list[tuple[int, bool]], today: int) -> None:
    """What is due today is due tomorrow too, and the same history gives the same answer."""
    at, made = 0, []
    for apart, well in history:
        at += apart
        made.append(vague(at, well))
    now = due(made, day(today))
    assert set(now) <= set(due(made, day(today + 1)))
    assert now == due(list(made), day(today))
    if made and not history[-1][1]:
        assert resting(made)[0].due == day(at + 1)


def test_the_end_of_the_calendar_is_no_trouble() -> None:
    """A record kept with a wrong clock does not stop anybody."""
    late = Done("Ann", date.max, "x", 1, "unaided", 1.0, 2.0, False, met=vague(0, False).met)
    assert resting([late])[0].due == date.max


HURRY = LearningTopic("behaviour", "hurry")
CALLERS = {"ada": {VAGUE}, "ben": {VAGUE, HURRY}, "cy": {HURRY}, "dot": set[LearningTopic]()}


def test_three_times_well_is_a_strength() -> None:
    """Two times may be luck; a miss begins the count anew."""
    well = [done(at, noticed={"vague": True}) for at in range(2)]
    assert outlook(well, DAY).strengths == ()
    assert [one.topic for one in outlook([*well, done(3, noticed={"vague": True})], DAY).strengths]
    (one,) = standings([*well, done(3, noticed={"vague": False})])
    assert (one.times, one.missed, one.in_a_row, one.strong, one.weak) == (3, 1, 0, False, True)


def test_weak_points_come_with_the_most_missed_first() -> None:
    """What was missed more often stands above what was missed once."""
    history = [
        done(0, noticed={"vague": False, "hurry": False}),
        done(1, noticed={"vague": True, "hurry": False}),
    ]
    assert [one.topic for one in outlook(history, DAY).weak] == [HURRY, VAGUE]


def test_a_weak_point_made_good_is_a_strength() -> None:
    """Nothing is held against anybody for ever."""
    history = [done(0, noticed={"vague": False})]
    history += [done(at, noticed={"vague": True}) for at in (1, 2, 3)]
    found = outlook(history, DAY)
    assert (len(found.strengths), found.weak) == (1, ())


def test_the_outlook_counts() -> None:
    """What is due now and later."""
    history = [
        done(0, noticed={"vague": False}),
        done(2, passed=False, noticed={"hurry": False}),
    ]
    found = outlook(history, DAY + timedelta(days=2))
    assert [one.topic for one in found.due] == [VAGUE]
    assert [one.topic for one in found.later] == [HURRY]


def test_the_next_caller_shows_what_is_due_and_was_played_least() -> None:
    """Of those who show what is due, the one played least; then who shows more; then by name."""
    tomorrow = DAY + timedelta(days=1)
    missed = [done(0, "ada", noticed={"vague": False})]
    assert next_caller(CALLERS, missed, tomorrow) == "ben"
    both = [done(0, "ben", noticed={"vague": False, "hurry": False})]
    assert next_caller(CALLERS, both, tomorrow) == "ada"
    assert next_caller(CALLERS, [*both, done(0, "ada")], tomorrow) == "cy"
    all_played = [*both, done(0, "ada"), done(0, "cy")]
    assert next_caller(CALLERS, all_played, tomorrow) == "ben"


def test_with_nothing_due_the_least_played_comes_next() -> None:
    """A beginner starts with the first name; today's miss rests until tomorrow."""
    assert next_caller(CALLERS, [], DAY) == "ada"
    assert next_caller(CALLERS, [done(0, "ada", noticed={"vague": False})], DAY) == "ben"
    assert next_caller({}, [], DAY) is None


def test_what_no_caller_shows_keeps_nobody_from_practising() -> None:
    """A due topic that no caller shows leaves the choice to how often they were played."""
    missed = [done(0, "ada", noticed={"rounds": False})]
    assert next_caller(CALLERS, missed, DAY + timedelta(days=9)) == "ben"


def test_of_two_played_as_often_the_longer_ago_comes_first() -> None:
    """Nobody is met twice in a row while another waits."""
    played = [done(0, "dot"), done(1, "ada")]
    two = {"ada": CALLERS["ada"], "dot": CALLERS["dot"]}
    assert next_caller(two, played, DAY) == "dot"


# -- one week beside the week before --------------------------------------------------------------


def missing(one: Done, *, came_up: bool = True) -> Done:
    """The same with a sign missed and two measures wrong."""
    items = (
        ScoreItem("signs", "Warning sign: both legs", 0, 10, fails=True, came_up=came_up),
        ScoreItem("signs", "Warning signs asked about", 0, 10),
        ScoreItem("measures", "Stature", 0, 2),
        ScoreItem("measures", "Weight", 1, 2),
    )
    return Done(**{**{name: getattr(one, name) for name in one.__slots__}, "marks": items})


GROUP = (
    LearnerRecord("Ann", (done(-8), missing(done(1, got=60.0, passed=False)), done(8))),
    LearnerRecord("Bob", (done(2, learner="Bob"), missing(done(7, learner="Bob"), came_up=False))),
)


def test_seven_days_and_the_seven_before() -> None:
    """Counted back from the latest exercise of anybody; what lies before both is left out."""
    weeks = two_weeks(GROUP)
    assert weeks is not None
    before, now = weeks
    assert (before.first, before.last) == (DAY - timedelta(days=5), DAY + timedelta(days=1))
    assert (now.first, now.last) == (DAY + timedelta(days=2), DAY + timedelta(days=8))
    assert (before.exercises, before.passed, before.average) == (1, 0, 60.0)
    assert (now.exercises, now.passed, now.average) == (3, 3, 80.0)


def test_misses_are_counted_if_they_came_up() -> None:
    """One sign before, none after: what did not come up is no miss."""
    weeks = two_weeks(GROUP)
    assert weeks is not None
    assert [one.signs_missed for one in weeks] == [1, 0]
    assert [one.measures_wrong for one in weeks] == [2, 2]


def test_one_week_is_compared_with_nothing() -> None:
    """Without exercises in the week before there is nothing to say."""
    assert two_weeks([LearnerRecord("Ann", (done(0), done(3)))]) is None
    assert two_weeks([LearnerRecord("Ann")]) is None
    assert "week" not in report_text(group_report([LearnerRecord("Ann", (done(0),))]))


def test_the_report_shows_both() -> None:
    """A line for each figure, this week first."""
    lines = report_text(group_report(GROUP)).splitlines()
    at = lines.index("The week to 2026-12-03, and the week before:")
    assert lines[at + 1].split() == ["exercises", "3", "1"]
    assert lines[at + 3].split()[-2:] == ["80", "60"]
    assert lines[at + 4].split()[-2:] == ["0", "1"]
