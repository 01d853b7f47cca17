"""A small tree to edit, and what an edit of it comes to for a few callers."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from consult.call.basis import Basis, load_basis
from consult.call.transcript import Transcript
from consult.content.callers.simulation import CallerSource, Simulated, drawn
from consult.content.effect.compared import effect
from consult.content.effect.result import Effect, ImpactRow
from consult.paths import trees_folder
from consult.range.file import load_range
from consult.tree.shares import QuestionShares, Shares
from tests.call.calls import TODAY, call_of
from tests.content.callers.people import survey

COUNT = 40
SHARES = Shares(
    unknown=0.0,
    questions={
        "tired": QuestionShares(shares={"yes": 40.0, "no": 60.0}),
        "signs": QuestionShares(chances={"none": 50.0, "numb": 20.0, "fever": 40.0}),
    },
)
TREE = """\
tree: little
title: A little tree
version: 1
first: tired
questions:
  tired:
    ask: Are you tired?
    answer: yes-no
    next: signs
  signs:
    ask: Which of these is true?
    answer: choices
    choices: {none: None of these, numb: Numb hands, fever: A fever}
    exclusive: none
    next: stature
  stature:
    ask: How tall are you?
    coach: Against a wall.
    answer: length
    unit: cm
    expect: 140 to 205
    measures: stature
    next: lower_leg
  lower_leg:
    ask: How long is your lower leg?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 32 to 52
    measures: popliteal_height
    next: floor
  floor:
    ask: What floor?
    answer: choice
    choices: {carpet: Carpet, hard: Wood or stone}
    next: end
cautions:
  - name: numb_stop
    level: stop
    when: numb in signs
    say: I have to stop here.
    source: common_practice
  - name: fever_refer
    level: refer
    when: fever in signs
    say: Please see a doctor.
    source: common_practice
advice:
  - name: rest
    topic: rest
    when: tired
    say: Rest now and then.
    source: common_practice
needs:
  - name: soft
    when: floor == hard
    feature: soft_castors
    strength: must
    because: The floor is hard.
    source: common_practice
"""


def basis_of(folder: Path, text: str = TREE, range_text: str | None = None) -> Basis:
    """The tree in a folder of its own, with the shipped contacts and the given range or none."""
    folder.mkdir(exist_ok=True)
    shutil.copy(trees_folder() / "contacts.yaml", folder)
    (folder / "little.yaml").write_text(text, "utf-8")
    basis, problems = load_basis(folder / "little.yaml", survey())
    assert basis is not None, [str(one) for one in problems]
    if range_text is None:
        return basis
    # Beside a range the check would ask for the warning signs, which are not what is tried here.
    (folder / "range.yaml").write_text(range_text, "utf-8")
    return replace(basis, range=load_range(folder / "range.yaml")[0])


def people(count: int = COUNT, shares: Shares = SHARES) -> list[Simulated]:
    """Callers who have not been asked anything yet."""
    return drawn(CallerSource(shares, survey(), 1, TODAY), count)


def edited(
    folder: Path, *edits: tuple[str, str], demos: Sequence[Transcript] = (), count: int = COUNT
) -> Effect:
    """What comes of the little tree with pieces of its text replaced."""
    text = TREE
    for piece, other in edits:
        assert piece in text, piece
        text = text.replace(piece, other)
    old, new = basis_of(folder / "old"), basis_of(folder / "new", text)
    return effect(old, new, people(count), demos)


def demo(title: str, expect: dict[str, object] | None = None, **answers: str) -> Transcript:
    """A demo call of the little tree."""
    return Transcript(Path("demo.yaml"), title, "little", call_of(answers), expect or {})


def rows(found: Effect) -> dict[tuple[str, str], ImpactRow]:
    """The rows by kind and name."""
    return {(row.kind, row.what): row for row in found.rows}


def told_of(found: Effect) -> set[tuple[str, str]]:
    """Kinds and names of the rows."""
    return set(rows(found))
