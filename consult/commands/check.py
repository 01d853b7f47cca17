"""``consult check``: every mistake in the trees, contacts, range and call files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from consult.call.transcript import load_transcript, unknown_questions
from consult.commands.outcome import Outcome, complain, print_json, print_problems, problem_json
from consult.fit.range_load import load_range
from consult.fit.range_model import FEATURES
from consult.paths import trees_folder
from consult.problems import Problem
from consult.tree.check import check_tree
from consult.tree.contacts import load_contacts
from consult.tree.load import load_tree
from consult.tree.marks import load_marked


def run(files: Sequence[str], *, as_json: bool) -> Outcome:
    """Check the named files, or every file of the trees folder."""
    paths = [Path(name) for name in files] or sorted(trees_folder().glob("*.yaml"))
    if not paths:
        return complain(f"There is no tree file in {trees_folder()}.")
    missing = [path for path in paths if not path.is_file()]
    if missing:
        return complain(f"There is no file {missing[0]}.")
    found = {problem for path in paths for problem in problems_of(path)}
    problems = sorted(found, key=lambda one: (one.where, one.message))
    errors = sum(problem.severity == "error" for problem in problems)
    if as_json:
        print_json([problem_json(problem) for problem in problems])
    else:
        print_problems(problems, to_stderr=False)
        warnings = len(problems) - errors
        print(f"{len(paths)} files checked: {errors} errors, {warnings} warnings.")
    return Outcome.FAILED if errors else Outcome.DONE


def problems_of(path: Path) -> list[Problem]:
    """The problems of one file, read as what its first line says it is."""
    marked, problems = load_marked(path)
    if marked is None:
        return problems
    kind = next(iter(marked.data), "") if isinstance(marked.data, dict) else ""
    if kind == "range":
        return load_range(path)[1]
    if kind == "contacts":
        return load_contacts(path)[1]
    if kind == "transcript":
        return _transcript_problems(path)
    return check_tree(path, frozenset(FEATURES))


def _transcript_problems(path: Path) -> list[Problem]:
    transcript, problems = load_transcript(path)
    if transcript is None:
        return problems
    tree = load_tree(trees_folder() / f"{transcript.tree}.yaml").tree
    return problems + (unknown_questions(transcript, tree.questions) if tree else [])
