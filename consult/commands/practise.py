"""``consult practise``: practice calls with invented callers, and the stored results."""

from __future__ import annotations

import os
import re
from argparse import (
    SUPPRESS,
    ArgumentParser,
    ArgumentTypeError,
    Namespace,
    RawDescriptionHelpFormatter,
)
from pathlib import Path

from consult.commands.options import RUNS, either_side, flag, option
from consult.commands.outcome import Outcome, complain, has_screen, print_problems, sound, tell
from consult.practice.model import LEVELS, level_called
from consult.problems import CannotDoError, listed, nearest

if RUNS:
    from consult.commands import clock
    from consult.commands.installation import chosen_population, out_path, this_adviser, write_out
    from consult.practice import catalogue
    from consult.practice.caller_file import caller_template
    from consult.practice.learner.store import Learners, file_name, practice_place
    from consult.records.place import home_path
    from consult.ui.practice.rows import NotReady, Practising
    from consult.ui.practice.score_words import example_text, words_text

_SEEDS = 2**31
"""Seeds are whole numbers below this."""


_EXAMPLES = """\
examples:
  consult practise --example                        a whole call to read, every turn explained
  consult practise                                  choose a caller
  consult practise short_and_mixed --level unaided  this caller, without help
  consult practise --course first_week              the calls of a course, in its order
  consult practise --list                           list the callers and courses
  consult practise --record                         strengths, and what comes next
  consult practise --export ann.json                your record, for the trainer
  consult practise --report ann.json bo.json --csv  how a group does, for a spreadsheet
  consult practise --template my_caller.yaml        a new caller, to fill in
  consult practise --check-score 50                 does the score tell good advisers from bad?
  consult practise --from-call K7M-2QX --caller-agreed 2026-11-25 \\
      --agreed-by "Ann Lee" --out quiet_caller.yaml
"""


def arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Practise calls on the call screen with invented callers, and see your "
        "score. Only your own record of practice is stored (in CONSULT_PRACTICE, or else "
        "your data folder)."
    )
    parser.epilog = _EXAMPLES
    parser.formatter_class = RawDescriptionHelpFormatter
    option(parser, "caller CALLER", "name of a caller, or a caller's file", nargs="?")
    option(
        parser,
        "--level",
        "guided: shows the question (if left out); partly_guided: shows the open questions; "
        "unaided: shows only the caller",
        type=_level,
        choices=LEVELS,
    )
    option(parser, "--seed N", "repeat the same caller, body and words", type=int)
    option(parser, "--learner NAME", "name of the learner (else --adviser, else your user name)")
    either_side(parser, "--adviser NAME", SUPPRESS)
    option(parser, "--course FILE", "a course, by its name or its file")
    instead = parser.add_mutually_exclusive_group()
    flag(instead, "--list", "list the callers and courses")
    flag(instead, "--example", "print a call that plays itself, with a commentary")
    flag(instead, "--words", "print the words of the trade, with drawings")
    flag(instead, "--record", "show strengths and what comes next, or progress in a course")
    flag(instead, "--delete", "delete the learner's record; asks first")
    # The earlier name of --delete.
    option(instead, "--erase", SUPPRESS, action="store_true", dest="delete")
    option(
        instead, "--export FILE", "export the record as JSON, or as CSV if the name ends in .csv"
    )
    option(instead, "--report FILE", "report on a group, from their exports", nargs="+")
    option(instead, "--template FILE", "write a new caller to begin with, every key explained")
    option(
        instead,
        "--from-call REF",
        "make a practice caller from a stored call, without personal data",
    )
    option(
        instead,
        "--check-score N",
        "run advisers of known skill through N drawn callers (200 if left out) and compare "
        "their scores with what came of the calls; takes some minutes",
        nargs="?",
        type=int,
        const=200,
    )
    flag(
        parser,
        "--csv",
        "with --report: CSV, a row for each learner; with --list: a row for each caller",
    )
    flag(parser, "--json", "with --report and --list: JSON")
    flag(parser, "--without-conversations", "with --export: the scores only")
    flag(parser, "--yes", "with --delete: do not ask")
    option(parser, "--agreed-by NAME", "with --from-call: the trainer who agrees")
    option(
        parser, "--caller-agreed DAY", "with --from-call: the day the caller agreed to training use"
    )
    option(parser, "--out FILE", "with --from-call: the file to write")
    flag(parser, "--without-health", "with --from-call: leave health answers out")
    either_side(parser, "--records PLACE", "with --from-call: where calls are stored")
    either_side(parser, "--population ID", SUPPRESS)


