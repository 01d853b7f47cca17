"""What the tests of practice share: a small tree with a caller, the shipped callers, a listener."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path

import numpy as np

from consult.body.population import Population, load_population
from consult.call.basis import Basis, load_basis
from consult.paths import shipped_trees
from consult.practice.caller_file import FOLDER
from consult.practice.catalogue import choices_in
from consult.practice.exercise import Exercise
from consult.practice.load import load_persona
from consult.practice.log import Turn
from consult.practice.model import MEASUREMENT, Persona
from tests.call.calls import basis_of

WORDS = Path(__file__).with_name("golden_words.yaml")
"""A words file of the tests' own, so that edits of the shipped one change nothing here."""
START = datetime(2026, 11, 25, 9, 30)
CALLERS = shipped_trees() / FOLDER
SHIPPED = {one.name: one for one in sorted(choices_in(CALLERS)[0], key=lambda one: one.path)}

TREE = """\
tree: little
title: A little call
version: 1
first: name
questions:
  name:
    ask: Who is it?
    answer: text
    sets: caller_name
    private: personal
    next: consent
  consent:
    ask: May I ask about your health?
    answer: yes-no
    unknown: refused
    sets: consent
    next:
      - {when: consent, go: sites}
      - {otherwise: stature}
  sites:
    ask: Where does it ache?
    answer: choices
    private: health
    choices: {none: Nowhere, back: The back, neck: The neck}
    exclusive: none
    next: signs
  signs:
    ask: Is any of this true?
    answer: choices
    unknown: refused
    private: health
    choices: {fever: A fever, none: None of these}
    exclusive: none
    next: since
  since:
    ask: For how long?
    answer: choice
    private: health
    choices: {worse: It gets worse, days: Some days}
    next: stature
  stature:
    ask: How tall are you?
    answer: length
    unit: cm
    expect: 140 to 205
    measures: stature
    next: leg
  leg:
    ask: How long is your lower leg?
    coach: Take your shoes off.
    answer: length
    unit: cm
    expect: 30 to 52
    measures: popliteal_height
    next: weight
  weight:
    ask: What do you weigh?
    answer: mass
    unit: kg
    expect: 40 to 160
    measures: weight
    next: heel
  heel:
    ask: How high are the heels?
    answer: length
    unit: cm
    expect: 0 to 8
    sets: heel
    next: hours
  hours:
    ask: How many hours?
    answer: count
    expect: 1 to 12
    next: kind
  kind:
    ask: What desk is it?
    answer: choice
    choices: {fixed: It stays, adjustable: It moves}
    sets: desk_kind
    next: when
  when:
    ask: When shall we ring?
    answer: date
    sets: follow_up
    next: end
cautions:
  - name: feverish
    level: stop
    when: fever in signs
    say: Please ring <contact>.
    contact: urgent
    source: common_practice
  - name: getting_worse
    level: refer
    when: since == worse
    say: Please have it seen by <contact>.
    contact: clinician
    source: common_practice
"""

HEAD = """\
practice: someone
title: Somebody
tree: little
sex: female
"""


@cache
def survey() -> Population:
    """The population the program uses unless told otherwise."""
    return load_population()


@cache
def shipped(name: str, seed: int) -> Persona:
    """A shipped caller as drawn for a seed."""
    listed = SHIPPED[name]
    persona, problems = load_persona(listed.path, basis_of(listed.tree).tree, survey(), seed)
    assert persona is not None, problems
    return persona


def written(folder: Path, text: str, name: str = "someone") -> Path:
    """A caller's file in a folder of trees of its own, with the little tree above it."""
    trees = folder / "trees"
    (trees / FOLDER).mkdir(parents=True, exist_ok=True)
    (trees / "little.yaml").write_text(TREE, "utf-8")
    (trees / "contacts.yaml").write_bytes((shipped_trees() / "contacts.yaml").read_bytes())
    (trees / FOLDER / "words.yaml").write_bytes(WORDS.read_bytes())
    path = trees / FOLDER / f"{name}.yaml"
    path.write_text(text, "utf-8")
    return path


def little(folder: Path, more: str = "", seed: int = 1) -> tuple[Basis, Persona]:
    """The little tree, and a caller of it whose file says ``more``."""
    path = written(folder, HEAD + more)
    basis, _ = load_basis(path.parent.parent / "little.yaml")
    assert basis is not None
    persona, problems = load_persona(path, basis.tree, basis.population, seed)
    assert persona is not None, problems
    return basis, persona


def begun(basis: Basis, persona: Persona, seed: int = 1) -> Exercise:
    """An exercise that nothing was said in."""
    return Exercise(basis, persona, seed, "guided", START)


def listen(exercise: Exercise, most: int = 150) -> list[str]:
    """Lead a call as a careful listener who asks again and enters exactly what was told.

    Gives back what the desk did not take; figures that a behaviour made wrong are left out, and
    were asked for again.
    """
    refused: list[str] = []
    enter_all(exercise, exercise.opening(), refused)
    while (question := exercise.session.asking) is not None:
        turn = exercise.ask(question.name)
        if question.name not in turn.tells or shows(exercise.persona, turn, MEASUREMENT):
            enter_all(exercise, turn, [], but=question.name)
            turn = exercise.again(question.name)
        enter_all(exercise, turn, refused)
        for name in turn.shown:
            behaviour = exercise.persona.behaviour(name)
            if behaviour.kind == "contradicts":
                enter_all(exercise, exercise.again(behaviour.about), refused)
        for raised in exercise.session.now.to_say:
            exercise.say(raised, START)
        assert len(exercise.turns) < most, f"'{question.name}' was asked over and over"
    return refused


def shows(persona: Persona, turn: Turn, kinds: frozenset[str]) -> bool:
    """Whether a behaviour of one of these kinds showed in a turn."""
    return any(persona.behaviour(name).kind in kinds for name in turn.shown)


def enter_all(exercise: Exercise, turn: Turn, refused: list[str], but: str = "") -> None:
    """Enter what a turn tells, but for one question; note what was not taken."""
    for name, said in turn.tells.items():
        if name == but:
            continue
        answered = exercise.enter(f"/{name}: {said}", START)
        if not answered.taken and unusual(exercise, name):
            # The desk is right to ask about somebody that few are like, who then stands by it.
            told = exercise.again(name).tells[name]
            again = (exercise.enter(f"/{name}: {told}", START) for _ in range(2))
            answered = next((one for one in again if one.taken), answered)
        if not answered.taken:
            refused.append(f"{name}: {said}: {answered.tell}")


def unusual(exercise: Exercise, name: str) -> bool:
    """Whether a question measures somebody whose true body hardly anybody has."""
    persona, population = exercise.persona, exercise.basis.population
    if persona.questions[name].measures is None:
        return False
    group = population.groups[persona.sex]
    apart = np.array(list(persona.body.values())) - group.mean
    return bool((np.abs(apart) > 2.4 * np.sqrt(np.diag(group.covariance))).any())
