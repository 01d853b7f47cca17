"""``consult practise``: practice calls with invented callers, and the stored results."""

from __future__ import annotations

import getpass
import os
import re
import sys
from argparse import (
    SUPPRESS,
    ArgumentParser,
    ArgumentTypeError,
    Namespace,
    RawDescriptionHelpFormatter,
)
from pathlib import Path

from consult.commands.options import RUNS
from consult.commands.outcome import CannotDoError, Outcome, complain, print_problems
from consult.practice.model import LEVELS, level_called
from consult.problems import listed, nearest
from consult.visible import visible

if RUNS:
    from consult.commands import clock
    from consult.commands.installation import chosen_population
    from consult.commands.out_file import out_path, write_out
    from consult.practice.caller_file import caller_template
    from consult.practice.catalogue import (
        CallerChoice,
        Course,
        caller_path,
        callers_folder,
        choice_of,
        choices_in,
        courses_in,
        load_course,
    )
    from consult.practice.learner.done import PracticeTrouble
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
    """What the command line may say."""
    parser.description = (
        "Practise calls on the call screen with invented callers, and see your "
        "score. Only your own record of practice is stored (in CONSULT_PRACTICE, or else "
        "your data folder)."
    )
    parser.epilog = _EXAMPLES
    parser.formatter_class = RawDescriptionHelpFormatter
    parser.add_argument(
        "caller", nargs="?", metavar="CALLER", help="name of a caller, or a caller's file"
    )
    parser.add_argument(
        "--level",
        type=_level,
        choices=LEVELS,
        help="guided: shows the question (if left out); partly_guided: shows the open questions; "
        "unaided: shows only the caller",
    )
    parser.add_argument(
        "--seed", type=int, metavar="N", help="repeat the same caller, body and words"
    )
    # Suppressed, so that "consult --adviser Ann practise" keeps what stands before the command.
    left_out = SUPPRESS
    parser.add_argument(
        "--learner",
        metavar="NAME",
        help="name of the learner (else --adviser, else your user name)",
    )
    parser.add_argument("--adviser", default=left_out, metavar="NAME", help=SUPPRESS)
    parser.add_argument("--course", metavar="FILE", help="a course, by its name or its file")
    instead = parser.add_mutually_exclusive_group()
    instead.add_argument("--list", action="store_true", help="list the callers and courses")
    instead.add_argument(
        "--example", action="store_true", help="print a call that plays itself, with a commentary"
    )
    instead.add_argument(
        "--words", action="store_true", help="print the words of the trade, with drawings"
    )
    instead.add_argument(
        "--record",
        action="store_true",
        help="show strengths and what comes next, or progress in a course",
    )
    instead.add_argument(
        "--delete", action="store_true", help="delete the learner's record; asks first"
    )
    # The earlier name of --delete.
    instead.add_argument("--erase", action="store_true", dest="delete", help=SUPPRESS)
    instead.add_argument(
        "--export",
        metavar="FILE",
        help="export the record as JSON, or as CSV if the name ends in .csv",
    )
    instead.add_argument(
        "--report", nargs="+", metavar="FILE", help="report on a group, from their exports"
    )
    instead.add_argument(
        "--template",
        metavar="FILE",
        help="write a new caller to begin with, every key explained",
    )
    instead.add_argument(
        "--from-call",
        metavar="REF",
        help="make a practice caller from a stored call, without personal data",
    )
    instead.add_argument(
        "--check-score",
        nargs="?",
        type=int,
        const=200,
        metavar="N",
        help="run advisers of known skill through N drawn callers (200 if left out) and compare "
        "their scores with what came of the calls; takes some minutes",
    )
    parser.add_argument(
        "--csv",
        action="store_true",
        help="with --report: CSV, a row for each learner; with --list: a row for each caller",
    )
    parser.add_argument("--json", action="store_true", help="with --report and --list: JSON")
    parser.add_argument(
        "--without-conversations", action="store_true", help="with --export: the scores only"
    )
    parser.add_argument("--yes", action="store_true", help="with --delete: do not ask")
    parser.add_argument(
        "--agreed-by", metavar="NAME", help="with --from-call: the trainer who agrees"
    )
    parser.add_argument(
        "--caller-agreed",
        metavar="DAY",
        help="with --from-call: the day the caller agreed to training use",
    )
    parser.add_argument("--out", metavar="FILE", help="with --from-call: the file to write")
    parser.add_argument(
        "--without-health", action="store_true", help="with --from-call: leave health answers out"
    )
    parser.add_argument(
        "--records",
        default=left_out,
        metavar="PLACE",
        help="with --from-call: where calls are stored",
    )
    parser.add_argument("--population", default=left_out, metavar="ID", help=SUPPRESS)


def _level(named: str) -> str:
    try:
        return level_called(named)
    except ValueError:
        raise ArgumentTypeError(f"'{named}' is no level. Choose {listed(LEVELS)}.") from None


def run(options: Namespace) -> Outcome:
    """Start a practice call, or do what another option asks for."""
    wrong = _mismatch(options)
    if wrong:
        return complain(wrong)
    try:
        if options.report:
            from consult.commands import practise_record

            return practise_record.print_report(options)
        if options.example or options.words:
            return show_lessons(options)
        if options.template:
            return write_template(options)
        if options.check_score is not None:
            from consult.commands import practise_record

            return practise_record.check_score(options)
        if options.from_call:
            from consult.commands import practise_from_call

            return practise_from_call.run(options)
        learner = options.learner or options.adviser or os.environ.get("CONSULT_ADVISER") or _user()
        file_name(learner)
        learners = Learners(practice_place())
        if options.list or options.record or options.delete or options.export:
            from consult.commands import practise_record

            return practise_record.run(options, learners, learner)
        return _practise(options, learners, learner)
    except PracticeTrouble as trouble:
        return complain(str(trouble))


