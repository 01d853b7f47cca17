"""``consult practise`` with an option that asks for something else than a call: lists, records of
practice, a group's results, whether the score is right, a caller made from a stored call."""

from __future__ import annotations

import secrets
from argparse import Namespace
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

from consult.commands import clock
from consult.commands.call_files import basis_named
from consult.commands.installation import chosen_population, loaded_basis, out_path, write_out
from consult.commands.outcome import (
    Outcome,
    Progress,
    complain,
    number_of,
    print_json,
    print_problems,
    tell,
)
from consult.commands.practise import caller_named, course_named, own_record
from consult.commands.records_text import typed
from consult.durable import read_file
from consult.practice import catalogue, trial
from consult.practice.learner.report import (
    group_report,
    report_csv,
    report_json,
    report_text,
    to_practise,
)
from consult.practice.learner.store import (
    export_csv,
    export_json,
    learner_csv,
    on_one_line,
    read_export,
    same_name,
)
from consult.practice.load import UNSOUND, load_persona, practice_problems
from consult.problems import CannotDoError
from consult.records.kept import Kept, check_of
from consult.records.place import home_path, records_place
from consult.ui.practice.rows import played
from consult.ui.practice.score_words import course_text, record_text
from consult.visible import visible

_LONGEST = 60


def run(options: Namespace, does: str) -> Outcome:
    """Do what the option of that name asks for."""
    return _DOES[does](options)


_COLUMNS = ("name", "title", "tree", "difficulty", "behaviours", "played")


def _list(options: Namespace) -> Outcome:
    learners, learner = own_record(options)
    folder = catalogue.callers_folder()
    choices, problems = catalogue.choices_in(folder)
    print_problems(problems)
    done = learners.read(learner).done
    loaded = [catalogue.load_course(path) for path in catalogue.courses_in(folder)]
    print_problems(problem for course, causes in loaded if course is None for problem in causes)
    courses = [course for course, _ in loaded if course is not None]
    callers: list[dict[str, Any]] = [
        {
            "name": choice.name,
            "title": choice.title,
            "tree": choice.tree,
            "difficulty": choice.difficulty,
            "behaviours": sorted({behaviour.kind for behaviour in choice.behaviours}),
            "played": sum(exercise.caller == choice.name for exercise in done),
        }
        for choice in choices
    ]
    if options.csv:
        rows = ({**caller, "behaviours": "; ".join(caller["behaviours"])} for caller in callers)
        cells = ([str(row[name]) for name in _COLUMNS] for row in rows)
        # As bytes for a spreadsheet: its line ends and its first mark stay as they are.
        print(learner_csv(_COLUMNS, cells), end="")
        return Outcome.DONE
    if options.json:
        named = [{"name": course.name, "title": course.title} for course in courses]
        return print_json({"callers": callers, "courses": named})
    if not choices:
        print(f"There are no practice callers in {folder}.")
    for choice in choices:
        title = " ".join(choice.title.split())
        tell(f"{choice.name}  ({choice.difficulty}, {choice.tree})", f"    {title}")
        print(f"    {played(choice, done)}")
    if courses:
        print("\nCourses")
    for course in courses:
        count = number_of(len(course.exercises), "exercise")
        tell(f"{course.name}  {' '.join(course.title.split())}: {count}")
    return Outcome.DONE


def _record(options: Namespace) -> Outcome:
    learners, learner = own_record(options)
    record = learners.read(learner)
    if options.course:
        return tell(course_text(catalogue.progress(course_named(options.course), record.done)))
    today = clock.today()
    tell(record_text(record, today))
    following = catalogue.suggested(
        catalogue.choices_in(catalogue.callers_folder())[0], record.done, today
    )
    if following is not None:
        print(f"\nNext: consult practise {following.name}")
    return Outcome.DONE


def _erase(options: Namespace) -> Outcome:
    learners, learner = own_record(options)
    shown = on_one_line(learner)[:_LONGEST]
    record = learners.read(learner)
    if not record.done and not record.troubles:
        return tell(f"There is no record of practice for {shown}.")
    count = number_of(len(record.done), "exercise")
    print(f"The record of {shown} holds {count}. Exported files are not deleted.")
    if not options.yes:
        again = typed("To delete the record, type the name again:")
        if same_name(again) != same_name(learner):
            return complain("Nothing was deleted.")
    learners.erase(learner)
    return tell(f"Deleted {count} of {shown}.")


def _export(options: Namespace) -> Outcome:
    learners, learner = own_record(options)
    record, logs = learners.read(learner), not options.without_conversations
    path = home_path(options.export)
    text = export_csv(record) if path.suffix.lower() == ".csv" else export_json(record, logs=logs)
    write_out(path, text)
    tell(*(f"! {trouble}" for trouble in record.troubles))
    return tell(f"Wrote {number_of(len(record.done), 'exercise')} to {path}.")


# -- ``consult practise --report``: results of a group of learners, from their exports ------------


def _report(options: Namespace) -> Outcome:
    """Print the report; a file that is no export is an error that names the file."""
    records = []
    for name in options.report:
        try:
            text = read_file(Path(name)).decode("utf-8-sig")
        except ValueError:
            return complain(f"{name} cannot be read: it is not text.")
        records.append(read_export(text, name))
    report = group_report(records)
    choices, _ = catalogue.choices_in(catalogue.callers_folder())
    nexts = to_practise(report, {choice.name: choice.behaviours for choice in choices})
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


