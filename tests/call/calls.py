"""What the tests of calls share: the shipped tree, small questions, answers drawn at random."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from consult.call.basis import Basis, load_basis
from consult.call.call import Answer, Call
from consult.call.chosen import Chosen
from consult.call.state import State, state
from consult.call.transcript import Transcript, load_transcript
from consult.paths import demo_folder, shipped_trees, trees_folder
from consult.problems import Where
from consult.tree.model import Question

TODAY = date(2026, 11, 25)
"""A Wednesday."""

HOSTILE = (
    "",
    " ",
    "[red]not bold[/red] [",
    "she said \"no\", it's 'so'",
    "\N{SLIGHTLY SMILING FACE}\N{ZERO WIDTH JOINER} \N{FAMILY}",
    "\u202eright to left\u202c \u05e9\u05dc\u05d5\u05dd",
    "# not a remark",
    "key: value",
    "- a list",
    "line one\nline two\n\n  line three \n",
    "\r\n\tcarriage",
    "\x00\x01\x1b[31m\x7f",
    "next line \x85 and \u2028 and \u2029",
    "\ufeff\ufffe\uffff",
    "null",
    "no",
    "1_000",
    "2026-11-25",
    "1:30",
    "<<",
    "<fit.seat_height>",
    "{a: b}",
    "| literal",
    "> folded",
    "%TAG",
    "@at `tick` &anchor *alias !tag",
    "'",
    '"',
    "\\n",
    "x" * 10_000,
    "ab " * 3_333,
)
"""Texts that have broken a file, a screen or a terminal somewhere."""


@cache
def seating() -> Basis:
    """The shipped tree with its contacts and range."""
    return basis_of("seating")


DEMOS = sorted(demo_folder().glob("*.yaml"))
"""The files of the demo calls."""


@cache
def basis_of(tree: str) -> Basis:
    """A tree of the shipped folder with what stands beside it, loaded once for all tests."""
    basis, problems = load_basis(shipped_trees() / f"{tree}.yaml")
    assert basis is not None, problems
    return basis


@cache
def transcript_of(file: Path) -> Transcript:
    """A demo call as it is written; nothing is wrong with its file."""
    transcript, problems = load_transcript(file)
    assert transcript is not None, problems
    assert problems == []
    return transcript


@cache
def replayed(file: Path) -> State:
    """What a demo call comes to, worked out once for all tests."""
    transcript = transcript_of(file)
    return state(basis_of(transcript.tree), transcript.call)


def small(folder: Path, text: str) -> Basis:
    """A tree of a few lines, with the shipped contacts beside it and no range."""
    shutil.copy(trees_folder() / "contacts.yaml", folder)
    file = folder / "little.yaml"
    file.write_text(text, encoding="utf-8")
    basis, problems = load_basis(file)
    assert basis is not None, problems
    return basis


def question(answer: str, **more: Any) -> Question:
    """A question of one kind, as a loader would have made it."""
    return Question("asked", Where("little.yaml", 1, 1), "Well?", answer, (), **more)  # type: ignore[arg-type]


def call_of(answers: Mapping[str, str] | Iterable[tuple[str, str]], country: str = "GB") -> Call:
    """A call of the test day with these answers, in their order."""
    pairs = answers.items() if isinstance(answers, Mapping) else answers
    return Call(TODAY, "metric", country, tuple(Answer(name, said) for name, said in pairs))


def of_facts(**facts: str) -> Call:
    """A call to the shipped tree by what its questions set or measure, whatever their names."""
    questions = seating().tree.questions.values()
    names = {one.sets or one.measures or "": one.name for one in questions}
    return call_of({names[fact]: said for fact, said in facts.items()})


def told(basis: Basis, **answers: str) -> State:
    """The state after these answers."""
    return state(basis, call_of(answers))


def good_answers(asked: Question) -> st.SearchStrategy[str]:
    """Things that can be said to a question and understood, odd values and '?' among them."""
    known: st.SearchStrategy[str]
    low, high = asked.expect or (100.0, 1000.0)
    match asked.answer:
        case "length":
            known = st.floats(low * 0.9, high * 1.2).map(lambda mm: f"{mm:.0f} mm")
        case "mass":
            known = st.floats(low * 0.9, high * 1.2).map(lambda kg: f"{kg:.1f} kg")
        case "count":
            known = st.floats(low, high).map(lambda number: f"{number:.1f}")
        case "choice":
            known = st.sampled_from(list(asked.choices))
        case "choices":
            names = [name for name in asked.choices if name != asked.exclusive]
            many = st.lists(st.sampled_from(names), min_size=1, max_size=3).map(", ".join)
            known = st.just(asked.exclusive) | many if asked.exclusive else many
        case "yes-no":
            known = st.sampled_from(["yes", "no"])
        case "date":
            known = st.sampled_from(["in two weeks", "2 December", "next Tuesday"])
        case "text":
            known = st.text(max_size=40) | st.sampled_from(HOSTILE[:12])
    return known | st.just("?") if asked.unknown_allowed else known


def whole_call(basis: Basis, junk: bool = False) -> st.SearchStrategy[dict[str, str]]:
    """One thing said to every question of the tree, whether the way leads there or not."""
    drawn = {}
    for name, asked in basis.tree.questions.items():
        said = good_answers(asked)
        drawn[name] = said | st.text(max_size=20) | st.sampled_from(HOSTILE) if junk else said
    return st.fixed_dictionaries(drawn)


def choice_of(found: Chosen) -> dict[str, Any]:
    """What a choice comes to, in comparable form."""
    return {
        "codes": [part.code for part in found.picked.parts.values()],
        "p_fits": found.choice.best and found.choice.best.p_fits,
        "tied": found.choice.tied_count,
        "gains": found.asking,
        "why": {name: why for name, (_, why) in found.others.items()},
    }


def derived(now: State) -> dict[str, Any]:
    """Everything a state says but the list of answers it was made from, in comparable form."""
    return {
        "steps": [(s.question.name, s.status, s.understood, s.trouble) for s in now.steps],
        "current": now.current and now.current.name,
        "cautions": [(r.caution.name, r.say, r.contact) for r in now.cautions],
        "stopped": now.stopped and now.stopped.name,
        "advice": [(g.advice.name, g.say, g.because) for g in now.advice],
        "needs": [need.name for need in now.needs],
        "body": dict(now.estimate.dimensions),
        "doubts": now.doubts,
        "workplace": now.workplace,
        "fit": now.fit,
        "picked": now.picked,
        "choice": now.chosen and choice_of(now.chosen),
        "missing": dict(now.missing),
        "consent": now.consent,
        "caller_name": now.caller_name,
        "follow_up": now.follow_up,
    }
