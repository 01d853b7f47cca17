"""Checks beside the trees: sources cited, photographs missing, shares of callers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from consult.body.population_file import available, load_named
from consult.fit.rules import RuleSource
from consult.marked.marks import Marked, Steps, Texts, load_marked
from consult.marked.plain import block_at, list_at
from consult.picture.photo import BrokenPhotoError, for_mail, named_wrongly, read_photo
from consult.problems import Problem, listed, nearest
from consult.range.parts import SECTIONS
from consult.tree.draft import Block
from consult.tree.floor import the_floor
from consult.tree.model import SETS_CHOICES
from consult.tree.questions import choices_of
from consult.tree.shares import ROUNDING, QuestionShares, Shares, load_shares
from consult.tree.sources import FROM_MEMORY, cited_in, load_sources, sources_beside, uncited

PROGRAM = "the program"


def sources_problems(path: Path, texts: Texts | None = None) -> list[Problem]:
    """Everything wrong with a sources file; an entry that nothing cites is a warning.

    ``texts`` are read in place of the files of the same paths.
    """
    sources, problems = load_sources(path, texts)
    marked, _ = load_marked(path, texts)
    if sources is None or marked is None:
        return problems
    used = cited_by(path.parent, texts)
    for name in sources.entries:
        if name not in used:
            message = f"Nothing in this folder cites '{name}', and the program does not either."
            where = marked.key("entries", name)
            problems.append(
                Problem(where, message, "Delete the entry.", "unused-source", "warning")
            )
    return problems


def cited_by(folder: Path, texts: Texts | None = None) -> dict[str, list[str]]:
    """Name of an entry -> the files of a folder that cite it; the program counts as one."""
    citing = {name: [PROGRAM] for name in sorted(_cited_by_program())}
    beside = {*folder.glob("*.yaml"), *(texts or ())}
    for file in sorted(path for path in beside if path.parent == folder and path.suffix == ".yaml"):
        marked, _ = load_marked(file, texts)
        for _, name in cited_in(marked.data if marked else None):
            files = citing.setdefault(name, [])
            if file.name not in files:
                files.append(file.name)
    return citing


@cache
def _cited_by_program() -> frozenset[str]:
    """What the rules of the fit, the safety floor, the contacts and the populations cite."""
    named = [cited for cited in vars(RuleSource).values() if isinstance(cited, tuple)]
    named += [sign.source for sign in the_floor().signs.values()]
    named += [tuple(load_named(name).cites) for name in available()]
    return frozenset([FROM_MEMORY, *(name for cited in named for name in cited)])


# -- what is wrong with the pictures that a range or a settings file names, each where it is named


_FIX = "Documents leave it out. Put a PNG or JPEG there, or take the name away."
_LOGO_FIX = "Documents leave it out. Put a PNG, SVG or JPEG there, or take the name away."
_MAIL_FIX = "E-mails leave it out, and their documents have it. Put a PNG of that name beside it."


def logo_problems(settings_file: Path) -> Iterator[Problem]:
    """What is wrong with the logo that a settings file names; a warning, as for a photograph."""
    marked, _ = load_marked(settings_file)
    name = block_at(marked.data, "sender").get("logo") if marked else None
    if marked is None or not isinstance(name, str):
        return
    where, folder, mailed = marked.value("sender", "logo"), settings_file.parent, for_mail(name)
    if message := _wrong(folder, name, logo=True):
        yield Problem(where, message, _LOGO_FIX, "logo", "warning")
    elif mailed != name and (message := _wrong(folder, mailed, logo=True)):
        message = f"Few e-mail programs show an SVG. {message}"
        yield Problem(where, message, _MAIL_FIX, "logo", "warning")


def photo_problems(range_file: Path, texts: Texts | None = None) -> Iterator[Problem]:
    """What is wrong with the photographs that a range file names, each where it is named.

    Warnings: a call and its documents do without them.
    """
    marked, _ = load_marked(range_file, texts)
    if marked is None:
        return
    for section in SECTIONS:
        for index, block in enumerate(list_at(marked.data, section)):
            name = block_at(block).get("photo")
            if isinstance(name, str):
                message = _wrong(range_file.parent, name)
                if message:
                    where = marked.value(section, index, "photo")
                    yield Problem(where, message, _FIX, "photo", "warning")


def _wrong(folder: Path, name: str, *, logo: bool = False) -> str:
    if message := named_wrongly(name, logo=logo):
        return message
    try:
        read_photo(folder / name)
    except BrokenPhotoError as broken:
        return str(broken)
    return ""


# -- check a callers file against its trees: names, forms, and shares that do not add up ----------

_FORMS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("choice", "yes-no"), ("shares",)),
    "choices": ("chances",),
    **dict.fromkeys(("length", "mass", "count"), ("mean", "spread", "within")),
    **dict.fromkeys(("text", "date"), ("says",)),
}
"""What an entry may say of each kind of question."""
_OWN_WORDS = {
    "sex": "Callers say their own sex. Give the share of women under sex: at the top.",
    "stature_origin": (
        "Callers say their true stature. Give the share who remember it under stature_remembered:."
    ),
}


@dataclass(slots=True)
class _Known:
    """A question as the trees of the folder have it, taken together."""

    answer: str
    choices: dict[str, str] = field(default_factory=dict)
    exclusive: str | None = None
    measures: str | None = None
    sets: str | None = None
    may_refuse: bool = False
    """Some tree does not take 'not known' for an answer."""


def callers_problems(path: Path, texts: Texts | None = None) -> list[Problem]:
    """Everything wrong with a callers file, in the order of its lines.

    A name that no tree has is a warning only, as nothing reads it then. ``texts`` are read in
    place of the files of the same paths.
    """
    shares, problems = load_shares(path, texts)
    if shares is None:
        return problems
    marked, _ = load_marked(path, texts)
    assert marked is not None, "it was read a moment ago"
    sources, _ = sources_beside(path.parent, texts)
    problems += uncited(marked, sources) if sources is not None else ()
    known = _questions(path, texts)
    if not known:
        return problems
    of_entries = [
        problem for name in shares.questions for problem in _entry(marked, name, shares, known)
    ]
    return sorted([*problems, *of_entries], key=lambda problem: (problem.where, problem.message))


def _questions(path: Path, texts: Texts | None) -> dict[str, _Known]:
    """Every question of the trees of the folder, sub-trees among them."""
    files = {*path.parent.glob("*.yaml"), *(texts or ())} - {path}
    knowns: dict[str, _Known] = {}
    for file in sorted(
        candidate
        for candidate in files
        if candidate.parent == path.parent and candidate.suffix == ".yaml"
    ):
        marked, _ = load_marked(file, texts)
        if marked is None:
            # Questions that cannot be read now are not missing.
            return {}
        if "tree" not in block_at(marked.data):
            continue
        for name, question in block_at(marked.data, "questions").items():
            if "ask" in block_at(question):
                _join(knowns, name, Block(marked, ("questions", name), question))
    return knowns


def _join(knowns: dict[str, _Known], name: str, block: Block) -> None:
    known = knowns.setdefault(name, _Known(block.text("answer") or ""))
    known.choices.update(choices_of(block))
    known.exclusive = block.text("exclusive") or known.exclusive
    known.measures = block.text("measures") or known.measures
    known.sets = block.text("sets") or known.sets
    known.may_refuse |= block.text("unknown") == "refused"


def _entry(
    marked: Marked, name: str, shares: Shares, questions: Mapping[str, _Known]
) -> Iterator[Problem]:
    steps: Steps = ("questions", name)
    entry = shares.questions[name]
    question = questions.get(name)
    if question is None:
        message = f"No tree in this folder has a question '{name}', so this is not used."
        fix = nearest(name, questions) or "Delete it, or give it the new name of the question."
        yield Problem(marked.key(*steps), message, fix, "unknown-question", "warning")
        return
    yield from _form(marked, steps, name, question)
    if question.may_refuse and entry.unknown:
        message = f"'{name}' must be answered, so unknown is not allowed."
        yield Problem(
            marked.key(*steps, "unknown"), message, "Delete it.", "unknown-refused", "warning"
        )
    if question.answer in ("choice", "yes-no") and entry.shares:
        yield from _shares(marked, (*steps, "shares"), name, question, entry)
    if question.answer == "choices" and entry.chances:
        yield from _chances(marked, (*steps, "chances"), name, question, entry)


def _form(marked: Marked, steps: Steps, name: str, question: _Known) -> Iterator[Problem]:
    """Numbers where there are choices, choices where there are numbers, and bodies made up."""
    right = _FORMS.get(question.answer, ())
    block = marked.data["questions"][name]
    for key in ("shares", "chances", "mean", "spread", "within", "says"):
        if key not in block:
            continue
        where = marked.key(*steps, key)
        if right and key not in right:
            message = f"'{name}' is answered by {question.answer}, which cannot have {key}."
            yield Problem(where, message, f"Write {listed(right)}.", "wrong-kind")
        elif question.measures is not None and key in ("mean", "spread", "within"):
            message = f"'{name}' measures the body, which is drawn from the survey."
            yield Problem(
                where, message, "Delete it; only unknown is allowed here.", "body", "warning"
            )
    needs = {"length": "such as 73 cm", "mass": "such as 75 kg", "count": "without a unit"}
    for key in ("mean", "spread", "within") if question.answer in needs else ():
        raw = marked.raw(*steps, key)
        if raw is None:
            continue
        unit = raw.rpartition(" ")[2]
        of = "mass" if unit in ("kg", "st", "lb") else "length" if unit.isalpha() else "count"
        if of != question.answer:
            message = f"'{name}' is answered by {question.answer}."
            fix = f"Write a number {needs[question.answer]}."
            yield Problem(marked.value(*steps, key), message, fix, "wrong-unit")


def _shares(
    marked: Marked, steps: Steps, name: str, question: _Known, entry: QuestionShares
) -> Iterator[Problem]:
    choices = ("yes", "no") if question.answer == "yes-no" else tuple(question.choices)
    yield from _strangers(marked, steps, name, choices, entry.shares)
    own = SETS_CHOICES.get(question.sets or "", ()) if question.sets in _OWN_WORDS else ()
    for choice in own:
        if choice in entry.shares:
            message = f"A share of '{choice}' is not allowed here."
            fix = _OWN_WORDS[question.sets or ""]
            yield Problem(marked.key(*steps, choice), message, fix, "told-by-itself", "warning")
    if own:
        return
    named = [choice for choice in choices if choice in entry.shares]
    total = sum(entry.shares[choice] for choice in named)
    left_out = [choice for choice in choices if choice not in entry.shares]
    if not left_out and total < 100 - ROUNDING:
        message = f"These shares add up to {total:g} of 100."
        fix = "Change them so that they add up to 100."
        yield Problem(marked.key(*steps), message, fix, "not-100")
    elif left_out and total > 100 - ROUNDING:
        message = f"These shares already add up to 100, so nothing is left for {listed(left_out)}."
        fix = "Give it a share, and the others less. Until then callers give it as often as any"
        yield Problem(marked.key(*steps), message, f"{fix} other.", "no-share", "warning")


def _chances(
    marked: Marked, steps: Steps, name: str, question: _Known, entry: QuestionShares
) -> Iterator[Problem]:
    yield from _strangers(marked, steps, name, tuple(question.choices), entry.chances)
    alone = question.exclusive
    rest = [choice for choice in question.choices if choice != alone]
    even = 100 / max(len(question.choices), 1)
    left = 100 - (entry.chances.get(alone, even) if alone is not None else 0.0)
    for choice in rest:
        if entry.chances.get(choice, 0.0) > left + ROUNDING:
            message = f"'{alone}' leaves {left:g} of 100 callers, fewer than are to say '{choice}'."
            fix = f"Write at most {left:g}, or less for '{alone}'."
            yield Problem(marked.value(*steps, choice), message, fix, "more-than-left")
    if all(choice in entry.chances for choice in rest):
        total = sum(entry.chances[choice] for choice in rest)
        if rest and total < left - ROUNDING:
            who = (
                f"{left:g} of 100 callers do not say '{alone}'" if alone else "Every caller answers"
            )
            message = f"{who}, but the chances of the other answers add up to {total:g} only."
            fix = f"Raise them so that they come to {left:g} or more: a caller may name several."
            yield Problem(marked.key(*steps), message, fix, "says-nothing")


def _strangers(
    marked: Marked, steps: Steps, name: str, choices: tuple[str, ...], named: Mapping[str, float]
) -> Iterator[Problem]:
    for choice in named:
        if choice not in choices:
            message = f"'{name}' has no answer '{choice}', so this is not used."
            fix = nearest(choice, choices) or f"It has {listed(choices)}."
            yield Problem(marked.key(*steps, choice), message, fix, "unknown-choice", "warning")