def _check_score(options: Namespace) -> Outcome:
    """Print a row per simulated adviser, and the rank correlation of score and outcome."""
    if not 1 <= options.check_score <= _MOST_CALLERS:
        return complain(f"--check-score takes a number of callers from 1 to {_MOST_CALLERS}.")
    choices, problems = catalogue.choices_in(catalogue.callers_folder())
    print_problems(problems)
    choice = caller_named(options.caller or _DRAWN, choices)
    basis = loaded_basis(catalogue.tree_of(choice), chosen_population(options.population))
    first = options.seed or 0
    seeds = range(first, first + options.check_score)
    loaded = (
        (seed, load_persona(choice.path, basis.tree, basis.population, seed)[0]) for seed in seeds
    )
    drawn = ((seed, persona) for seed, persona in loaded if persona is not None)
    with Progress(options.check_score) as shown:
        trials = list(trial.trials(basis, drawn, tell=shown.at))
    return tell(*_lines(trials, options.check_score))


def _lines(trials: list[trial.AdviserTrial], callers: int) -> Iterator[str]:
    yield f"{callers} callers drawn by seed. Of 100 calls of each adviser:\n"
    heads = f"{'chair fits':>12}{'sign missed':>13}{'minutes':>9}"
    yield f"{'adviser':24}{'passed':>8}{'score':>7}{heads}"
    rows = {row.adviser: row for row in trial.adviser_summaries(trials)}
    for row in rows.values():
        fits, missed = (100 * number / row.calls for number in (row.fits, row.missed))
        yield (
            f"{row.adviser:24}{100 * row.passed / row.calls:8.1f}{row.score:7.1f}"
            f"{fits:12.1f}{missed:13.1f}{row.minutes:9.1f}"
        )
    kept, correlation = rows[trial.BY_THE_SCREEN], trial.rank_correlation(trials)
    as_good = 100 * kept.as_good / kept.chairs if kept.chairs else 0.0
    yield f"""
Score is the mean of 100 points, minutes the median. A chair fits if it and its seat
height fit the true body, or if none was named to a caller who needs help first.
Rank correlation of score and outcome, over {len(trials)} calls: {correlation:.2f}
Calls passed with a warning sign missed: {trial.passed_with_a_sign_missed(trials)}

An adviser who only {trial.BY_THE_SCREEN} and enters what is said:
  a chair as good as the best for the true body: {as_good:.1f} of 100 ({kept.chairs})
  questions asked, median: {kept.questions:g}
  warning signs missed: {kept.signs_missed} of {kept.signs}"""


# -- ``consult practise --from-call``: a practice caller made from a stored call -------------------


def _from_call(options: Namespace) -> Outcome:
    """Write the caller's file, and print what to do next."""
    # Lists and scores need neither these nor, below, the database.
    from consult.practice.from_call import exercise_from_call
    from consult.records.call_trees import FirstCalls, led_with

    if not options.out:
        return complain("Name the file for the new caller: --out quiet_caller.yaml")
    path = home_path(options.out)
    if path.suffix != ".yaml":
        return complain("--out takes the name of a file that ends in .yaml.")
    if path.exists():
        return complain(f"{options.out} exists already. Choose another name.")
    place = records_place(options.records)
    kept = FirstCalls(place).kept(options.from_call)
    population = chosen_population(options.population)
    if isinstance(kept, str):
        return complain(kept)
    if kept.status not in ("finished", "stopped"):
        return complain(f"Call {kept.reference} is not finished yet. Finish it first.")
    if not kept.versions.tree.isidentifier():
        return complain(
            f"Call {kept.reference} names no tree that can be used, so no caller can be made of it."
        )
    basis, problems = basis_named(kept.versions.tree, population)
    if basis is None:
        raise CannotDoError(
            f"The questions of that call, {kept.versions.tree}, cannot be read. Check the tree "
            "with: consult check",
            problems,
        )
    try:
        agreed = date.fromisoformat(options.caller_agreed) if options.caller_agreed else None
    except ValueError:
        return complain("--caller-agreed takes a day, such as 2026-11-25.")
    text = exercise_from_call(
        kept.call,
        led_with(kept.versions, basis),
        name=path.stem,
        # Where the moves could be worked out from a seed, so could the figures.
        seed=options.seed if options.seed is not None else secrets.randbelow(2**31),
        caller_agreed=agreed,
        agreed_by=options.agreed_by or "",
        health=not options.without_health,
    )
    out_path(path)
    if agreed is not None:
        _note_use(place, kept, path, agreed, options.agreed_by)
    write_out(path, text)
    tell(f"Wrote {path}. Names, contacts, dates, notes and free text are not in it.")
    print("Read the file before anybody uses it. Make sure nobody could recognise the caller.")
    print(
        "If the caller withdraws consent, delete the call and this file with: consult records "
        f"delete {kept.reference}"
    )
    tell(f"To try it: consult practise {options.out}")
    print_problems(
        problem for problem in practice_problems(path) if problem.rule not in ("no-tree", UNSOUND)
    )
    return Outcome.DONE


def _note_use(place: str | Path, kept: Kept, path: Path, agreed: date, trainer: str) -> None:
    """Record that the caller agreed on a day, and to whom, before the practice caller is written.

    The audit line names the call by the mark that an erased call leaves (``schema.erased``):
    anyone with the reference can prove the agreement, and nobody else learns whose it was.
    ``path`` is noted like a summary, so that erasing the call deletes it.
    """
    from consult.records.appending import note_audit
    from consult.records.store import open_store

    what = (
        f"practice caller made of call {check_of(kept.reference)}: the caller agreed on "
        f"{agreed.isoformat()}, trainer {trainer}"
    )
    at = clock.now_utc()
    with closing(open_store(place)) as store:
        with store.database.writing() as connection:
            note_audit(connection, at, what, 1)
        store.note_summary(kept.id, path, at)


_DOES = {
    "list": _list,
    "record": _record,
    "delete": _erase,
    "export": _export,
    "report": _report,
    "check_score": _check_score,
    "from_call": _from_call,
}
"""Option -> what it asks for."""
