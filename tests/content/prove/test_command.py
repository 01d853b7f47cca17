"""``consult check --prove`` and what a promise may say."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from consult.call.basis import load_basis
from consult.cli import main
from consult.commands.outcome import Outcome
from consult.content.prove.kept import prove
from consult.paths import shipped_trees
from consult.tree.check import check_tree
from consult.tree.load import load_tree

TREE = """tree: little
title: Little
version: 1
first: signs
questions:
  signs:
    ask: Any of these?
    answer: choices
    choices: {none: None, bad: Bad, worse: Worse}
    exclusive: none
    next: end
cautions:
  - name: stop_here
    level: stop
    when: bad in signs
    say: Stop.
    source: common_practice
advice:
  - name: go_on
    topic: going
    when: signs == none
    say: Go on.
    because: Nothing is wrong.
    source: common_practice
  - name: wait
    topic: going
    contradicts: go_on
    when: worse in signs
    say: Wait.
    because: Something is wrong.
    source: common_practice
always:
  - name: bad_stops
    when: bad in signs
    then: stopped and caution.stop_here and not advice.go_on and asked.signs
    because: Safety.
    source: common_practice
"""


def written(folder: Path, text: str) -> Path:
    shutil.copy(shipped_trees() / "contacts.yaml", folder)
    file = folder / "little.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_read(tmp_path: Path) -> None:
    """Promises and contradictions are part of the tree."""
    tree = load_tree(written(tmp_path, TREE))[0]
    assert tree is not None
    (promise,) = tree.always
    assert promise.name == "bad_stops"
    assert promise.where.line == TREE[: TREE.index("name: bad_stops")].count("\n") + 1
    assert promise.then.names == {
        "call.stopped",
        "caution.stop_here",
        "advice.go_on",
        "asked.signs",
    }
    assert [each.contradicts for each in tree.advice] == [(), ("go_on",)]


@pytest.mark.parametrize(
    ("old", "new", "at", "rule", "words"),
    [
        ("caution.stop_here", "caution.stop_her", 0, "unknown-name", "'caution.stop_here'?"),
        ("asked.signs", "asked.sighs", 0, "unknown-name", "Did you mean 'asked.signs'?"),
        ("advice.go_on", "need.seat", 0, "unknown-name", "has no need 'seat'"),
        ("stopped and", "stoped and", 0, "unknown-name", "'stoped'"),
        ("contradicts: go_on", "contradicts: go_off", 13, "unknown-advice", "'go_on'?"),
        ("contradicts: go_on", "contradicts: [go_on, wait]", 21, "contradicts", "itself"),
        ("when: worse in signs", "when: stopped", 6, "condition", "is known only after the call."),
        (
            "when: worse in signs",
            "when: asked.signs",
            6,
            "condition",
            "is known only after the call.",
        ),
        ("signs\n    then", "sighs\n    then", 0, "unknown-name", "'sighs'"),
    ],
)
def test_mistakes(tmp_path: Path, old: str, new: str, at: int, rule: str, words: str) -> None:
    """What a promise or a contradiction gets wrong is told in its place, with the nearest name."""
    assert TREE.count(old) == 1
    text = TREE.replace(old, new)
    before = text[: text.index(new) + at].split("\n")
    (problem,) = check_tree(written(tmp_path, text))
    assert (problem.where.line, problem.where.column) == (len(before), len(before[-1]) + 1)
    assert problem.rule == rule
    assert words in str(problem)


def test_same_name(tmp_path: Path) -> None:
    """Two promises cannot have one name."""
    again = TREE[TREE.index("  - name: bad_stops") :]
    problems = check_tree(written(tmp_path, TREE + again))
    assert [problem.rule for problem in problems] == ["name-twice"]


def test_plain_check_says_nothing_of_proofs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without the flag nothing is proven and nothing of it is said."""
    assert main(["check", str(written(tmp_path, TREE))]) == 0
    assert capsys.readouterr().out == "1 file checked: 0 errors, 0 warnings.\n"


def test_proves(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With it the promises are counted, and callers found."""
    pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")
    assert main(["check", "--prove", str(written(tmp_path, TREE))]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "little: 2 promises: 2 proven, 0 refuted, 0 not proven.",
        "little: a caller was found and tried for 4 of 4 questions, cautions, advice and needs.",
        "1 file checked: 0 errors, 0 warnings.",
    ]


def test_refutes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A broken promise fails the check, names the caller, and is in the JSON with all answers."""
    pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")
    file = written(
        tmp_path, TREE.replace("when: bad in signs\n    then", "when: signs != none\n    then")
    )
    assert main(["check", "--prove", "--json", str(file)]) == 1
    out = json.loads(capsys.readouterr().out)
    (problem,) = out["problems"]
    assert problem["rule"] == "promise-broken"
    assert problem["message"].endswith("is broken by a caller who says: signs worse.")
    promise = out["proofs"][0]["promises"][0]
    assert promise["standing"] == "refuted"
    assert promise["caller"]["answers"] == [{"question": "signs", "said": "worse"}]


def test_errors_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of a tree with errors nothing is proven, and that is said."""
    file = written(tmp_path, TREE.replace("bad in signs\n    say", "bat in signs\n    say"))
    assert main(["check", "--prove", str(file)]) == 1
    assert "nothing was proven, because the file has errors." in capsys.readouterr().out


def test_stopping_it_is_said_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl+C ends it, and says what is not lost."""

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("consult.commands.prove.proofs_of", stopped)
    assert main(["check", "--prove", str(written(tmp_path, TREE))]) == Outcome.BROKEN_OFF
    assert "Trees that were proven whole are remembered" in capsys.readouterr().err


def test_how_far_it_is(tmp_path: Path) -> None:
    """Every piece is told before it is looked at."""
    basis, _ = load_basis(written(tmp_path, TREE))
    assert basis is not None
    told: list[tuple[int, int]] = []
    proofs = prove(basis.tree, basis, lambda done, of: told.append((done, of)))
    pieces = len(proofs.witnesses)
    assert told == [(done, pieces) for done in range(pieces)]
