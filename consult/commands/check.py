"""``consult check``: every mistake in the trees, contacts, range and call files."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from pathlib import Path

from consult.commands.options import RUNS, flag, option
from consult.commands.outcome import (
    Outcome,
    complain,
    print_json,
    print_problems,
    problem_json,
    tell,
)
from consult.paths import LIBRARY, demo_folder, is_own, trees_folder
from consult.problems import Problem, Where, listed, nearest

if RUNS:
    from consult.body.population import load_population
    from consult.call.basis import limits_beside, load_basis
    from consult.call.fitted import declares, features_for
    from consult.call.state import state
    from consult.call.transcript import load_transcript, unknown_questions
    from consult.commands import prove as proofs
    from consult.commands.call_files import demo_problems, how_many, read_call
    from consult.commands.installation import not_checked, used_lines
    from consult.content import checks
    from consult.content.begin import is_begun
    from consult.content.library.files import LibraryTrouble
    from consult.content.library.library import Library
    from consult.content.library.verify import live_altered
    from consult.marked.marks import Marked, load_marked
    from consult.marked.yaml_pitfalls import unseen_in, unseen_values
    from consult.practice import catalogue
    from consult.practice import load as practice
    from consult.range.file import load_range
    from consult.range.fitting_file import load_fitting
    from consult.summary.model import summarise
    from consult.summary.wording import (
        ENDING,
        BrokenWordingError,
        problems_in,
        template_files,
        wording_of,
    )
    from consult.tree import contacts, learned, readability, settings, sources
    from consult.tree.check import check_tree
    from consult.tree.folder import included_in, mains_above
    from consult.tree.load import load_tree
    from consult.tree.model import Question

    Questions = Callable[[Path], Mapping[str, Question]]

    _KNOWN_BY = {
        "settings.yaml": settings.SETTINGS_KEY,
        "range.yaml": "range",
        "fitting.yaml": "fitting",
        "contacts.yaml": "contacts",
        "callers.yaml": "callers",
        "sources.yaml": sources.SOURCES,
        "plain_words.yaml": readability.PLAIN_WORDS,
    }
    """File -> the name that says what it is."""
    _CHECKS: Mapping[str, Callable[[Path], list[Problem]]] = {
        learned.LEARNED: lambda path: learned.load_learned(path)[1],
        "fitting": lambda path: load_fitting(path)[1],
        "contacts": lambda path: contacts.load_contacts(path)[1],
        "callers": checks.callers_problems,
        sources.SOURCES: checks.sources_problems,
        readability.PLAIN_WORDS: lambda path: readability.load_plain_words(path)[1],
        catalogue.COURSE_KEY: lambda path: catalogue.load_course(path)[1],
        **dict.fromkeys(practice.FILE_KINDS, practice.practice_problems),
    }
    """What a file that is no tree says it is -> how it is checked by itself."""
    _KINDS = {settings.SETTINGS_KEY, "range", "transcript", *_CHECKS}

_SAMPLES, _STOPPED = 4, 1
"""Demo calls of a tree that templates are filled with."""


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult check trees/seating.yaml"
    option(parser, "files FILE", "files to check (the whole trees folder if left out)", nargs="*")
    flag(parser, "--json", "for editors and CI")
    flag(
        parser,
        "--prove",
        "prove it for every possible caller (seconds; kept until something changes)",
    )


def run(options: Namespace) -> Outcome:
    """Check the named files and folders, or every file of the trees that are used."""
    named = [trees_in(Path(name)) for name in options.files] or [trees_folder()]
    paths: list[Path] = []
    for path in named:
        inside = files_to_check(path) if path.is_dir() else [path]
        if not inside:
            return complain(f"There is no tree file in {path}.")
        paths += inside
    if missing := next((path for path in paths if not path.is_file()), None):
        return complain(f"There is no file {missing}.")
    templates = [path for path in paths if path.name.endswith(ENDING)]
    faults = set(problems_of_files(*(path for path in paths if path not in templates)))
    faults.update(template_problems(templates))
    altered = live_altered()
    if altered is not None and any(path.is_relative_to(altered[0]) for path in paths):
        fix = "Publish the change as a new version, or restore the files."
        faults.add(Problem(Where(str(altered[0]), 1, 1), altered[1], fix, "published"))
    for folder in named:
        faults.update(demo_problems(folder) if folder.is_dir() else ())
    problems = sorted(faults, key=lambda problem: (problem.where, problem.message))
    if options.prove:
        return proofs.run(paths, problems, as_json=options.json)
    if options.json:
        print_json([problem_json(problem) for problem in problems])
    else:
        print_problems(problems, to_stderr=False)
        folders = [path for path in named if path.is_dir()]
        tell(*(line for folder in folders for line in used_lines(folder)))
        print(proofs.checked(paths, problems))
        if how_many() and any(map(is_own, folders)):
            print(f"Your demo calls: {how_many()} run.")
        if not options.files and (more := not_checked(named[0])):
            tell(more)
    return proofs.outcome_by(problems)


def trees_in(path: Path) -> Path:
    """Of a maker's folder what publishing would take: the draft, or what is live without one."""
    library = Library(path.absolute() / LIBRARY)
    if not is_begun(path) or not library.root.is_dir():
        return path
    with suppress(LibraryTrouble, OSError):
        return library.draft if library.draft.is_dir() else library.live().folder
    return path


