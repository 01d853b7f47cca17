"""The guide alone builds the worked example: its blocks, put where it says, are the example."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.expectation import disappointments
from consult.call.state import state
from consult.call.transcript import load_transcript, unknown_questions
from consult.content.begin import first_tree
from consult.content.prove.kept import proofs_of
from consult.paths import shipped_trees
from consult.problems import Problem
from consult.summary.render import Writer
from consult.tree.check import check_tree
from tests.content.guide import GUIDE

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"
_SECTION = GUIDE.partition("## Another kind of product")[2]


def blocks() -> Iterator[str]:
    """The files and pieces of files that the section shows, in its order."""
    return iter(re.findall(r"```yaml\n(.*?)```", _SECTION, flags=re.S))


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A draft as the guide has it built, from what an empty folder begins with."""
    folder = tmp_path_factory.mktemp("desks")
    for name in ("safety.yaml", "contacts.yaml", "settings.yaml"):
        (folder / name).write_bytes((shipped_trees() / name).read_bytes())
    begun = first_tree("desk")
    assert begun is not None
    name, tree = begun
    fitting, old, new, questions, rules, demo = blocks()
    tree = tree.replace(old, new)
    tree = tree.replace("    next: call_back_number\n\n  call_back", "    next: sex\n\n  call_back")
    tree = tree.replace("  call_back_number:\n", f"{questions}\n  call_back_number:\n")
    (folder / name).write_text(f"{tree}\n{rules}")
    (folder / "fitting.yaml").write_text(fitting)
    (folder / "demo.yaml").write_text(demo)
    return folder


def basis_in(folder: Path) -> tuple[Basis, list[Problem]]:
    """The tree of a folder, and what is to be said of it."""
    basis, problems = load_basis(folder / "desk_fitting.yaml")
    assert basis is not None, problems
    return basis, problems


def test_it_is_the_example(built: Path) -> None:
    """What comes of the steps asks, advises and sells as the example does, and is sound."""
    basis, problems = basis_in(built)
    assert problems == []
    assert check_tree(built / "desk_fitting.yaml") == []
    shipped, told = basis_in(EXAMPLE)
    assert told == []
    assert basis.range is not None
    assert shipped.range is not None
    assert basis.range == replace(shipped.range, maker=basis.range.maker)
    assert list(basis.tree.questions) == list(shipped.tree.questions)
    for name, one in basis.tree.questions.items():
        other = shipped.tree.questions[name]
        assert (one.ask, one.answer, one.unit) == (other.ask, other.answer, other.unit)
    assert [one.name for one in basis.tree.advice] == [one.name for one in shipped.tree.advice]
    assert [one.name for one in basis.tree.needs] == [one.name for one in shipped.tree.needs]


def test_its_demo_call_comes_out(built: Path) -> None:
    """The demo call of the guide ends with the desk and the figures it says."""
    transcript, problems = load_transcript(built / "demo.yaml")
    assert transcript is not None, problems
    basis, _ = basis_in(built)
    now = state(basis, transcript.call)
    assert now.picked is not None
    codes = [part.code for part in now.picked.parts.values()]
    assert codes == ["FRAME-THREE", "TOP-140", "HAND-MEMORY"]
    assert now.finished


def test_its_promises_are_proven(built: Path, tmp_path: Path) -> None:
    """The warning signs stop every caller before a desk is measured for."""
    pytest.importorskip("z3")
    proofs = proofs_of(basis_in(built)[0], tmp_path, witnesses=False)
    assert {one.standing for one in proofs.properties} == {"proven"}


def test_signs_and_contacts_are_those_of_the_program() -> None:
    """The example has no warning signs of its own that a later one could leave behind."""
    for name in ("safety.yaml", "contacts.yaml"):
        assert (EXAMPLE / name).read_bytes() == (shipped_trees() / name).read_bytes()