def _level(named: str) -> str:
    try:
        return level_called(named)
    except ValueError:
        raise ArgumentTypeError(f"'{named}' is no level. Choose {listed(LEVELS)}.") from None


def run(options: Namespace) -> Outcome:
    """Start a practice call, or do what another option asks for."""
    # A number may be 0, which is no False.
    given = (name for name in _INSTEAD if getattr(options, name) is not None)
    does = next((name for name in given if getattr(options, name) is not False), "")
    wrong = _mismatch(options, does)
    if wrong:
        return complain(wrong)
    match does:
        case "":
            return _practise(options, *own_record(options))
        case "example" | "words":
            return show_lessons(options)
        case "template":
            return write_template(options)
        case _:
            from consult.commands import practise_record

            return practise_record.run(options, does)


def own_record(options: Namespace) -> tuple[Learners, str]:
    """Where records of practice are, and whose this learner's is."""
    learner = this_adviser(options.learner or options.adviser)
    file_name(learner)
    return Learners(practice_place()), learner


def course_named(said: str) -> catalogue.Course:
    """A course by its file, or by the name of one that comes with consult."""
    known = {path.stem: path for path in catalogue.courses_in(catalogue.callers_folder())}
    path = known.get(said, Path(said))
    if not path.is_file():
        fix = nearest(said, sorted(known)) or "List the courses: consult practise --list"
        raise CannotDoError(f"No course is called '{said}'. {fix}")
    return sound(*catalogue.load_course(path))


def caller_named(said: str, choices: list[catalogue.CallerChoice]) -> catalogue.CallerChoice:
    """A caller by its name, or by its file."""
    known = {choice.name: choice for choice in choices}
    if said in known:
        return known[said]
    path = Path(said)
    if path.suffix in (".yaml", ".yml") or path.is_file():
        if not path.is_file():
            raise CannotDoError(f"There is no file {said}.")
        choice = catalogue.choice_of(path)
        if choice is not None:
            return choice
        from consult.practice.load import practice_problems

        raise CannotDoError(
            f"{said} is not the file of a practice caller, or it has errors. Run consult check "
            "on it.",
            practice_problems(path),
        )
    fix = nearest(said, known) or "List the callers: consult practise --list"
    raise CannotDoError(f"No practice caller is called '{said}'. {fix}")


def _practise(options: Namespace, learners: Learners, learner: str) -> Outcome:
    choices, problems = catalogue.choices_in(catalogue.callers_folder())
    print_problems(problems)
    course = course_named(options.course) if options.course else None
    choice = caller_named(options.caller, choices) if options.caller else None
    if course is not None:
        choices = [*choices, *_of_course(course, Path(options.course), choices)]
    if choice is not None and choice not in choices:
        choices = [*choices, choice]
    if not choices:
        return complain(f"There are no practice callers in {catalogue.callers_folder()}.")
    # The usual one is read when a call begins: the list of callers needs no numpy.
    named = options.population or os.environ.get("CONSULT_POPULATION")
    population = chosen_population(named) if named else None
    if not has_screen():
        return complain("Practice needs a terminal. To see the callers: consult practise --list")

    from consult.ui.practice.app import PractiseApp
    from consult.ui.practice.rows import CallerRow, Practising

    practising = Practising(
        choices,
        learners,
        learner,
        clock.now,
        population,
        course=course,
        courses=() if course else _courses(),
        level=options.level or "guided",
        seed=options.seed,
    )
    first = None
    if choice is not None:
        first = CallerRow(choice, choice.title, "", options.level, options.seed)
    PractiseApp(practising, first).run()
    return Outcome.DONE


