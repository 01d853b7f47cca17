"""``consult check --prove``: what is certain of every caller, beside what the check finds."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from consult.body.derived import with_derived
from consult.body.population import load_population
from consult.call.basis import Basis, load_basis, range_beside
from consult.call.fitted import derived_of
from consult.commands.outcome import (
    Outcome,
    Progress,
    number_of,
    print_json,
    print_problems,
    problem_json,
    tell,
)
from consult.content.prove.kept import Proofs, proofs_of
from consult.content.prove.trying import Caller
from consult.content.prove.ways import dead_files, of_all_trees, only_proven
from consult.paths import proofs_folder
from consult.problems import Problem
from consult.tree import contacts
from consult.tree.draft import read_draft
from consult.tree.folder import main_trees
from consult.tree.load import load_with_gaps


def run(paths: Sequence[Path], quick: Sequence[Problem], *, as_json: bool) -> Outcome:
    """Prove the main trees that these files belong to; ``quick`` is what the check said."""
    wanted = {str(path) for path in paths}
    bases, left_out = [], []
    folders = dict.fromkeys(path.parent for path in paths)
    for path in [tree for folder in folders for tree in main_trees(folder).values()]:
        basis = _basis(path)
        if basis is not None:
            bases.append(basis)
        elif not wanted.isdisjoint(read_draft(path).files):
            left_out.append(str(path))
    named = [basis for basis in bases if not wanted.isdisjoint(basis.tree.files)]
    files = {file for basis in named for file in basis.tree.files}
    # What is never used in one tree may be used in another that includes the same sub-tree.
    beside = [
        basis for basis in bases if basis not in named and not files.isdisjoint(basis.tree.files)
    ]
    try:
        proofs = [_proven(basis) for basis in named]
        dead = dead_files(proofs)
        beside = [basis for basis in beside if not dead.isdisjoint(basis.tree.files)]
        # Who gets what in those is not asked for: that takes nine tenths of the time.
        proofs += [_proven(basis, witnesses=False) for basis in beside]
    except KeyboardInterrupt:
        message = "Stopped. Trees that were proven whole are remembered; run it again to go on."
        print(message, file=sys.stderr)
        raise
    proven = only_proven(quick, of_all_trees(proofs), [basis.tree for basis in (*named, *beside)])
    all_problems = [*quick, *(problem for problem in proven if problem.where.file in files)]
    problems = sorted(all_problems, key=lambda problem: (problem.where, problem.message))
    shown = proofs[: len(named)]
    if as_json:
        print_json(
            {
                "problems": [problem_json(problem) for problem in problems],
                "proofs": [proofs_json(proof) for proof in shown],
                "left_out": left_out,
            }
        )
        return outcome_by(problems)
    print_problems(problems, to_stderr=False)
    tell(*(line for proof in shown for line in proof_lines(proof)))
    for file in left_out:
        tell(f"{file}: nothing was proven, because the file has errors. Correct those first.")
    print(checked(paths, problems))
    return outcome_by(problems)


def checked(paths: Sequence[Path], problems: Sequence[Problem]) -> str:
    """How many files were checked, and what was found."""
    errors = sum(problem.severity == "error" for problem in problems)
    counts = f"{number_of(errors, 'error')}, {number_of(len(problems) - errors, 'warning')}"
    return f"{number_of(len(paths), 'file')} checked: {counts}."


def outcome_by(problems: Sequence[Problem]) -> Outcome:
    """Whether a check found errors."""
    return (
        Outcome.FAILED if any(problem.severity == "error" for problem in problems) else Outcome.DONE
    )


def proof_lines(proofs: Proofs) -> Iterator[str]:
    """What was proven of one tree, in plain words."""
    if proofs.not_proven:
        yield f"{proofs.tree}: {proofs.not_proven}"
    standing = Counter(promise.standing for promise in proofs.properties)
    kept = ", ".join(f"{standing[state]} {state}" for state in ("proven", "refuted", "not proven"))
    yield f"{proofs.tree}: {number_of(len(proofs.properties), 'promise')}: {kept}."
    for promise in proofs.properties:
        if promise.standing == "not proven":
            yield f"{proofs.tree}: '{promise.name}' is not proven. {promise.reason}"
    counter = Counter(witness.found for witness in proofs.witnesses)
    nobody = f"; {counter['impossible']} are impossible" if counter["impossible"] else ""
    yield (
        f"{proofs.tree}: a caller was found and tried for {counter['found']} of "
        f"{len(proofs.witnesses)} questions, cautions, advice and needs{nobody}."
    )
    for witness in proofs.witnesses:
        if witness.found in ("not found", "not decided"):
            yield (
                f"{proofs.tree}: no caller was found for the {witness.part} '{witness.name}', but "
                "it is not proven that there is none."
            )


def _proven(basis: Basis, *, witnesses: bool = True) -> Proofs:
    with Progress(1, what=f"Proving {basis.tree.name}") as progress:
        return proofs_of(basis, proofs_folder(), progress.at, witnesses=witnesses)


def _basis(path: Path) -> Basis | None:
    """What to try callers on; also of a draft that only lacks an otherwise."""
    basis, _ = load_basis(path)
    if basis is not None:
        return basis
    tree = load_with_gaps(path)
    whom, _ = contacts.load_contacts(path.with_name(contacts.CONTACTS_FILE))
    if tree is None or whom is None:
        return None
    range_ = range_beside(path)[0]
    people = with_derived(load_population(), derived_of(tree, range_))
    return Basis(tree, whom, people, range_)


# -- proofs as JSON, for editors and CI -----------------------------------------------------------


def proofs_json(proofs: Proofs) -> dict[str, object]:
    """Everything found out about one tree, every caller with all that was said."""
    return {
        "tree": proofs.tree,
        "not_proven": proofs.not_proven,
        "promises": [
            {
                "name": promise.name,
                **promise.where._asdict(),
                "standing": promise.standing,
                "reason": promise.reason,
                "caller": _caller_json(promise.caller),
            }
            for promise in proofs.properties
        ],
        "callers": [
            {
                "part": witness.part,
                "name": witness.name,
                **witness.where._asdict(),
                "found": witness.found,
                "caller": _caller_json(witness.caller),
            }
            for witness in proofs.witnesses
        ],
    }


def _caller_json(caller: Caller | None) -> dict[str, object] | None:
    if caller is None:
        return None
    return {
        "says": caller.says,
        "answers": [
            {"question": answer.question, "said": answer.said} for answer in caller.answers
        ],
        "lifted": list(caller.lifted),
    }
