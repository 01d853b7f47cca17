"""Strengths, weak points, and the caller who comes next."""

from __future__ import annotations

from datetime import timedelta

from consult.practice.learner.standing import Topic, next_caller, outlook, standings
from tests.practice.learner.samples import DAY, done

VAGUE, HURRY = Topic("behaviour", "vague"), Topic("behaviour", "hurry")
CALLERS = {"ada": {VAGUE}, "ben": {VAGUE, HURRY}, "cy": {HURRY}, "dot": set[Topic]()}


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
    """How many exercises, how many passed, what is due now and later."""
    history = [
        done(0, noticed={"vague": False}),
        done(2, passed=False, noticed={"hurry": False}),
    ]
    found = outlook(history, DAY + timedelta(days=2))
    assert (found.exercises, found.passed) == (2, 1)
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
