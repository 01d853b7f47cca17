"""The callers to choose from."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from consult.commands.check import problems_of_files
from consult.paths import shipped_trees, trees_folder
from consult.practice.caller_file import FOLDER
from consult.practice.catalogue import (
    Course,
    CourseExercise,
    caller_path,
    callers_folder,
    choice_of,
    choices_in,
    courses_in,
    load_course,
    progress,
    suggested,
    tree_of,
)
from consult.practice.learner.done import Done, Met
from consult.practice.learner.standing import LearningTopic
from consult.practice.model import LEVELS
from tests.practice.callers import HEAD, written
from tests.practice.learner.samples import done

COURSE = """\
course: first_week
title: The first week
about: Take your time.
exercises:
  - caller: ada
    level: guided
  - caller: ben
    level: partly_guided
    seed: 4
"""


def course_file(folder: Path, text: str) -> Path:
    """A course among two callers, in a folder of trees of its own."""
    for name in ("ada", "ben"):
        written(folder, HEAD.replace("someone", name), name)
    path = folder / "trees" / "practice" / "courses" / "first_week.yaml"
    path.parent.mkdir()
    path.write_text(text, "utf-8")
    return path


def course(*exercises: CourseExercise) -> Course:
    return Course("c", "C", exercises)


ADA = CourseExercise("ada", "guided")
BEN = CourseExercise("ben", "partly_guided", seed=4)


def test_a_course_is_read(tmp_path: Path) -> None:
    """Exercises come in the order written."""
    found, problems = load_course(course_file(tmp_path, COURSE))
    assert problems == []
    assert found == Course("first_week", "The first week", (ADA, BEN), "Take your time.")


def test_callers_are_found_beside_above_and_in_the_house(tmp_path: Path) -> None:
    """A course of one's own may use own callers and those of the house."""
    path = course_file(tmp_path, COURSE)
    assert caller_path("ada", path) == path.parent.parent / "ada.yaml"
    own = path.with_name("ada.yaml")
    own.write_text(HEAD, "utf-8")
    assert caller_path("ada", path) == own
    assert caller_path("nobody", path) is None
    house = next(shipped_trees().glob("practice/[a-v]*.yaml"), None)
    if house is not None:
        assert caller_path(house.stem, tmp_path / "x.yaml") == house


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("caller: ada", "caller: ade", 5, "no practice caller 'ade'. Did you mean 'ada'?"),
        ("caller: ada", "caller: words", 5, "is not a practice caller"),
        ("caller: ada", "caller: ../ada", 5, "small letters"),
        ("level: partly_guided", "level: unaded", 8, "Did you mean 'unaided'?"),
        ("title:", "titel:", 2, "Did you mean 'title'?"),
        ("seed: 4", "seed: many", 9, "whole number"),
        ("about: Take your time.", "order: both", 3, "as_written"),
    ],
)
def test_mistakes_are_told_with_their_place(
    old: str, new: str, line: int, said: str, tmp_path: Path
) -> None:
    """Every mistake has its line, and the nearest valid name where there is one."""
    path = course_file(tmp_path, COURSE.replace(old, new, 1))
    found, problems = load_course(path)
    assert found is None
    assert any(said in str(one) and one.where.line == line for one in problems), problems


def test_the_same_exercise_twice_is_warned_of(tmp_path: Path) -> None:
    """One call would pass both; the course can be used all the same."""
    text = COURSE + "  - caller: ada\n    level: guided\n"
    found, (problem,) = load_course(course_file(tmp_path, text))
    assert found is not None
    assert (problem.severity, problem.where.line) == ("warning", 10)


def test_the_check_knows_courses(tmp_path: Path) -> None:
    """``consult check`` reads a course as one."""
    assert problems_of_files(course_file(tmp_path, COURSE.replace("ben", "bne"))) != []
    assert problems_of_files(course_file(tmp_path / "good", COURSE)) == []


def test_a_beginner_begins_at_the_beginning() -> None:
    """Nothing is passed, only the first exercise is open, and it comes next."""
    found = progress(course(ADA, BEN), [])
    assert (found.passed, found.next) == (0, ADA)
    assert [(step.open, step.tries, step.best) for step in found.steps] == [
        (True, 0, None),
        (False, 0, None),
    ]


def test_what_passes_an_exercise() -> None:
    """Its caller, its seed, a level as hard or harder, and a passed call, whatever its score."""
    for one, passes in (
        (done(caller="ben", level="partly_guided", seed=4, got=85), True),
        (done(caller="ben", level="unaided", seed=4, got=85), True),
        (done(caller="ben", level="guided", seed=4, got=85), False),
        (done(caller="ben", level="partly_guided", seed=5, got=85), False),
        (done(caller="ada", level="partly_guided", seed=4, got=85), False),
        (done(caller="ben", level="partly_guided", seed=4, got=61), True),
        (done(caller="ben", level="partly_guided", seed=4, got=95, passed=False), False),
    ):
        assert (BEN.tried_by(one) and one.passed) is passes


