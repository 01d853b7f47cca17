"""Reading and checking trees, and one condition."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

import jinja2
import jsonschema
import yaml

from consult.content.editing.folder import DraftFolder
from consult.marked.marks import LOADER
from consult.tree import check, condition, constant, figures, readability
from consult.tree.check import check_tree
from consult.tree.condition import parse_condition
from consult.tree.load import load_tree
from tests.benchmarks.made_trees import tree
from tests.benchmarks.measure import Family, Size, Work

_CACHES = (
    condition.parse_condition,
    constant._makes_sense,
    constant._verdicts,
    figures._parting,
    readability._sentences,
    constant._losing,
)
_SCHEMA = Path(check.__file__).with_name("tree.schema.json")
C_YAML, SCHEMA = "YAML by the C loader", "jsonschema on the same"
CONDITIONS: dict[str, tuple[str, Callable[[dict[str, Any]], object]]] = {
    "one choice": (
        "neck in sites",
        lambda known: None if known["sites"] is None else "neck" in known["sites"],
    ),
    "a length and choices": (
        "desk > 72 and (neck in sites or standing)",
        lambda known: known["desk"] > 72 and ("neck" in known["sites"] or known["standing"]),
    ),
    "sums, and not known": (
        "desk - seat >= 28 and not (leg < 38 or back in sites)",
        lambda known: (
            known["desk"] - known["seat"] >= 28
            and (None if known["leg"] is None else not (known["leg"] < 38))
            and "back" not in known["sites"]
        ),
    ),
}
"""Name -> a condition, and what a Python programmer would write for it."""
KNOWN: dict[str, Any] = {
    "desk": 74.0,
    "sites": frozenset({"neck", "arms"}),
    "standing": False,
    "seat": 45.0,
    "leg": None,
}


def afresh() -> None:
    """As if nothing had been checked yet."""
    for cache in _CACHES:
        cache.cache_clear()


def conditions(size: Size) -> Family:
    """A condition beside a Python function, and beside an expression of Jinja."""
    family = Family("conditions", size)
    for name, (text, function) in CONDITIONS.items():
        ready = parse_condition(text).resolve(KNOWN.keys())
        lookup = KNOWN.__getitem__
        assert ready.evaluate(lookup) is function(KNOWN)

        works: dict[str, Work] = {name: partial(ready.evaluate, lookup)}
        if name == "one choice":
            expression: Any = jinja2.Environment().compile_expression("'neck' in sites")
            works["the same in Jinja"] = partial(expression, KNOWN)
        family.against("a Python function", partial(function, KNOWN), works, rounds=3 * size.rounds)
    return family


def trees(size: Size) -> Family:
    """Loading and checking made-up trees; the check after each key as well."""
    family = Family("trees", size)
    for questions in size.questions:
        with tempfile.TemporaryDirectory() as folder:
            _made(family, Path(folder) / "big.yaml", questions)
    _keys(family, size)
    return family


def _made(family: Family, path: Path, questions: int) -> None:
    """A tree of so many questions, each time with a text that nobody has seen."""
    marks, said = count(), f"{questions:,} questions"
    rounds = family.size.few if questions > 300 else family.size.rounds

    def edited(name: str) -> None:
        path.write_text(tree(questions, next(marks)), encoding="utf-8")
        if "first" in name:
            afresh()

    edited("")
    problems = check_tree(path)
    assert not any(one.severity == "error" for one in problems), problems[:3]
    text = path.read_text(encoding="utf-8")
    data = yaml.load(text, Loader=LOADER)
    schema = json.loads(_SCHEMA.read_text(encoding="utf-8"))
    validator = jsonschema.Draft202012Validator(schema)
    works: dict[str, Work] = {
        f"check, first, {said}": partial(check_tree, path),
        f"check after a key, {said}": partial(check_tree, path),
        f"load, first, {said}": partial(load_tree, path),
    }
    parse = partial(yaml.load, text, Loader=LOADER)
    family.against(C_YAML, parse, works, rounds=rounds, before=edited)
    family.against(
        SCHEMA,
        lambda: list(validator.iter_errors(data)),
        {f"the same check, {said}": partial(check_tree, path)},
        rounds=min(rounds, family.size.few),
        before=edited,
    )


def _keys(family: Family, size: Size) -> None:
    """A key in the editor: kept safe on disk, and the whole folder checked."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "trees"
        path.mkdir()
        questions = min(300, size.questions[-1])
        text = tree(questions)
        (path / "big.yaml").write_text(text, "utf-8")
        folder, marks = DraftFolder.open(path), iter(range(1, 10_000))
        folder.problems()

        def key() -> None:
            new = text.replace("Say it back", "Say it", 1)
            new = new.replace("title: T0", f"title: T{next(marks)}", 1)
            folder.edit({"big.yaml": new}, "typing", goes_on=True)
            folder.problems()

        family.against(
            C_YAML,
            lambda: yaml.load(text, Loader=LOADER),
            {f"a key in the editor, checked, {questions} questions": key},
            rounds=size.few,
        )
