"""One week beside the week before."""

from __future__ import annotations

from datetime import timedelta

from consult.practice.learner.done import Done, LearnerRecord
from consult.practice.learner.report import group_report, report_text
from consult.practice.learner.weeks import two_weeks
from consult.practice.scoring.points import Item
from tests.practice.learner.samples import DAY, done


def missing(one: Done, *, came_up: bool = True) -> Done:
    """The same with a sign missed and two measures wrong."""
    items = (
        Item("signs", "Warning sign: both legs", 0, 10, fails=True, came_up=came_up),
        Item("signs", "Warning signs asked about", 0, 10),
        Item("measures", "Stature", 0, 2),
        Item("measures", "Weight", 1, 2),
    )
    return Done(**{**{name: getattr(one, name) for name in one.__slots__}, "items": items})


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
