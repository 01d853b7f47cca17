"""Practice in words: a score, a learner's record, the worked example, the words of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from textwrap import wrap
from typing import TYPE_CHECKING

from textual.content import Content

from consult.practice.catalogue import CourseProgress
from consult.practice.learner.done import LearnerRecord
from consult.practice.learner.standing import Resting, outlook
from consult.practice.log import Act, Again, Ask, Close, Coach, Recommend, Say
from consult.practice.model import Behaviour, Persona, level_words
from consult.practice.scoring.points import LABELS, Score, ScoreItem
from consult.ui.literal import literal
from consult.ui.practice.rows import ScoredExercise, day_words, of_100, result, step_words

if TYPE_CHECKING:
    from consult.practice.worked import WorkedTurn

_NEXT = 5
"""Topics listed of those that come again."""


def verdict(score: Score) -> Content:
    """Passed or not, and why; what fails a call stands first and says so in words."""
    got = of_100(100 * score.share)
    if score.failed_by:
        labels = dict.fromkeys(_label(score_item).upper() for score_item in score.failed_by)
        lines = [literal(f"!! FAILED: {', '.join(labels)} !!", "bold reverse")]
        lines += [
            literal(f"{score_item.name}. ", "bold") + literal(score_item.why)
            for score_item in score.failed_by
        ]
        most = f"{100 * score.limit:.0f}"
        lines.append(literal(f"{got}: a call that fails by this can have {most} at most."))
        return Content("\n").join(lines)
    return literal("PASSED", "bold reverse") + literal(f"  {got}.", "bold")


def _label(item: ScoreItem) -> str:
    """The criterion; of what was recommended, as the item calls it."""
    return item.name if item.criterion == "chair" else LABELS[item.criterion]


def in_order(items: Sequence[ScoreItem]) -> list[ScoreItem]:
    """What fails the call first, then what cost most, then what was done well; without what did not
    come up."""
    shown = (score_item for score_item in items if score_item.came_up)
    return sorted(
        shown, key=lambda score_item: (not score_item.fails, score_item.got - score_item.of)
    )


def item_content(item: ScoreItem) -> Content:
    """One item: points, what, why, and what would have been better."""
    sign = "!! FAILS THE CALL: " if item.fails else ("" if item.full else "! ")
    got = f"{round(item.got, 1):g} of {round(item.of, 1):g}"
    head = f"{sign}{item.name}"
    label = _label(item)
    if not head.casefold().endswith(label.casefold()):
        head = f"{head}  ({label})"
    where = f" (turn {item.turn})" if item.turn else ""
    lines = [literal(f"{got}  ") + literal(head, "bold"), literal(f"{item.why}{where}")]
    if item.better:
        lines.append(literal("Better: ", "bold") + literal(" ".join(item.better.split())))
    return Content("\n").join(lines)


def behaviour_content(behaviour: Behaviour, score: Score, showed: int) -> Content:
    """What the caller did, whether it was noticed, and what a good adviser does."""
    about = [item for item in score.items if item.behaviour == behaviour.name]
    if not showed:
        how = "it did not come up in this call"
    elif not about:
        how = f"turn {showed}"
    elif all(item.full for item in about):
        how = f"turn {showed}, noticed"
    else:
        how = f"turn {showed}, MISSED"
    name = behaviour.name.replace("_", " ").capitalize()
    head = literal(f"{name}  ", "bold") + literal(f"({how})")
    return head + literal(f"\n{' '.join(behaviour.explain.split())}")


def next_lines(judged: ScoredExercise, persona: Persona, today: date) -> Iterator[str]:
    if judged.trouble:
        yield f"! Not stored in your record: {judged.trouble}"
    for resting in judged.later[:_NEXT]:
        yield resting_words(resting, today)
    if judged.next is not None:
        again = "this caller once more" if judged.next.name == persona.name else "the next caller"
        yield f"n plays {again}: {' '.join(judged.next.title.split())}"


_LATEST = 10
"""Exercises listed one by one."""


def record_text(record: LearnerRecord, today: date) -> str:
    """Strengths, weak points, what is due and when, and the latest exercises."""
    seen, done = outlook(record.done, today), record.done
    many = "1 exercise" if len(done) == 1 else f"{len(done)} exercises"
    passed = sum(exercise.passed for exercise in done)
    lines = [f"{' '.join(record.learner.split())}: {many}, {passed} passed."]
    lines += [f"! {trouble}" for trouble in record.troubles]
    if not done:
        lines.append("Nothing practised yet. Start with: consult practise")
    blocks = {
        "Good at": [standing.topic.words for standing in seen.strengths],
        "To practise": [
            f"{standing.topic.words}: missed {standing.missed} of {standing.times}"
            for standing in seen.weak
        ],
        "Due again": [resting_words(resting, today) for resting in (*seen.due, *seen.later)],
        "Latest exercises": [
            f"{day_words(exercise.day)}  {exercise.caller}, {level_words(exercise.level)}: "
            f"{result(exercise)}"
            for exercise in reversed(done[-_LATEST:])
        ],
    }
    for title, told in blocks.items():
        lines += ["", title, *(f"  {one}" for one in told)] if told else []
    return "\n".join(lines)


def course_text(led: CourseProgress) -> str:
    """How far somebody is with a course, an exercise a line."""
    course = led.course
    lines = [f"{' '.join(course.title.split())}: {led.passed} of {len(led.steps)} passed."]
    for number, step in enumerate(led.steps, 1):
        exercise = step.exercise
        lines.append(
            f"  {number:>2}  {exercise.caller} ({level_words(exercise.level)}): {step_words(step)}"
        )
    if led.next is None:
        lines.append("The course is finished.")
    else:
        lines.append(f"Next: {led.next.caller}, {level_words(led.next.level)}.")
    return "\n".join(lines)


def resting_words(resting: Resting, today: date) -> str:
    """A topic and when it comes again."""
    when = "due now" if resting.due <= today else f"again on {day_words(resting.due)}"
    return f"{resting.topic.words}: {when}"


# -- what comes before the first call: the worked example and the words of the trade --------------


_WIDE = 72
_DRAWN = 40
"""Cells across a drawing."""
_KEYS: dict[type[Act], str] = {
    Ask: "Enter asks it",
    Coach: "F4 reads the coaching out, then asks",
    Again: "F10 asks once more",
    Say: "s says it",
    Recommend: "F8, then r",
    Close: "F8, then c",
}


def key_of(scene: WorkedTurn) -> str:
    """What an adviser pressed for it; '' where the caller began."""
    return _KEYS[type(scene.turn.act)] if scene.turn.act is not None else ""


def example_text(scenes: Sequence[WorkedTurn]) -> str:
    return "\n".join(line for scene in scenes for line in (*_scene_lines(scene), "")).rstrip()


def _scene_lines(scene: WorkedTurn) -> Iterator[str]:
    from consult.ui.practice.conversation import turn_lines

    if scene.turn.act is not None:
        yield f"    [{key_of(scene)}]"
    for line in turn_lines(scene.turn):
        said = line.plain.strip()
        first = "" if said[0].isdigit() else "    "
        yield from wrap(said, _WIDE, initial_indent=first, subsequent_indent="    ")
    yield from (f"    typed: {typed}" for typed in scene.typed)
    for comment in scene.comments:
        yield from wrap(comment, _WIDE, initial_indent="    # ", subsequent_indent="    # ")


def words_text() -> str:
    """Every measure with its drawing, and the words of the chair."""
    return "\n".join(_word_lines())


def _word_lines() -> Iterator[str]:
    from consult.picture.measures import MEASURES
    from consult.picture.raster import sheet_rows
    from consult.practice.worked import MEASURED, OF_THE_CHAIR

    yield from wrap(
        "What callers are asked to measure. Most wrong figures start or end at the wrong place, so "
        "listen for both.",
        _WIDE,
    )
    for name, (title, decides) in MEASURED.items():
        yield from ("", title)
        yield from wrap(decides, _WIDE, initial_indent="  ", subsequent_indent="  ")
        study = MEASURES[name]
        yield from wrap(study.description, _WIDE, initial_indent="  ", subsequent_indent="  ")
        yield from (f"  {row}" for row in sheet_rows(study.sheet(), _DRAWN))
    yield from ("", "The chair and the call")
    for word, means in OF_THE_CHAIR.items():
        yield from wrap(f"{word}: {means}", _WIDE, initial_indent="  ", subsequent_indent="    ")