def files_to_check(folder: Path) -> list[Path]:
    """Every file of a folder of trees that can be checked, its settings with them."""
    own = [
        *sorted(folder.glob("*.yaml")),
        *sorted(folder.glob("practice/*.yaml")),
        *sorted(folder.glob("practice/courses/*.yaml")),
    ]
    if not own:
        return []
    both = (settings.settings_file(folder), learned.learned_file(folder))
    beside = [path for path in both if path and path.is_file()]
    above = [path for path in beside if path not in own]
    return [*own, *template_files(folder).values(), *above]


def problems_of_files(*paths: Path) -> list[Problem]:
    """The problems of files, each read as what it says it is.

    A sub-tree leans on the questions of the tree that includes it, so it is checked from there,
    and a tree once, however many of its files are named.
    """
    faults: list[Problem] = []
    roots: dict[Path, None] = {}
    others: list[tuple[Path, Marked]] = []
    included = cache(included_in)

    @cache  # many call files name the same tree, which is read for all of them once
    def questions(file: Path) -> Mapping[str, Question]:
        tree = load_tree(file)[0]
        return tree.questions if tree else {}

    for path in paths:
        marked, problems = load_marked(path)
        if marked is None:
            faults += problems
            continue
        kinds = marked.data if isinstance(marked.data, dict) else {}
        if "transcript" not in kinds:
            # In a call file they are what a caller said, and shown as signs.
            faults += _unseen(path, marked)
        begins = _KNOWN_BY.get(path.name)
        if begins and begins not in kinds and "tree" not in kinds:
            message = (
                f"{path.name} does not have the name '{begins}', by which such a file is known."
            )
            first = marked.key(next(iter(kinds))) if kinds else Where(str(path), 1, 1)
            faults.append(Problem(first, message, f"Begin it with {begins}:", "unknown-kind"))
            continue
        if not _KINDS.isdisjoint(kinds):
            others.append((path, marked))
            continue
        above = mains_above(path.stem, included(path.parent))
        roots.update(dict.fromkeys([path.with_name(f"{name}.yaml") for name in above] or [path]))
    for root in roots:
        faults += check_tree(root, features_for(root), limits=limits_beside(root))
        if declares(root):
            faults += [problem for problem in load_basis(root)[1] if problem not in faults]
    unsound = {Path(problem.where.file).parent for problem in faults if problem.severity == "error"}
    # They read the trees, which by now are known to be sound or not.
    for path, marked in others:
        is_told = path.parent.parent in unsound
        problems = _others(path, marked, questions)
        faults += [
            problem for problem in problems if not (is_told and problem.rule == practice.UNSOUND)
        ]
    return faults


def _unseen(path: Path, marked: Marked) -> list[Problem]:
    text = path.read_bytes().decode("utf-8-sig", "replace")
    # Only what YAML has written in letters and figures is not seen in the text itself.
    written = unseen_values(marked) if "\\" in text else ()
    return list(unseen_in(text, str(path))) or list(written)