def _courses() -> list[catalogue.Course]:
    """The courses that come with consult, the shortest first."""
    courses = (
        catalogue.load_course(path)[0] for path in catalogue.courses_in(catalogue.callers_folder())
    )
    return sorted(
        (course for course in courses if course is not None),
        key=lambda course: len(course.exercises),
    )


def _of_course(
    course: catalogue.Course, file: Path, choices: list[catalogue.CallerChoice]
) -> list[catalogue.CallerChoice]:
    """Callers in the course's folder that do not come with consult."""
    known = {choice.name for choice in choices}
    names = dict.fromkeys(
        exercise.caller for exercise in course.exercises if exercise.caller not in known
    )
    paths = (catalogue.caller_path(name, file) for name in names)
    loaded = (catalogue.choice_of(path) for path in paths if path is not None)
    return [choice for choice in loaded if choice is not None]


_INSTEAD = (
    *("list", "record", "delete", "export", "report", "from_call", "template", "check_score"),
    *("example", "words"),
)
"""Options that ask for something else than a practice call."""
_BELONGS = {
    "csv": ("report", "list"),
    "json": ("report", "list"),
    "without_conversations": ("export",),
    "yes": ("delete",),
    **dict.fromkeys(("agreed_by", "caller_agreed", "out", "without_health"), ("from_call",)),
}
"""Option -> those of ``_INSTEAD`` that it goes with."""


def _mismatch(options: Namespace, does: str) -> str:
    """Which options cannot be combined, as a sentence; '' if all can."""
    if options.seed is not None and not 0 <= options.seed < _SEEDS:
        return "--seed takes a whole number from 0 to 2147483647."
    if options.caller and options.course:
        return "Give a caller or --course, not both."
    if options.caller and does and does != "check_score":
        return f"{_written(does)} takes no caller."
    if options.course and (options.level or options.seed is not None):
        return "A course sets the level and seed of each call. Leave out --level and --seed."
    if options.course and does not in ("", "record"):
        return f"--course goes with --record, not with {_written(does)}."
    for name, to in _BELONGS.items():
        if getattr(options, name) and does not in to:
            return f"{_written(name)} goes with {' or '.join(map(_written, to))}."
    if options.csv and options.json:
        return "Give --csv or --json, not both."
    return ""


def _written(name: str) -> str:
    return f"--{name.replace('_', '-')}"


# -- ``consult practise --example`` and ``--words``: reading for before the first call ------------


def show_lessons(options: Namespace) -> Outcome:
    """Print the example call or the word list."""
    if options.words:
        print(words_text())
        return Outcome.DONE
    population = chosen_population(options.population)
    try:
        practising = Practising([], Learners(practice_place()), "", clock.now, population)
        tell(example_text(practising.example()))
    except NotReady as trouble:
        return complain(str(trouble))
    return Outcome.DONE


# -- ``consult practise --template``: a new practice caller to begin with -------------------------

_NAME = re.compile(r"[a-z][a-z0-9_]*")


def write_template(options: Namespace) -> Outcome:
    """Write the file, and print what to do next."""
    path = home_path(options.template)
    if path.suffix != ".yaml" or not _NAME.fullmatch(path.stem):
        return complain(
            "--template takes the name of a file such as my_caller.yaml: small letters, digits and "
            "underscores."
        )
    if path.exists():
        return complain(f"{options.template} exists already. Choose another name.")
    out_path(path)
    write_out(path, caller_template(path.stem))
    tell(f"Wrote {path}. Change what you like; every key is explained in it.")
    tell(f"To check it: consult check {options.template}")
    return tell(f"To try it: consult practise {options.template}")
