"""Practice callers as files: read as drawn for a seed, and what ``consult check`` says of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any, cast

from consult.body.derived import with_derived
from consult.body.measured import Measured, Sex
from consult.body.plausibility import doubts
from consult.body.population import Population, load_population
from consult.call.basis import Basis, limits_beside
from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.fitted import derived_of
from consult.call.route import walk
from consult.call.understand import is_unknown, understand
from consult.content.callers.chance import ChanceKey, normal, uniform
from consult.content.callers.says import Person
from consult.marked.marks import Marked, load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.paths import shipped_trees
from consult.practice import caller_file
from consult.practice.caller_check import caller_problems
from consult.practice.model import Persona
from consult.practice.scoring.evidence import facts_of, grave, learn_answer
from consult.practice.speech import SPOKEN_FIGURES
from consult.practice.traits import (
    TRAITS_FILE,
    TRAITS_KEY,
    Traits,
    draws_problems,
    load_traits,
    sized,
    with_traits,
)
from consult.practice.truth import SOME_DAY, Believable, drawn_body, whole_truth
from consult.practice.ways import (
    WORDS_FILE,
    WORDS_SCHEMA,
    Ways,
    keyed,
    load_ways,
    pick,
    unknown_answers,
)
from consult.problems import Problem, nearest
from consult.tree.contacts import CONTACTS_FILE, load_contacts
from consult.tree.learned import learned_file, load_learned
from consult.tree.load import load_tree
from consult.tree.model import Tree
from consult.tree.shares import NO_SHARES, SHARES_FILE, Shares, load_shares

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
    return persona_of(marked, tree, population, seed, ways, traits), problems


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


def _all_know(shares: Shares) -> Shares:
    """The same, but that nobody does not know: of an invented caller the file says who does not."""
    entries = shares.questions.items()
    stated = {
        name: replace(entry, unknown=0.0) for name, entry in entries if entry.unknown is not None
    }
    return replace(shares, unknown=0.0, questions={**shares.questions, **stated})


def persona_of(
    marked: Marked,
    tree: Tree,
    population: Population,
    seed: int,
    ways: Ways,
    traits: Traits | None,
) -> Persona:
    """The caller of a file that has no errors; ``traits`` are given where it draws any."""
    name = marked.raw(caller_file.CALLER_KEY) or ""
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
    shares, names = _all_know(_shares_beside(tree)), ways.phrases.get("names", ())
    of_truth = keyed(seed, name, "truth")
    number = int(uniform(*of_truth, "number") * 1_000_000)
    for attempt in range(_BODIES):
        key = keyed(seed, name, attempt)
        body = drawn_body(population, sex, bands, (*key, "body"))
        person = Person(number, 1, sex, body, remembers=False)
        believable = Believable(person, population, shares, names, of_truth)
        truth = whole_truth(tree, listed, believable)
        persona = Persona(
            name=name,
            title=marked.raw("title") or "",
            turns_out=marked.raw("turns_out") or "",
            opening=parts.opening,
            sex=sex,
            body=body,
            truth=truth,
            manner=parts.manner,
            behaviours=parts.behaviours,
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
    readings = {}
    for name, question in tree.questions.items():
        if question.answer not in SPOKEN_FIGURES or is_unknown(truth[name]):
            continue
        dimension = question.measures
        if dimension is None or dimension not in body:
            value = understand(question, truth[name], SOME_DAY).value
            readings[name] = value if isinstance(value, float) else 0.0
            continue
        off = min(max(normal(*key, name, "error"), -_MOST / SELF_MEASURED), _MOST / SELF_MEASURED)
        readings[name] = (
            body[dimension] + SELF_MEASURED * population.measurement_sd(dimension) * off
        )
        if dimension == "stature" and remembered:
            readings[name] += population.remembered_bias or 0.0
    return readings


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


# -- what ``consult check`` says of practice files: a caller's, traits, the ways of speaking -------


_HEAD = (caller_file.CALLER_KEY, "title", "tree", "sex")


def _left_out(at: int) -> dict[str, str]:
    """Stands for a behaviour of the wrong form, so that the others keep their places."""
    return {"name": f"left_out_{at}", "kind": "mixes_units", "explain": "Left out."}


def sound_part(marked: Marked) -> Marked | None:
    """The file without its pieces of the wrong form; None where even its head has some."""
    data = marked.data
    if not isinstance(data, dict) or any(name not in data for name in _HEAD):
        return None
    head = {name: data[name] for name in _HEAD}

    def follows(piece: Mapping[str, Any], what: str) -> bool:
        """Whether a piece follows the schema beside the head."""
        return not caller_file.file_problems(caller_file.piece(marked, {**head, **piece}, what))

    if not follows({}, "head"):
        return None
    sound: dict[str, Any] = dict(head)
    for name, block in data.items():
        if name == "behaviours" and isinstance(block, list):
            block = [
                one if follows({name: [one]}, f"{name} {at}") else _left_out(at)
                for at, one in enumerate(block)
            ]
        if follows({name: block}, name):
            sound[name] = block
    return caller_file.piece(marked, sound, "sound")


def sign_problems(marked: Marked, persona: Persona, basis: Basis) -> Iterator[Problem]:
    """A warning for each stop or referral that is true of a caller and that no question finds.

    Stops are ignored on the way, so that each of several signs is looked for. A sign may be found
    by a remark where the caller also hears the list: then the adviser knows that it is one.
    """
    true, facts = facts_of(basis, persona.truth), Facts(basis, "metric")
    answers = {name: Answer(name, said) for name, said in persona.truth.items()}
    steps, _ = walk(basis.tree, answers, facts, SOME_DAY, lambda *_: False)
    asked = {step.question.name for step in steps}
    if any(step.question.signs for step in steps):
        for behaviour in persona.behaviours:
            if behaviour.kind == "sign_in_passing":
                learn_answer(facts, behaviour.about, behaviour.answer)
    for caution in grave(basis.tree):
        if caution.when.evaluate(true.lookup) is not True or caution.when.evaluate(facts.lookup):
            continue
        open_ = caution.when.names - asked
        stated = [name for name in caller_file.listed_truth(marked) if name in open_]
        where = marked.value("truth", stated[0]) if stated else marked.key(caller_file.CALLER_KEY)
        calls_for = caution.name.replace("_", " ")
        message = f"The tree never asks this caller about the sign for '{calls_for}'."
        fix = "Change an answer that leads past that question, or delete the sign."
        yield Problem(where, message, fix, "sign-never-asked", "warning")


FILE_KINDS = (caller_file.CALLER_KEY, "ways_of_speaking", TRAITS_KEY)
"""Names at the top of a file that make it one of practice."""
UNSOUND = "unsound-tree"
"""The rule of a problem that only follows from those of the tree beside it."""


def practice_problems(path: Path) -> list[Problem]:
    """Everything wrong with a practice file, in the order of its lines.

    Its trees are looked for in the folder above it.
    """
    marked, problems = load_marked(path)
    if marked is None:
        return problems
    data = marked.data if isinstance(marked.data, dict) else {}
    if TRAITS_KEY not in data and caller_file.CALLER_KEY not in data:
        problems = [*problems, *load_ways(path)[1]]
        choices = _choices(path.parent.parent)
        if choices is not None and not schema_problems(marked, load_schema(WORDS_SCHEMA)):
            problems += unknown_answers(marked, choices)
        return problems
    if TRAITS_KEY not in data and (wrong_form := caller_file.file_problems(marked)):
        problems = [*problems, *wrong_form]
        # What has the right form is checked all the same: one round reports every mistake.
        sound = sound_part(marked)
        if sound is None:
            return problems
        marked = sound
    trees = path.parent.parent
    tree = _tree(trees / f"{marked.raw('tree')}.yaml", _state_of(trees))
    if tree is None:
        return [*problems, _no_tree(marked, trees)]
    if TRAITS_KEY in data:
        return [*problems, *load_traits(path, tree)[1]]
    problems = list(problems)
    ways, wrong = load_ways(words_beside(path, tree))
    if ways is None:
        first = wrong[0]
        message = f"The words file {first.where.file} cannot be read."
        problems.append(
            Problem(marked.key(caller_file.CALLER_KEY), message, "Check it first.", "no-words")
        )
    population = with_derived(load_population(), derived_of(tree, None))
    problems += caller_problems(marked, tree, population, ways)
    traits, wrong_traits = traits_beside(path, tree)
    problems += draws_problems(marked, traits, wrong_traits)
    contacts, _ = load_contacts(trees / CONTACTS_FILE)
    errors = (problem for problem in problems if problem.severity == "error")
    if ways is not None and contacts is not None and not any(errors):
        drawn = traits if caller_file.draws(marked) else None
        persona = persona_of(marked, tree, population, 1, ways, drawn)
        problems += sign_problems(marked, persona, Basis(tree, contacts, population))
    return problems


def _no_tree(marked: Marked, trees: Path) -> Problem:
    named, where = marked.raw("tree") or "", marked.value("tree")
    known = [other.stem for other in sorted(trees.glob("*.yaml"))]
    if named in known:
        message = f"The tree '{named}' has errors itself."
        return Problem(where, message, f"Check it first: {trees / f'{named}.yaml'}.", UNSOUND)
    message = f"There is no tree '{named}' in {trees}."
    return Problem(where, message, nearest(named, known), "no-tree")


def _state_of(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """What tells whether a file of a folder was changed since."""
    stats = [(path.name, path.stat()) for path in sorted(folder.glob("*.yaml"))]
    return tuple((name, found.st_mtime_ns, found.st_size) for name, found in stats)


@lru_cache(maxsize=16)
def _tree(path: Path, _state: tuple[tuple[str, int, int], ...]) -> Tree | None:
    """The tree of a file, read once for all its callers."""
    return load_tree(path, limits=limits_beside(path))[0] if path.is_file() else None


def _choices(folder: Path) -> dict[str, tuple[str, ...]] | None:
    """Every question of the main and sub-trees of a folder -> its choices; None where a file
    cannot be read, which may have any."""
    found: dict[str, tuple[str, ...]] = {}
    for path in sorted(folder.glob("*.yaml")):
        marked, _ = load_marked(path)
        if marked is None:
            return None
        data = marked.data if isinstance(marked.data, dict) else {}
        questions = data.get("questions") if "tree" in data else None
        for name, block in (questions or {}).items():
            choices = block.get("choices") if isinstance(block, dict) else None
            found[name] = (*found.get(name, ()), *(choices or {}))
    return found