def course_named(said: str) -> Course:
    """A course by its file, or by the name of one that comes with consult."""
    known = {path.stem: path for path in courses_in(callers_folder())}
    path = known.get(said, Path(said))
    if not path.is_file():
        fix = nearest(said, sorted(known)) or "List the courses: consult practise --list"
        raise CannotDoError(f"No course is called '{said}'. {fix}")
    course, problems = load_course(path)
    if course is None:
        raise CannotDoError(problems=problems)
    return course


def caller_named(said: str, choices: list[CallerChoice]) -> CallerChoice:
    """A caller by its name, or by its file."""
    found = next((one for one in choices if one.name == said), None)
    if found is not None:
        return found
    path = Path(said)
    if path.suffix in (".yaml", ".yml") or path.is_file():
        if not path.is_file():
            raise CannotDoError(f"There is no file {said}.")
        choice = choice_of(path)
        if choice is not None:
            return choice
        from consult.practice.load import practice_problems

        raise CannotDoError(
            f"{said} is not the file of a practice caller, or it has errors. Run consult check "
            "on it.",
            practice_problems(path),
        )
    names = [one.name for one in choices]
    fix = nearest(said, names) or "List the callers: consult practise --list"
    raise CannotDoError(f"No practice caller is called '{said}'. {fix}")


def _practise(options: Namespace, learners: Learners, learner: str) -> Outcome:
    choices, problems = choices_in(callers_folder())
    print_problems(problems)
    course = course_named(options.course) if options.course else None
    choice = caller_named(options.caller, choices) if options.caller else None
    if course is not None:
        choices = [*choices, *_of_course(course, Path(options.course), choices)]
    if choice is not None and choice not in choices:
        choices = [*choices, choice]
    if not choices:
        return complain(f"There are no practice callers in {callers_folder()}.")
    # The usual one is read when a call begins: the list of callers needs no numpy.
    named = options.population or os.environ.get("CONSULT_POPULATION")
    population = chosen_population(named) if named else None
    in_browser = "TEXTUAL_DRIVER" in os.environ
    if not in_browser and not (sys.stdin.isatty() and sys.stdout.isatty()):
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


def _courses() -> list[Course]:
    """The courses that come with consult, the shortest first."""
    found = (load_course(path)[0] for path in courses_in(callers_folder()))
    return sorted((one for one in found if one is not None), key=lambda one: len(one.exercises))


def _of_course(course: Course, file: Path, choices: list[CallerChoice]) -> list[CallerChoice]:
    """Callers in the course's folder that do not come with consult."""
    known = {one.name for one in choices}
    names = dict.fromkeys(one.caller for one in course.exercises if one.caller not in known)
    paths = (caller_path(name, file) for name in names)
    found = (choice_of(path) for path in paths if path is not None)
    return [one for one in found if one is not None]


def _mismatch(options: Namespace) -> str:
    """Which options cannot be combined, as a sentence; '' if all can."""
    if options.seed is not None and not 0 <= options.seed < _SEEDS:
        return "--seed takes a whole number from 0 to 2147483647."
    if options.caller and options.course:
        return "Give a caller or --course, not both."
    instead = (
        "list",
        "record",
        "delete",
        "export",
        "report",
        "from_call",
        "template",
        "check_score",
        "example",
        "words",
    )
    does = next((name for name in instead if getattr(options, name) not in (None, False)), "")
    if options.caller and does and does != "check_score":
        return f"--{does.replace('_', '-')} takes no caller."
    if options.course and (options.level or options.seed is not None):
        return "A course sets the level and seed of each call. Leave out --level and --seed."
    if options.course and does not in ("", "record"):
        return f"--course goes with --record, not with --{does.replace('_', '-')}."
    belongs = {
        "csv": ("report", "list"),
        "json": ("report", "list"),
        "without_conversations": ("export",),
        "yes": ("delete",),
        "agreed_by": ("from_call",),
        "caller_agreed": ("from_call",),
        "out": ("from_call",),
        "without_health": ("from_call",),
    }
    for name, to in belongs.items():
        if getattr(options, name) and does not in to:
            where = " or ".join(f"--{one.replace('_', '-')}" for one in to)
            return f"--{name.replace('_', '-')} goes with {where}."
    if options.csv and options.json:
        return "Give --csv or --json, not both."
    return ""


def _user() -> str:
    """The name of the user of this computer."""
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""


# -- ``consult practise --example`` and ``--words``: reading for before the first call ------------


def show_lessons(options: Namespace) -> Outcome:
    """Print the example call or the word list."""
    if options.words:
        print(words_text())
        return Outcome.DONE
    population = chosen_population(options.population)
    try:
        practising = Practising([], Learners(practice_place()), "", clock.now, population)
        print(visible(example_text(practising.example())))
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
    print(visible(f"Wrote {path}. Change what you like; every key is explained in it."))
    print(visible(f"To check it: consult check {options.template}"))
    print(visible(f"To try it: consult practise {options.template}"))
    return Outcome.DONE
