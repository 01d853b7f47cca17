"""Reading a practice caller, as drawn for a seed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import cast

from consult.body.measured import Measured, Sex
from consult.body.plausibility import doubts
from consult.body.population import Population
from consult.call.understand import is_unknown, understand
from consult.content.callers.chance import ChanceKey, normal
from consult.marked.marks import Marked, load_marked
from consult.paths import shipped_trees
from consult.practice import caller_file
from consult.practice.caller_check import caller_problems
from consult.practice.model import Persona
from consult.practice.speech import FIGURES
from consult.practice.traits import FILE as TRAITS_FILE
from consult.practice.traits import Traits, draws_problems, load_traits, sized, with_traits
from consult.practice.truth import SOME_DAY, Believable, drawn_body, whole_truth
from consult.practice.ways import FILE as WORDS_FILE
from consult.practice.ways import Ways, keyed, load_ways, pick
from consult.problems import Problem
from consult.tree.learned import learned_file, load_learned
from consult.tree.model import Tree
from consult.tree.shares import FILE as SHARES_FILE
from consult.tree.shares import NO_SHARES, Shares, load_shares

SELF_MEASURED = 0.5
"""Of the population's error of self-measuring, what a careful caller's own readings have."""
_MOST = 1.0
"""Standard deviations of that error that a careful reading is never further off than."""
_BODIES = 12
"""Bodies drawn until one is found whose measures nobody would doubt; else the last."""
_STRICTER = 0.7
"""Doubts are looked for with errors this much smaller, to keep clear of the limit."""


def load_persona(
    path: Path, tree: Tree, population: Population, seed: int
) -> tuple[Persona | None, list[Problem]]:
    """One caller as drawn for a seed; None where the file has errors, which the problems name.

    The ways of speaking are those beside the file, else those beside the tree, else those that
    come with the program. Same file, tree, population and seed: the same caller, on any machine.
    """
    marked, problems = load_marked(path)
    if marked is None:
        return None, problems
    problems = [*problems, *caller_file.file_problems(marked)]
    if problems:
        return None, problems
    ways, wrong = load_ways(words_beside(path, tree))
    problems = [*wrong, *caller_problems(marked, tree, population, ways)]
    traits = None
    if caller_file.draws(marked):
        traits, wrong = traits_beside(path, tree)
        problems = [*problems, *wrong, *draws_problems(marked, traits)]
    if ways is None or any(problem.severity == "error" for problem in problems):
        return None, problems
    return persona_of(marked, path, tree, population, seed, ways, traits), problems


def traits_beside(path: Path, tree: Tree) -> tuple[Traits | None, list[Problem]]:
    """The traits that a caller's file may draw from; None where there are none to read."""
    file = words_beside(path, tree).with_name(TRAITS_FILE)
    return load_traits(file, tree) if file.is_file() else (None, [])


def words_beside(path: Path, tree: Tree) -> Path:
    """The words file that a caller's file goes with."""
    beside_tree = Path(tree.files[0]).parent / caller_file.FOLDER if tree.files else path.parent
    for folder in (path.parent, beside_tree):
        if (folder / WORDS_FILE).is_file():
            return folder / WORDS_FILE
    return shipped_trees() / caller_file.FOLDER / WORDS_FILE


def _shares_beside(tree: Tree) -> Shares:
    """The callers file beside the tree; every share by default where there is none to read."""
    path = Path(tree.files[0]).parent / SHARES_FILE if tree.files else None
    shares = load_shares(path)[0] if path is not None and path.is_file() else None
    if shares is None or path is None:
        return NO_SHARES
    learned = load_learned(learned_file(path.parent))[0]
    return shares.as_learned(learned.of("share")) if learned else shares


def persona_of(
    marked: Marked,
    path: Path,
    tree: Tree,
    population: Population,
    seed: int,
    ways: Ways,
    traits: Traits | None,
) -> Persona:
    """The caller of a file that has no errors; ``traits`` are given where it draws any."""
    name = marked.raw(caller_file.KEY) or ""
    parts, bands = caller_file.parts(marked), caller_file.bands(marked)
    groups, said = tuple(population.groups), marked.data["sex"]
    sex = cast("Sex", said if said in groups else pick(groups, *keyed(seed, name, "sex")))
    if traits is not None:
        draws = caller_file.draws(marked)
        parts = with_traits(parts, draws, traits, keyed(seed, name, "traits"))
    parts = sized(parts, keyed(seed, name, "sized"))
    listed = dict(parts.truth)
    for behaviour in parts.behaviours:
        # A sign said in passing is true, whether or not the file says so twice.
        if behaviour.kind == "sign_in_passing":
            listed.setdefault(behaviour.about, behaviour.answer)
    shares, names = _shares_beside(tree), ways.phrases.get("names", ())
    for attempt in range(_BODIES):
        key = keyed(seed, name, attempt)
        body = drawn_body(population, sex, bands, (*key, "body"))
        drawn = Believable(sex, body, population, shares, names, keyed(seed, name, "truth"))
        truth = whole_truth(tree, listed, drawn)
        persona = Persona(
            name=name,
            title=marked.raw("title") or "",
            turns_out=marked.raw("turns_out") or "",
            tree=tree.name,
            opening=parts.opening,
            sex=sex,
            body=body,
            truth=truth,
            manner=parts.manner,
            behaviours=parts.behaviours,
            file=path,
            listed=frozenset(listed),
            measured=_readings(tree, truth, body, population, key),
            questions=tree.questions,
            says=parts.says,
            ways=ways,
        )
        if not _doubted(persona, population):
            break
    return persona


def _readings(
    tree: Tree,
    truth: Mapping[str, str],
    body: Mapping[str, float],
    population: Population,
    key: ChanceKey,
) -> dict[str, float]:
    """Question with a figure -> what the caller reads off, mm, kg or plain."""
    remembered = any(
        question.sets == "stature_origin" and truth[name] == "remembered"
        for name, question in tree.questions.items()
    )
    found = {}
    for name, question in tree.questions.items():
        if question.answer not in FIGURES or is_unknown(truth[name]):
            continue
        dimension = question.measures
        if dimension is None or dimension not in body:
            value = understand(question, truth[name], SOME_DAY).value
            found[name] = value if isinstance(value, float) else 0.0
            continue
        off = min(max(normal(*key, name, "error"), -_MOST / SELF_MEASURED), _MOST / SELF_MEASURED)
        found[name] = body[dimension] + SELF_MEASURED * population.measurement_sd(dimension) * off
        if dimension == "stature" and remembered:
            found[name] += population.remembered_bias or 0.0
    return found


def _doubted(persona: Persona, population: Population) -> bool:
    """Whether the desk would doubt a careful reading, whichever measures came before it."""
    taken: list[Measured] = []
    asked = persona.questions
    told = any(q.sets == "sex" and persona.truth[name] == persona.sex for name, q in asked.items())
    for name, reading in persona.measured.items():
        dimension, expect = asked[name].measures, asked[name].expect
        if dimension is None:
            continue
        if expect and not expect[0] <= reading <= expect[1]:
            return True
        error = _STRICTER * population.measurement_sd(dimension)
        taken.append(Measured(dimension, reading, error))
    sex = persona.sex if told else None
    return any(doubts(population, taken[:many], sex) for many in range(1, len(taken) + 1))