def _others(path: Path, marked: Marked, questions: Questions) -> list[Problem]:
    """The problems of a file that is no tree."""
    kinds = marked.data
    if settings.SETTINGS_KEY in kinds:
        problems = [*settings.load_settings(path)[1], *checks.logo_problems(path)]
        return problems or list(_unknown_country(path, marked))
    if "range" in kinds:
        return [*load_range(path)[1], *checks.photo_problems(path), *_unlike_settings(path, marked)]
    for kind, check in _CHECKS.items():
        if kind in kinds:
            return check(path)
    return _transcript_problems(path, marked, questions)


def _unknown_country(path: Path, marked: Marked) -> Iterator[Problem]:
    """A maker's own country that the contacts beside the settings do not have."""
    file, country = path.with_name(contacts.CONTACTS_FILE), marked.raw("country")
    book = contacts.load_contacts(file)[0] if file.is_file() else None
    if book is None or country is None or country in book.countries:
        return
    known = book.find(country)
    fix = f"Write {known}." if known else f"It has {listed(book.countries)}."
    message = f"{file.name} has no country '{country}', so callers would hear others' contacts."
    yield Problem(marked.value("country"), message, fix, "unknown-country")


def _unlike_settings(path: Path, marked: Marked) -> Iterator[Problem]:
    """Where a range was imported before the settings were changed: it keeps its own money."""
    own = settings.settings_of(path.parent)
    tax = {True: "included", False: "excluded", None: ""}[own.with_tax]
    for key, wanted in (("currency", own.currency), ("vat", tax)):
        written = marked.data.get(key)
        if wanted and isinstance(written, str) and written != wanted:
            message = f"The prices here have the {key} {written}; by the settings it is {wanted}."
            fix = "Documents say what stands here. Import the price list again, or change one."
            yield Problem(marked.value(key), message, fix, "unlike-settings", "warning")


def template_problems(paths: Sequence[Path]) -> list[Problem]:
    """The problems of summary templates, each filled with some demo calls of every tree."""
    if not paths:
        return []
    problems: dict[Problem, None] = {}
    for folder in dict.fromkeys(path.parent.parent for path in paths):
        try:
            wording = wording_of(folder)
        except BrokenWordingError as broken:
            problems[broken.problem] = None
            continue
        for name, file in sorted(wording.files.items()):
            problems.update(dict.fromkeys(unseen_in(wording.sources[name], file)))
        demos = _telling(sorted(demo_folder().glob("*.yaml")))
        reads = (read_call(path, load_population())[0] for path in demos)
        samples = (
            summarise(basis, state(basis, transcript.call), reference="7K3-M2Q", adviser="Ann")
            for transcript, basis in filter(None, reads)
        )
        problems.update(dict.fromkeys(problems_in(wording, samples)))
    # One that is named may take in another of its folder.
    folders = {path.parent for path in paths}
    return [problem for problem in problems if Path(problem.where.file).parent in folders]


def _telling(demos: Sequence[Path]) -> list[Path]:
    """A few demo calls of each tree: the first ones, and the first that was stopped."""
    chosen: dict[tuple[str, bool], list[Path]] = {}
    for path in demos:
        transcript, _ = load_transcript(path)
        if transcript is not None:
            stopped = transcript.expect.get("stopped") == "yes"
            alike = chosen.setdefault((transcript.tree, stopped), [])
            if len(alike) < (_STOPPED if stopped else _SAMPLES):
                alike.append(path)
    return [path for alike in chosen.values() for path in alike]


def _transcript_problems(path: Path, marked: Marked, questions: Questions) -> list[Problem]:
    transcript, problems = load_transcript(path)
    if transcript is None:
        return problems
    file = trees_folder() / f"{transcript.tree}.yaml"
    if not file.is_file():
        message = f"There is no tree '{transcript.tree}' in {trees_folder()}."
        hint = nearest(transcript.tree, (sibling.stem for sibling in file.parent.glob("*.yaml")))
        return [*problems, Problem(marked.value("tree"), message, hint, "unknown-tree")]
    names = questions(file)
    return problems + (unknown_questions(transcript, names) if names else [])