def test_the_course_goes_on_and_ends() -> None:
    """Passing opens the next; the best try is shown; all passed, nothing comes next."""
    tries = [done(0, "ada", got=50), done(1, "ada", got=75), done(2, "ada", got=60)]
    found = progress(course(ADA, BEN), tries)
    assert [(step.passed, step.open, step.tries) for step in found.steps] == [
        (True, True, 3),
        (False, True, 0),
    ]
    assert (found.steps[0].best, found.next) == (75.0, BEN)
    ended = progress(course(ADA, BEN), [*tries, done(3, "ben", level="unaided", seed=4, got=90)])
    assert ended.next is None


def test_passing_ahead_counts_but_does_not_skip() -> None:
    """In the order written, an exercise passed early stays passed once its turn comes."""
    early = progress(course(ADA, BEN), [done(caller="ben", level="partly_guided", seed=4, got=90)])
    assert (early.steps[1].passed, early.steps[1].open, early.next) == (True, False, ADA)


def test_in_any_order_the_least_tried_comes_next() -> None:
    """Where the order is free, everything is open."""
    free = Course("c", "C", (ADA, BEN), order="any")
    found = progress(free, [done(caller="ada", got=20)])
    assert all(step.open for step in found.steps)
    assert found.next == BEN


def test_the_courses_of_the_house_are_clean() -> None:
    """The courses load, and name only callers there are."""
    paths = courses_in(shipped_trees() / "practice")
    assert [path.stem for path in paths] == ["before_real_calls", "first_hour", "first_week"]
    for path in paths:
        found, problems = load_course(path)
        assert problems == []
        assert found is not None
        assert found.name == path.stem


def test_the_first_week_is_easier() -> None:
    """Each course leads less than the one before it."""
    hardest = {}
    for path in courses_in(shipped_trees() / "practice"):
        text = path.read_text("utf-8")
        hardest[path.stem] = max(LEVELS.index(one) for one in LEVELS if f"level: {one}" in text)
    assert hardest == {"first_hour": 0, "first_week": 1, "before_real_calls": 2}


TODAY = date(2026, 11, 25)
CALLER = """\
practice: {name}
title: Somebody
tree: seating
sex: female
behaviours:
"""
BEHAVIOUR = """\
  - {{name: b{at}, kind: {kind}, at: lower_leg, about: heel, answer: 2 cm, explain: It is so.}}
"""
DONE = Done("Ann", TODAY, "plain", 1, "guided", 70, 100, passed=True)


def caller_file(folder: Path, name: str, *kinds: str) -> Path:
    """A caller with behaviours of these kinds."""
    text = CALLER.format(name=name) if kinds else CALLER.format(name=name).rsplit("beh", 1)[0]
    for at, kind in enumerate(kinds):
        text += BEHAVIOUR.format(at=at, kind=kind)
    path = folder / f"{name}.yaml"
    path.write_text(text, "utf-8")
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three callers, a file of words, and one that cannot be read."""
    caller_file(tmp_path, "hard_one", "contradicts", "sign_in_passing")
    caller_file(tmp_path, "plain")
    caller_file(tmp_path, "between", "wrong_tape", "shoes_on")
    (tmp_path / "words.yaml").write_text("ways_of_speaking: some\n", "utf-8")
    (tmp_path / "broken.yaml").write_text("practice: [", "utf-8")
    return tmp_path


def test_easy_ones_first(folder: Path) -> None:
    """Callers come by how much there is to notice; a file with errors is named and left out."""
    found, problems = choices_in(folder)
    assert [(one.name, one.difficulty) for one in found] == [
        ("plain", "easy"),
        ("between", "middling"),
        ("hard_one", "hard"),
    ]
    assert found[1].topics == {
        LearningTopic("behaviour", "wrong_tape"),
        LearningTopic("behaviour", "shoes_on"),
    }
    assert any("broken.yaml" in str(one) for one in problems)


def test_one_file(folder: Path) -> None:
    """A single file is a caller, or it is none."""
    choice = choice_of(folder / "between.yaml")
    assert choice is not None
    assert (choice.name, len(choice.behaviours)) == ("between", 2)
    assert choice_of(folder / "words.yaml") is None
    assert choice_of(folder / "broken.yaml") is None
    assert choice_of(folder / "nobody.yaml") is None


def test_suggested(folder: Path) -> None:
    """First an easy one, then who was not played; what is due goes before both."""
    choices, _ = choices_in(folder)
    assert suggested([], (), TODAY) is None
    first = suggested(choices, (), TODAY)
    assert first is not None
    assert first.name == "plain"
    second = suggested(choices, (DONE,), TODAY)
    assert second is not None
    assert second.name == "between"
    missed = replace(DONE, met=(Met("b", "contradicts", False),))
    today = suggested(choices, (missed,), TODAY)
    assert today is not None
    assert today.name == "between"
    tomorrow = suggested(choices, (missed,), TODAY + timedelta(days=1))
    assert tomorrow is not None
    assert tomorrow.name == "hard_one"


def test_where_they_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A house without callers of its own has those of the program, led with its own trees."""
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    assert callers_folder() == shipped_trees() / FOLDER
    (tmp_path / FOLDER).mkdir()
    assert callers_folder() == tmp_path / FOLDER
    path = caller_file(tmp_path / FOLDER, "plain")
    choice = choice_of(path)
    assert choice is not None
    assert tree_of(choice) == trees_folder() / "seating.yaml"
    (tmp_path / "seating.yaml").write_text("tree: seating\n", "utf-8")
    assert tree_of(choice) == tmp_path / "seating.yaml"
