"""A maker's own demo calls: written from a stored call by one command, run by the check."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from consult.call.chosen import parts_named
from consult.commands.outcome import Outcome
from consult.paths import shipped_trees
from tests.commands.conftest import run as run
from tests.commands.runs import Run
from tests.ui.desk import demo, demo_basis
from tests.ui.test_follow_up import REFERENCE, keep


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A maker's folder whose trees are the demo's, with the first demo call stored."""
    folder = tmp_path / "boyne"
    library = folder / "library" / "versions" / "1"
    library.parent.mkdir(parents=True)
    library.symlink_to(shipped_trees(), target_is_directory=True)
    (folder / "library" / "live").write_text("1\n")
    trees = folder / "trees"
    trees.mkdir()
    for file in shipped_trees().glob("*.yaml"):
        (trees / file.name).write_text(file.read_text("utf-8"), "utf-8")
    monkeypatch.setenv("CONSULT_FOLDER", str(folder))
    monkeypatch.setenv("CONSULT_TREES", str(trees))
    monkeypatch.setenv("CONSULT_RECORDS", str(folder / "records.db"))
    call = demo("01").call
    noted = tuple(replace(one, note="rings from her sister's") for one in call.answers)
    keep(folder / "records.db", replace(call, answers=noted), demo_basis())
    return folder


def test_from_a_stored_call_to_a_check(run: Run, own: Path) -> None:
    """It holds its chair and figures; the check runs it, and tells by its line what changed."""
    made = run("records", "demo", REFERENCE, "--name", "short_caller")
    assert (made.code, made.err) == (Outcome.DONE, "")
    file = own / "demo_calls" / "short_caller.yaml"
    expect = yaml.safe_load(file.read_text("utf-8"))["expect"]
    assert expect["finished"] == "yes"
    assert "SEAT-S" in expect["parts"] or "SEAT-M" in expect["parts"]
    assert "fit.seat_height" in expect
    good = run("check")
    assert good.code == Outcome.DONE, good.out
    assert "Your demo calls: 1 run." in good.out
    prices = own / "trees" / "range.yaml"
    code = expect["parts"][0]
    prices.write_text(prices.read_text("utf-8").replace(f"code: {code}\n", "code: OTHER-1\n"))
    bad = run("check")
    assert bad.code == Outcome.FAILED
    assert "short_caller.yaml:" in bad.out
    assert f"{code} did not come out" in bad.out


def test_nothing_that_names_a_caller_is_in_it(run: Run, own: Path) -> None:
    """No name, contact, address, note, time, or answer about health."""
    run("records", "demo", REFERENCE, "--name", "short_caller")
    text = (own / "demo_calls" / "short_caller.yaml").read_text("utf-8")
    tree = demo_basis().tree
    for answer in demo("01").call.answers:
        question = tree.questions[answer.question]
        if question.answer == "text" or question.private == "health":
            assert answer.said not in text or answer.said in ("none", "no", "yes"), answer
    assert "Fenwick" not in text
    assert "sister" not in text
    assert "note:" not in text
    assert " at:" not in text
    assert "consent: 'no'" in text


def test_what_cannot_be_written(run: Run, own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A name that is no file, or is taken; a call not stored; no folder of one's own."""
    assert run("records", "demo", REFERENCE, "--name", "twice").code == 0
    for words in ((REFERENCE, "../x"), (REFERENCE, "twice"), ("222-222", "other")):
        made = run("records", "demo", words[0], "--name", words[1])
        assert (made.code, bool(made.err)) == (Outcome.BAD_USE, True)
    assert [one.name for one in (own / "demo_calls").iterdir()] == ["twice.yaml"]
    monkeypatch.delenv("CONSULT_FOLDER")
    told = run("records", "demo", REFERENCE, "--name", "third")
    assert (told.code, "consult begin" in told.err) == (Outcome.BAD_USE, True)


def test_parts_are_named_by_codes_with_slashes() -> None:
    """As an order system writes them, in a sentence."""
    assert demo_basis().range is not None
    found = demo_basis().range
    assert found is not None
    seat = replace(found.parts["seat"][0], code="S/M-100")
    own = replace(found, parts={**found.parts, "seat": (seat, *found.parts["seat"][1:])})
    assert parts_named(own, "the one with S/M-100, please") == ("S/M-100",)
    assert parts_named(own, "s m-100") == ("S/M-100",)
    assert parts_named(own, "S/M-1001") == ()
