"""The shared ways of speaking: lists of phrases that the content lead edits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from consult.content.callers.chance import ChanceKey, uniform
from consult.marked.marks import Marked, Steps
from consult.marked.schema import load_followed, load_schema
from consult.problems import Problem, nearest
from consult.recall import recall

WORDS_FILE = "words.yaml"
WORDS_SCHEMA = Path(__file__).with_name("words.schema.json")

ANSWER, OTHER, ASK = "{answer}", "{other}", "{ask}"
BLANKS: Mapping[str, tuple[str, ...]] = {
    "figure": (ANSWER,),
    "measured": (ANSWER,),
    "figure_vague": (ANSWER,),
    "figure_corrected": (OTHER, ANSWER),
    "choice": (ANSWER,),
    "choice_vague": (ANSWER,),
    "text": (ANSWER,),
    "name": (ANSWER,),
    "date": (ANSWER,),
    "again_measured": (ASK,),
    "again_said": (ASK,),
}
"""List -> the blanks that each of its phrases has to hold; the other lists have none."""

LEAD_IN = "lead_in"
"""List of what is said before a short answer; the only one that may be left out."""

Phrases = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """A words file."""

    phrases: Phrases
    """List -> phrases, where a way has none of its own."""
    ways: Mapping[str, Phrases] = field(default_factory=dict)
    """Way -> its own lists."""
    answers: Mapping[str, Phrases] = field(default_factory=dict)
    """Question -> choice (or yes, no, ?) -> how callers put it."""

    def of(self, way: str, name: str) -> tuple[str, ...]:
        """The phrases of a list in a way; empty for a list that nothing states."""
        return self.ways.get(way, {}).get(name) or self.phrases.get(name, ())


def pick(phrases: tuple[str, ...], *key: str | int) -> str:
    """One of the phrases by chance; '' where there are none."""
    return phrases[int(uniform(*key, "phrase") * len(phrases))] if phrases else ""


def often(share: float, *key: str | int) -> bool:
    """Whether something that happens in this share of cases (0 to 1) happens."""
    return uniform(*key, "often") < share


def load_ways(path: Path) -> tuple[Ways | None, list[Problem]]:
    """Read a words file; None where it has errors."""
    marked, problems = load_followed(path, WORDS_SCHEMA)
    if marked is None:
        return None, problems
    key = str(path), marked.digest
    ways, told = recall(_loaded, key, _MOST, lambda: _load(marked, problems))
    return ways, list(told)


_MOST = 8
_loaded: dict[tuple[str, str], tuple[Ways | None, list[Problem]]] = {}
"""By file and text: all callers of a folder speak by one file. When there are ``_MOST``, all are
forgotten."""


def _load(marked: Marked, problems: list[Problem]) -> tuple[Ways | None, list[Problem]]:
    if not problems:
        problems = [*_missing(marked), *_blanks(marked)]
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    return _built(marked), problems


def phrases_at(marked: Marked, steps: Steps) -> tuple[str, ...]:
    """The texts of a list, or the one text, exactly as written; empty where nothing stands."""
    alone = marked.raw(*steps)
    if alone is not None:
        return (alone,)
    phrases: list[str] = []
    while (text := marked.raw(*steps, len(phrases))) is not None:
        phrases.append(text)
    return tuple(phrases)


def _missing(marked: Marked) -> Iterator[Problem]:
    """Lists that every caller needs and nothing states."""
    for name in load_schema(WORDS_SCHEMA)["$defs"]["lists"]["properties"]:
        if name not in marked.data["phrases"] and name != LEAD_IN:
            message = f"The list '{name}' is missing."
            fix = "Add it, with one phrase at least."
            yield Problem(marked.key("phrases"), message, fix, "missing-name")


def _blanks(marked: Marked) -> Iterator[Problem]:
    """Phrases without the blank that the answer goes into, or with one that nothing fills."""
    built = _built(marked)
    lists: dict[Steps, tuple[str, ...]] = {}
    lists |= {("phrases", name): phrases for name, phrases in built.phrases.items()}
    lists |= {("ways", way, name): own[name] for way, own in built.ways.items() for name in own}
    for steps, phrases in lists.items():
        needed = BLANKS.get(str(steps[-1]), ())
        for at, text in enumerate(phrases):
            where = marked.value(*steps, at)
            for blank in (ANSWER, OTHER, ASK):
                if blank in needed and blank not in text:
                    message = f"This phrase has no {blank}, so the answer would be missing."
                    yield Problem(where, message, f"Write {blank} where it goes.", "no-blank")
                if blank in text and blank not in needed:
                    message = f"{blank} is not filled in here."
                    yield Problem(where, message, "Delete it.", "odd-blank")


def unknown_answers(marked: Marked, choices: Mapping[str, tuple[str, ...]]) -> Iterator[Problem]:
    """Answers of a words file to questions, or of choices, that no tree has: nothing reads them.

    ``choices``: every question of the trees -> its choices.
    """
    for question, block in (marked.data.get("answers") or {}).items():
        if question not in choices:
            message = f"No tree in this folder has a question '{question}', so nothing reads this."
            fix = nearest(question, choices) or "Delete it, or give it the new name."
            where = marked.key("answers", question)
            yield Problem(where, message, fix, "unknown-question", "warning")
            continue
        for choice in block:
            if choice not in choices[question] and choice not in ("yes", "no", "?"):
                message = f"'{question}' has no answer '{choice}', so nothing reads this."
                fix = nearest(choice, choices[question]) or "Delete it."
                where = marked.key("answers", question, choice)
                yield Problem(where, message, fix, "unknown-choice", "warning")


def _built(marked: Marked) -> Ways:
    data = marked.data

    def lists(steps: Steps, block: Mapping[str, object] | None) -> Phrases:
        return {name: phrases_at(marked, (*steps, name)) for name in block or {}}

    return Ways(
        phrases=lists(("phrases",), data["phrases"]),
        ways={way: lists(("ways", way), block) for way, block in (data.get("ways") or {}).items()},
        answers={
            name: lists(("answers", name), block)
            for name, block in (data.get("answers") or {}).items()
        },
    )


def keyed(seed: int, persona: str, *more: str | int) -> ChanceKey:
    """What chance hangs on for one persona and seed."""
    return ("practice", seed, persona, *more)
