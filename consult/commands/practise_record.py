"""``consult practise --list``, ``--record``, ``--delete``, ``--export`` and ``--check-score``."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from consult.call.basis import Basis
from consult.commands import clock
from consult.commands.installation import chosen_population, loaded_basis
from consult.commands.out_file import write_out
from consult.commands.outcome import (
    Outcome,
    Progress,
    complain,
    number_of,
    print_json,
    print_problems,
)
from consult.commands.practise import caller_named, course_named
from consult.commands.records_text import typed
from consult.durable import UnreadableError, read_file
from consult.practice.catalogue import (
    CallerChoice,
    Course,
    callers_folder,
    choices_in,
    courses_in,
    load_course,
    progress,
    suggested,
    tree_of,
)
from consult.practice.learner.report import (
    group_report,
    report_csv,
    report_json,
    report_text,
    to_practise,
)
from consult.practice.learner.store import (
    Learners,
    export_csv,
    export_json,
    learner_csv,
    on_one_line,
    read_export,
    same_name,
)
from consult.practice.load import load_persona
from consult.practice.model import Persona
from consult.practice.trial import (
    BY_THE_SCREEN,
    AdviserTrial,
    adviser_summaries,
    passed_with_a_sign_missed,
    rank_correlation,
    trials,
)
from consult.records.place import home_path
from consult.ui.practice.rows import played
from consult.ui.practice.score_words import course_text, record_text
from consult.visible import visible

_LONGEST = 60


def run(options: Namespace, learners: Learners, learner: str) -> Outcome:
    """Run the action that was asked for."""
    if options.list:
        return _list(learners, learner, options)
    if options.record:
        return _record(options, learners, learner)
    if options.delete:
        return _erase(learners, learner, asked=not options.yes)
    return _export(learners, learner, options.export, logs=not options.without_conversations)


_COLUMNS = ("name", "title", "tree", "difficulty", "behaviours", "played")


def _list(learners: Learners, learner: str, options: Namespace) -> Outcome:
    folder = callers_folder()
    choices, problems = choices_in(folder)
    print_problems(problems)
    done = learners.read(learner).done
    courses = _courses(folder)
    callers: list[dict[str, Any]] = [
        {
            "name": one.name,
            "title": one.title,
            "tree": one.tree,
            "difficulty": one.difficulty,
            "behaviours": sorted({each.kind for each in one.behaviours}),
            "played": sum(each.caller == one.name for each in done),
        }
        for one in choices
    ]
    if options.csv:
        rows = ({**one, "behaviours": "; ".join(one["behaviours"])} for one in callers)
        # As bytes for a spreadsheet: its line ends and its first mark stay as they are.
        print(
            learner_csv(_COLUMNS, ([str(row[name]) for name in _COLUMNS] for row in rows)), end=""
        )
        return Outcome.DONE
    if options.json:
        print_json(
            {
                "callers": callers,
                "courses": [{"name": one.name, "title": one.title} for one in courses],
            }
        )
        return Outcome.DONE
    if not choices:
        print(f"There are no practice callers in {folder}.")
    for one in choices:
        print(visible(f"{one.name}  ({one.difficulty}, {one.tree})"))
        print(visible(f"    {' '.join(one.title.split())}"))
        print(f"    {played(one, done)}")
    if courses:
        print("\nCourses")
    for each in courses:
        count = number_of(len(each.exercises), "exercise")
        print(visible(f"{each.name}  {' '.join(each.title.split())}: {count}"))
    return Outcome.DONE


def _courses(folder: Path) -> list[Course]:
    found = []
    for path in courses_in(folder):
        course, problems = load_course(path)
        if course is None:
            print_problems(problems)
        else:
            found.append(course)
    return found


def _record(options: Namespace, learners: Learners, learner: str) -> Outcome:
    record = learners.read(learner)
    if options.course:
        course = course_named(options.course)
        print(visible(course_text(progress(course, record.done))))
        return Outcome.DONE
    today = clock.today()
    print(visible(record_text(record, today)))
    following = suggested(choices_in(callers_folder())[0], record.done, today)
    if following is not None:
        print(f"\nNext: consult practise {following.name}")
    return Outcome.DONE


def _erase(learners: Learners, learner: str, *, asked: bool) -> Outcome:
    shown = on_one_line(learner)[:_LONGEST]
    record = learners.read(learner)
    if not record.done and not record.troubles:
        print(f"There is no record of practice for {shown}.")
        return Outcome.DONE
    count = number_of(len(record.done), "exercise")
    print(f"The record of {shown} holds {count}. Exported files are not deleted.")
    if asked and same_name(typed("To delete the record, type the name again:")) != same_name(
        learner
    ):
        return complain("Nothing was deleted.")
    learners.erase(learner)
    print(f"Deleted {count} of {shown}.")
    return Outcome.DONE


def _export(learners: Learners, learner: str, named: str, *, logs: bool) -> Outcome:
    record = learners.read(learner)
    path = home_path(named)
    text = export_csv(record) if path.suffix.lower() == ".csv" else export_json(record, logs=logs)
    write_out(path, text)
    for trouble in record.troubles:
        print(visible(f"! {trouble}"))
    print(visible(f"Wrote {number_of(len(record.done), 'exercise')} to {path}."))
    return Outcome.DONE


# -- ``consult practise --report``: results of a group of learners, from their exports ------------


def print_report(options: Namespace) -> Outcome:
    """Print the report; a file that is no export is an error that names the file."""
    records = []
    for name in options.report:
        try:
            text = read_file(Path(name)).decode("utf-8-sig")
        except UnreadableError as unreadable:
            return complain(str(unreadable))
        except ValueError:
            return complain(f"{name} cannot be read: it is not text.")
        records.append(read_export(text, name))
    report = group_report(records)
    choices, _ = choices_in(callers_folder())
    nexts = to_practise(report, {one.name: one.behaviours for one in choices})
    if options.csv:
        # As bytes for a spreadsheet: its line ends and its first mark stay as they are.
        print(report_csv(report), end="")
    elif options.json:
        print(report_json(report, nexts), end="")
    else:
        print(visible(report_text(report, nexts)), end="")
    return Outcome.DONE


# -- ``consult practise --check-score``: whether the score ranks simulated advisers correctly -----

_DRAWN = "somebody_new"
"""The caller who is somebody else with every seed."""
_MOST_CALLERS = 1000


def check_score(options: Namespace) -> Outcome:
    """Print a row per simulated adviser, and the rank correlation of score and outcome."""
    if not 1 <= options.check_score <= _MOST_CALLERS:
        return complain(f"--check-score takes a number of callers from 1 to {_MOST_CALLERS}.")
    choices, problems = choices_in(callers_folder())
    print_problems(problems)
    choice = caller_named(options.caller or _DRAWN, choices)
    basis = loaded_basis(tree_of(choice), chosen_population(options.population))
    first = options.seed or 0
    progress = Progress(options.check_score, sys.stderr)
    drawn = _drawn(choice, basis, range(first, first + options.check_score))
    found = list(trials(basis, drawn, tell=progress.at))
    progress.clear()
    for line in _lines(found, options.check_score):
        print(visible(line))
    return Outcome.DONE


def _drawn(choice: CallerChoice, basis: Basis, seeds: range) -> Iterator[tuple[int, Persona]]:
    for seed in seeds:
        persona, _ = load_persona(choice.path, basis.tree, basis.population, seed)
        if persona is not None:
            yield seed, persona


def _lines(found: list[AdviserTrial], callers: int) -> Iterator[str]:
    yield f"{callers} callers drawn by seed. Of 100 calls of each adviser:"
    yield ""
    heads = f"{'chair fits':>12}{'sign missed':>13}{'minutes':>9}"
    yield f"{'adviser':24}{'passed':>8}{'score':>7}{heads}"
    rows = {row.adviser: row for row in adviser_summaries(found)}
    for row in rows.values():
        fits, missed = (100 * one / row.calls for one in (row.fits, row.missed))
        yield (
            f"{row.adviser:24}{100 * row.passed / row.calls:8.1f}{row.score:7.1f}"
            f"{fits:12.1f}{missed:13.1f}{row.minutes:9.1f}"
        )
    yield ""
    yield "Score is the mean of 100 points, minutes the median. A chair fits if it and its seat"
    yield "height fit the true body, or if none was named to a caller who needs help first."
    together = rank_correlation(found)
    yield f"Rank correlation of score and outcome, over {len(found)} calls: {together:.2f}"
    yield f"Calls passed with a warning sign missed: {passed_with_a_sign_missed(found)}"
    yield ""
    kept = rows[BY_THE_SCREEN]
    as_good = 100 * kept.as_good / kept.chairs if kept.chairs else 0.0
    yield f"An adviser who only {BY_THE_SCREEN} and enters what is said:"
    yield f"  a chair as good as the best for the true body: {as_good:.1f} of 100 ({kept.chairs})"
    yield f"  questions asked, median: {kept.questions:g}"
    yield f"  warning signs missed: {kept.signs_missed} of {kept.signs}"
