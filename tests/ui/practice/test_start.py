"""The first page: whom to practise on, how, and what the record says."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Input, OptionList

from consult.practice.catalogue import load_course
from consult.practice.learner.done import Done, Met
from consult.practice.scoring.points import ScoreItem
from consult.ui.dialogs import TextScreen
from consult.ui.practice.rows import LESSONS, CallerRow, rows
from consult.ui.practice.start_screen import StartScreen
from tests.ui.desk import NOON, SIZES
from tests.ui.practice.practice_desk import CALLERS, LEARNER, choices, practice

DONE = Done(
    learner=LEARNER,
    day=NOON.date() - timedelta(days=3),
    caller="tape_too_far",
    seed=1,
    level="guided",
    total=80,
    out_of=100,
    passed=True,
    marks=(ScoreItem("pace", "Pace", 5, 5),),
    met=(Met("tape", "wrong_tape", False),),
)


@pytest.mark.parametrize("size", SIZES)
async def test_a_first_visit(size: tuple[int, int], tmp_path: Path) -> None:
    """An easy caller stands below the lessons; Enter begins with it at the level shown."""
    async with practice(tmp_path, size) as desk:
        first = desk.options("callers")[len(LESSONS)]
        assert first.startswith("NEXT FOR YOU: ")
        assert "easy" in first
        assert "not practised yet" in first
        assert "Level (Alt+L): guided" in desk.part("intro")
        await desk.press("alt+l")
        assert "Level (Alt+L): partly guided" in desk.part("intro")
        await desk.press("down", "down", "enter")
        await desk.settle()
        assert desk.desk.exercise.level == "partly_guided"
        assert desk.desk.exercise.seed == 1


async def test_what_is_due_comes_first(tmp_path: Path) -> None:
    """After a miss, the day it is due, a caller who shows it is on top, and says why."""
    async with practice(tmp_path) as desk:
        desk.practising.learners.keep(DONE)
        desk.app.start.refresh_rows()
        top = desk.options("callers")[0]
        assert top.startswith("NEXT FOR YOU: ")
        assert "due for you today" in top
        row = next(one for one in desk.options("callers") if "|  tape_too_far" in one)
        assert "practised once; last on 22 November 2026, guided: 80 of 100, passed" in row


async def test_another_body_each_time(tmp_path: Path) -> None:
    """Without a seed the second call with a caller is drawn anew; with one it is the same."""
    async with practice(tmp_path) as desk:
        practising = desk.practising
        (choice,) = (one for one in choices() if one.name == "tape_too_far")
        practising.learners.keep(DONE)
        assert practising.begin(choice, "guided", None).seed == 2
        assert practising.begin(choice, "guided", 5).seed == 5


async def test_narrowing(tmp_path: Path) -> None:
    """Typing narrows the list; nothing found is said, and Enter then does nothing."""
    async with practice(tmp_path) as desk:
        line = desk.app.screen.query_one(Input)
        line.value = "tape_too"
        await desk.pilot.pause()
        (only,) = desk.options("callers")
        assert "tape_too_far" in only
        line.value = "[nobody"
        await desk.pilot.pause()
        assert desk.options("callers") == ["No caller matches that."]
        await desk.press("enter")
        assert isinstance(desk.app.screen, StartScreen)


async def test_the_record(tmp_path: Path) -> None:
    """Alt+W tells strengths, weak points and what comes again."""
    async with practice(tmp_path) as desk:
        desk.practising.learners.keep(DONE)
        await desk.press("alt+w")
        assert isinstance(desk.app.screen, TextScreen)
        told = desk.app.screen.text
        assert "Ann: 1 exercise, 1 passed." in told
        assert "a tape held at the wrong point: missed 1 of 1" in told
        assert "a tape held at the wrong point: due now" in told


async def test_a_course(tmp_path: Path) -> None:
    """Its exercises in its order; what is not open yet cannot be chosen; the level is its own."""
    for name in ("young_sitter", "tape_too_far"):
        (tmp_path / f"{name}.yaml").write_bytes((CALLERS / f"{name}.yaml").read_bytes())
    path = tmp_path / "two.yaml"
    path.write_text(
        "course: two\ntitle: Two calls\norder: as_written\nexercises:\n"
        "  - {caller: young_sitter, level: partly_guided, seed: 4}\n"
        "  - {caller: tape_too_far, level: unaided}\n",
        "utf-8",
    )
    course, problems = load_course(path)
    assert course is not None, problems
    async with practice(tmp_path / "kept") as desk:
        practising = desk.practising
        practising.course = course
        desk.app.start.refresh_rows()
        *_, first_line, second_line = desk.options("callers")
        assert first_line.startswith(" 1  NEXT: ")
        assert "pass the ones before it first" in second_line
        options = desk.app.screen.query_one(OptionList).options
        assert [one.disabled for one in options] == [False, False, False, True]
        await desk.press("alt+l")
        assert "The course sets" in desk.part("told")
        await desk.press("down", "down", "enter")
        await desk.settle()
        exercise = desk.desk.exercise
        assert (exercise.persona.name, exercise.level, exercise.seed) == (
            "young_sitter",
            "partly_guided",
            4,
        )
        passed = replace(DONE, caller="young_sitter", level="partly_guided", seed=4)
        practising.learners.keep(passed)
        first, second = rows(practising)
        assert "PASSED, best 80 of 100" in first.about
        assert (first.locked, second.locked) == (False, False)
        assert second.title.startswith(" 2  NEXT: ")


async def test_a_caller_with_mistakes(tmp_path: Path) -> None:
    """A caller that cannot be played is told in words, and the page stays."""
    bad = tmp_path / "bad.yaml"
    text = (CALLERS / "tape_too_far.yaml").read_text("utf-8")
    bad.write_text(text.replace("at: desk_height", "at: desk_hight"), "utf-8")
    async with practice(tmp_path / "kept") as desk:
        (choice,) = (one for one in choices() if one.name == "tape_too_far")
        broken = replace(choice, path=bad)
        desk.practising.choices = (broken,)
        desk.app.start.refresh_rows()
        await desk.press("down", "down", "enter")
        await desk.settle()
        assert isinstance(desk.app.screen, StartScreen)
        assert "The caller tape_too_far has errors." in desk.part("told")
        assert "desk_hight" in desk.part("told")


async def test_the_course_comes_first(tmp_path: Path) -> None:
    """The next call of the first course that is not finished is on top, at its own level; once the
    course is done it is gone."""
    path = tmp_path / "one.yaml"
    for name in ("young_sitter", "tape_too_far"):
        (tmp_path / f"{name}.yaml").write_bytes((CALLERS / f"{name}.yaml").read_bytes())
    path.write_text(
        "course: one\ntitle: The first call\norder: as_written\nexercises:\n"
        "  - {caller: tape_too_far, level: partly_guided, seed: 4}\n",
        "utf-8",
    )
    course, problems = load_course(path)
    assert course is not None, problems
    async with practice(tmp_path / "kept") as desk:
        practising = desk.practising
        practising.courses = (course,)
        first = rows(practising)[len(LESSONS)]
        assert isinstance(first, CallerRow)
        assert first.title.startswith("THE COURSE: ")
        assert (first.choice.name, first.level, first.seed) == ("tape_too_far", "partly_guided", 4)
        assert "call 1 of 1 of the course: The first call" in first.about
        practising.learners.keep(
            replace(DONE, caller="tape_too_far", level="partly_guided", seed=4)
        )
        assert not rows(practising)[0].title.startswith("THE COURSE")


async def test_nothing_is_given_away_before_a_call(tmp_path: Path) -> None:
    """No line of the list says what a caller is going to do, also where just that is due."""
    async with practice(tmp_path) as desk:
        practising = desk.practising
        practising.learners.keep(DONE)
        words = {topic.words for one in practising.choices for topic in one.topics}
        for row in rows(practising):
            assert not any(word in f"{row.title} {row.about}" for word in words)
        assert "due for you today" in rows(practising)[0].about