@pytest.mark.parametrize(
    ("file", "old", "new", "rule"),
    [
        ("desk_fitting", "next: the_safety\n", "next: sex\n", "floor-not-asked"),
        ("desk_fitting", "<fit.desk_height>", "<fit.seat_depth>", "unknown-blank"),
        ("desk_fitting", "known(fit.desk_height)", "fit.footrest_needed", "unknown-name"),
        ("desk_fitting", "known(fit.desk_height)", "fit.load > 20", "limit-named"),
        ("fitting", "from: room_width", "from: room_width - 5 kg", "units"),
        ("fitting", "from: room_width", "from: equipment", "units"),
        ("fitting", "at_most: frame.load - top.weight", "within: frame.load", "units"),
        ("fitting", "  equipment: 15 kg", "  equipmant: 15 kg", "unknown-name"),
        ("fitting", "from: room_width", "from: room_with", "unknown-name"),
        ("fitting", "body.popliteal_height", "body.knees", "unknown-name"),
    ],
)
def test_what_does_not_go_together_is_told(
    built: Path, tmp_path: Path, file: str, old: str, new: str, rule: str
) -> None:
    """A way past the warning signs, a figure that nothing declares, and a sum of what nobody asks
    or measures are errors."""
    folder = tmp_path / "desks"
    copytree(built, folder)
    path = folder / f"{file}.yaml"
    text = path.read_text("utf-8").replace(
        "known(fit.standing_desk_height)", "known(fit.desk_height)"
    )
    assert old in text
    path.write_text(text.replace(old, new, 1))
    basis, problems = load_basis(folder / "desk_fitting.yaml")
    assert basis is None
    assert rule in {one.rule for one in problems if one.severity == "error"}


def test_without_the_declared_file_it_says_so(built: Path, tmp_path: Path) -> None:
    """The tree says what it works out, and nothing beside it declares that."""
    folder = tmp_path / "desks"
    copytree(built, folder)
    (folder / "fitting.yaml").unlink()
    basis, problems = load_basis(folder / "desk_fitting.yaml")
    assert basis is None
    assert any("there is no fitting.yaml beside it" in str(one) for one in problems)


def test_a_quantity_of_ones_own_is_named_and_said(built: Path, tmp_path: Path) -> None:
    """In conditions and blanks, alone and in a sum; screens and documents call it by its label."""
    folder = tmp_path / "desks"
    copytree(built, folder)
    for name, old, new in (
        ("fitting", "  load:\n", TRAY),
        ("desk_fitting", "advice:\n", ADVICE),
        ("demo", "advice: [heights", "advice: [tray, heights"),
        ("demo", "  fit.standing", "  fit.tray_height: 116 to 118\n  fit.standing"),
    ):
        path = folder / f"{name}.yaml"
        text = path.read_text("utf-8")
        assert text.count(old) == 1
        path.write_text(text.replace(old, new))
    transcript, problems = load_transcript(folder / "demo.yaml")
    assert transcript is not None, problems
    basis, told = basis_in(folder)
    assert (told, check_tree(folder / "desk_fitting.yaml")) == ([], [])
    now = state(basis, transcript.call)
    assert disappointments(transcript, now) == []
    assert now.fit is not None
    tray = now.fit.requirements["tray_height"].target
    given = {one.advice.name: one.say for one in now.advice}
    assert f"Hang it {tray / 10:.1f} cm up, {tray / 10 - 5:.1f} cm for two." in given["hang"]
    document = Writer(basis, now).write("text", "caller").decode()
    assert "Top of the tray: " in document
    assert re.search(r"Top of the tray +11[67]", document)
    assert re.search(r"Desk height for sitting +[67]", document)
    path = folder / "desk_fitting.yaml"
    path.write_text(
        path.read_text("utf-8").replace("when: fit.tray_height", "when: fit.tray_hight")
    )
    (wrong,) = [one for one in check_tree(path) if one.severity == "error"]
    said = (wrong.message, wrong.fix)
    assert said == ("There is no 'fit.tray_hight'.", "Did you mean 'fit.tray_height'?")


TRAY = """\
  tray_height:
    label: Top of the tray
    from: body.elbow_height_standing + heel - 50 mm
    below: 40 mm
    above: 20 mm
    within: frame.height
    reason: You reach it with your arms hanging.
    source: common_practice
  load:
"""
ADVICE = """\
advice:
  - name: hang
    topic: tray
    when: fit.tray_height > 100
    say: Hang it <fit.tray_height> up, <fit.tray_height - 5 cm> for two.
    because: You reach it with your arms hanging.
    source: common_practice
"""


@pytest.mark.parametrize(
    "path", sorted((EXAMPLE / "demo_calls").glob("*.yaml")), ids=lambda p: p.stem
)
def test_the_demo_calls_come_out(path: Path) -> None:
    """Every demo call of the example ends as it says, with no answer left over."""
    transcript, problems = load_transcript(path)
    assert transcript is not None, problems
    basis, _ = basis_in(EXAMPLE)
    assert unknown_questions(transcript, basis.tree.questions) == []
    now = state(basis, transcript.call)
    assert [str(one) for one in disappointments(transcript, now)] == []
    assert {one.question for one in now.call.answers} <= {one.question.name for one in now.steps}
