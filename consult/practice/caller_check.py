"""A caller's file held against its tree and the population: names, bodies, truths, behaviours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from consult.body.measured import Sex
from consult.body.population import Population
from consult.call.route import outside
from consult.call.stops import warning_questions
from consult.call.understand import is_unknown, understand
from consult.marked.marks import Marked, Steps
from consult.practice import caller_file
from consult.practice.model import (
    ALREADY_SHOWS,
    IN_PASSING,
    MEASUREMENT,
    OPENING,
    STOP,
    WITHHOLDS,
    Behaviour,
)
from consult.practice.speech import SPOKEN_FIGURES
from consult.practice.truth import BODY_REACH, SOME_DAY, holds, usual_value
from consult.practice.ways import Ways
from consult.problems import Problem, listed, nearest, shortened
from consult.tree.model import Question, Tree
from consult.units import Unclear


def body_problems(marked: Marked, population: Population) -> Iterator[Problem]:
    """Dimensions nobody knows, wrong units, and bodies nobody in the survey has.

    Each band is judged by those before it: of short people, long legs are out of reach.
    """
    said_sex = marked.data["sex"]
    if said_sex != "either" and said_sex not in population.groups:
        message = f"The population '{population.name}' has no group called '{said_sex}'."
        yield Problem(
            marked.value("sex"), message, f"It has {listed(population.groups)}.", "no-sex"
        )
        return
    for group in population.groups:
        if said_sex in ("either", group):
            yield from _of_sex(marked, population, group)


def _of_sex(marked: Marked, population: Population, sex: Sex) -> Iterator[Problem]:
    """The same for the bodies of one sex."""
    middle: dict[str, float] = {}
    for name, band in caller_file.bands(marked).items():
        if name not in population.traits:
            said = f"The population has no body dimension called '{name}'."
            fix = nearest(name, population.order) or f"It knows {listed(population.order)}."
            yield Problem(marked.key("body", name), said, fix, "unknown-dimension")
            continue
        where, trait = marked.value("body", name), population.trait(name)
        now = usual_value(population, sex, name, middle)
        if (trait.unit == "kg") != _is_mass(marked.raw("body", name) or ""):
            unit, fix = "millimetres", "Write 41 cm."
            if trait.unit == "kg":
                unit, fix = "kilograms", "Write it with such a unit, as in 75 kg."
            yield Problem(where, f"'{name}' is measured in {unit}.", fix, "wrong-unit")
        elif band.low > band.high:
            said, fix = "The numbers are the wrong way round.", "Put the smaller figure first."
            yield Problem(where, said, fix, "backwards")
        elif not now.reached(band.low, band.high):
            others = listed(population.label(one) for one in middle)
            beside = f" with the {others} above" if middle else ""
            said = f"Nobody in the survey has such a {trait.label}{beside}."
            ends = (now.mean - BODY_REACH * now.sd, now.mean + BODY_REACH * now.sd)
            low, high = (population.words(name, end, "metric") for end in ends)
            yield Problem(where, said, f"Write something from {low} to {high}.", "out-of-reach")
        else:
            middle[name] = min(max(now.mean, band.low), band.high)


def _is_mass(raw: str) -> bool:
    return raw.rpartition(" ")[2] in ("kg", "st", "lb")


def caller_problems(
    marked: Marked, tree: Tree, population: Population, ways: Ways | None
) -> list[Problem]:
    """Everything wrong with a file that follows its schema, in the order of its lines."""
    body = body_problems(marked, population)
    problems = (*_head(marked, tree, ways), *body, *part_problems(marked, tree))
    return sorted(problems, key=lambda problem: (problem.where, problem.message))


def part_problems(marked: Marked, tree: Tree) -> list[Problem]:
    """What is wrong with the truth, the words and the behaviours of a caller or a trait."""
    return [*_truth(marked, tree), *_says(marked, tree), *_behaviours(marked, tree)]


def _head(marked: Marked, tree: Tree, ways: Ways | None) -> Iterator[Problem]:
    named = marked.raw("tree") or ""
    if named != tree.name:
        message = f"This caller is for the tree '{named}', not for '{tree.name}'."
        fix = "Use that tree, or change the name."
        yield Problem(marked.value("tree"), message, fix, "other-tree")
    way = caller_file.manner(marked).way
    if ways is not None and way not in ways.ways:
        message = f"There is no way of speaking called '{way}' in the words file."
        fix = nearest(way, ways.ways) or f"It has {listed(ways.ways) or 'none'}."
        where = marked.value("manner", "way") if "manner" in marked.data else marked.key("practice")
        yield Problem(where, message, fix, "unknown-way")


def _truth(marked: Marked, tree: Tree) -> Iterator[Problem]:
    for name, said in caller_file.listed_truth(marked).items():
        question = tree.questions.get(name)
        if question is None:
            yield _no_question(marked, ("truth", name), name, tree)
            continue
        where = marked.value("truth", name)
        if question.measures is not None and not is_unknown(said):
            text = f"'{name}' measures the body, so it belongs under body:."
            fix = f"Write {question.measures} there; only ? is allowed here."
            yield Problem(marked.key("truth", name), text, fix, "body")
        elif trouble := not_taken(question, said):
            text = f"'{name}' cannot have the answer '{shortened(said)}'."
            yield Problem(where, text, trouble, "truth-not-taken")
        elif odd := outside(question, understand(question, said, SOME_DAY)):
            fix = "consult would doubt this true answer."
            yield Problem(where, odd, fix, "unusual", "warning")


def not_taken(question: Question, said: str) -> str:
    """Why the tree would not take an answer, as a remedy; '' where it would."""
    try:
        understand(question, said, SOME_DAY)
    except Unclear as unclear:
        choices = question.choices
        return nearest(said, choices) or (f"It has {listed(choices)}." if choices else str(unclear))
    return ""


def _says(marked: Marked, tree: Tree) -> Iterator[Problem]:
    for name, block in caller_file.own_words(marked).items():
        question = tree.questions.get(name)
        if question is None:
            yield _no_question(marked, ("says", name), name, tree)
            continue
        known = (*(question.choices or ("yes", "no")), "?")
        for choice in block:
            if choice not in known:
                message = f"'{name}' has no answer '{choice}'."
                fix = nearest(choice, known) or f"It has {listed(known)}."
                yield Problem(marked.key("says", name, choice), message, fix, "unknown-choice")


def _behaviours(marked: Marked, tree: Tree) -> Iterator[Problem]:
    seen: set[str] = set()
    for place, behaviour in enumerate(caller_file.behaviours(marked)):
        steps: Steps = ("behaviours", place)
        if behaviour.name in seen:
            message = f"Another behaviour is also called '{behaviour.name}'."
            yield Problem(marked.value(*steps, "name"), message, "Rename one.", "duplicate-name")
        seen.add(behaviour.name)
        for key, name in (("at", behaviour.at), ("about", behaviour.about)):
            known = name in tree.questions or (key == "at" and name in (OPENING, STOP))
            if name and not known:
                yield _no_question(marked, (*steps, key), name, tree, value=True)
        yield from _lacking(marked, steps, behaviour)
        yield from _misplaced(marked, steps, behaviour, tree)
        question = tree.questions.get(behaviour.about)
        if behaviour.kind in IN_PASSING and question is not None:
            yield from _remark(marked, steps, behaviour, question, caller_file.listed_truth(marked))


def _lacking(marked: Marked, steps: Steps, behaviour: Behaviour) -> Iterator[Problem]:
    """What a kind needs and what means nothing to it."""
    passing = behaviour.kind in IN_PASSING
    needs = {
        "at": behaviour.kind not in ALREADY_SHOWS,
        "says": passing or behaviour.kind == "presses",
        "about": passing,
        "answer": behaviour.kind in ("sign_in_passing", "contradicts"),
        "off": behaviour.kind == "wrong_tape",
    }
    idle = {
        "about": not passing,
        "answer": not passing,
        "off": behaviour.kind not in ("wrong_tape", "shoes_on"),
        "denied_first": behaviour.kind != "sign_in_passing",
        "because": behaviour.kind not in WITHHOLDS or behaviour.at == STOP,
    }
    block = marked.data["behaviours"][steps[1]]
    for key, needed in needs.items():
        if needed and key not in block:
            message = f"'{behaviour.kind}' needs {key}:."
            yield Problem(marked.value(*steps, "kind"), message, f"Add {key}:.", "missing-name")
    for key, means_nothing in idle.items():
        if means_nothing and key in block:
            message = f"'{behaviour.kind}' cannot have {key}:."
            yield Problem(marked.key(*steps, key), message, "Delete it.", "idle", "warning")


def _misplaced(marked: Marked, steps: Steps, behaviour: Behaviour, tree: Tree) -> Iterator[Problem]:
    """A behaviour at a question where it cannot show."""
    said, fix = "", "Name a question."
    question = tree.questions.get(behaviour.at) if behaviour.at not in (OPENING, STOP) else None
    if behaviour.at == OPENING and behaviour.kind not in IN_PASSING:
        said = f"Nothing is asked in the first words, so '{behaviour.kind}' cannot show there."
    elif behaviour.at == STOP and behaviour.kind != "presses":
        said = f"Nothing is asked by a stop, so '{behaviour.kind}' cannot show there."
    elif question is None:
        return
    elif behaviour.kind == "presses" and question not in (signs := warning_questions(tree)):
        said = f"'{behaviour.at}' does not ask about warning signs."
        fix = f"Write at: {listed([sign.name for sign in signs], 'or')}, or at: {STOP}."
    elif behaviour.kind in MEASUREMENT and question.answer not in SPOKEN_FIGURES:
        said = f"'{behaviour.at}' is not answered by a figure, so '{behaviour.kind}' cannot show."
        fix = "Name a question with a figure."
    elif behaviour.kind == "mixes_units" and question.answer not in ("length", "mass"):
        said = f"'{behaviour.at}' is answered without a unit."
        fix = "Name a question about a length or a weight."
    elif behaviour.kind == "refuses_consent" and question.sets != "consent":
        asks = [name for name, each in tree.questions.items() if each.sets == "consent"]
        said = f"'{behaviour.at}' does not ask for consent."
        fix = f"Write at: {asks[0]}." if asks else "This tree does not ask for consent."
    if said:
        yield Problem(marked.value(*steps, "at"), said, fix, "misplaced")


def _remark(
    marked: Marked, steps: Steps, behaviour: Behaviour, question: Question, truth: Mapping[str, str]
) -> Iterator[Problem]:
    """A remark the tree would not take, or that goes against what it should be."""
    if behaviour.about == behaviour.at:
        message = f"This speaks of '{behaviour.about}' when that is asked itself."
        yield Problem(marked.value(*steps, "about"), message, "Name another question.", "misplaced")
    if behaviour.denied_first and question.exclusive is None:
        message = f"'{behaviour.about}' has no exclusive choice, so a caller cannot deny them all."
        yield Problem(marked.key(*steps, "denied_first"), message, "Delete it.", "misplaced")
    if not behaviour.answer:
        return
    where = marked.value(*steps, "answer")
    trouble = not_taken(question, behaviour.answer)
    true = truth.get(behaviour.about)
    if trouble:
        message = f"'{behaviour.about}' cannot have the answer '{shortened(behaviour.answer)}'."
        yield Problem(where, message, trouble, "truth-not-taken")
    elif true is None or not_taken(question, true):
        return
    elif behaviour.kind == "sign_in_passing" and not holds(question, behaviour.answer, true):
        message = (
            f"The caller mentions '{behaviour.answer}', but it is not in the truth of "
            f"'{behaviour.about}'."
        )
        yield Problem(where, message, "Add it there, or delete that line.", "sign-not-true")
    elif behaviour.kind == "contradicts" and holds(question, behaviour.answer, true):
        message = "This contradicts nothing, because it is the true answer."
        yield Problem(
            where, message, f"Write another answer to '{behaviour.about}'.", "no-contradiction"
        )


def _no_question(
    marked: Marked, steps: Steps, name: str, tree: Tree, *, value: bool = False
) -> Problem:
    where = marked.value(*steps) if value else marked.key(*steps)
    message = f"The tree '{tree.name}' has no question '{name}'."
    fix = nearest(name, tree.questions) or "Look at the names of its questions."
    return Problem(where, message, fix, "unknown-question")
