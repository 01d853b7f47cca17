"""A fitting file read: into a Range that says what its parts make, or into what is wrong."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from consult.body.derived import derivable
from consult.marked.marks import Marked, Steps, Texts, load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.problems import Problem, listed, nearest
from consult.range.file import part_of, range_of
from consult.range.fitting import BODY, HEEL, DeclaredQuantity, Fitting, LinearSum, Test
from consult.range.measures import NUMBER, measure, no_measure, no_sum
from consult.range.model import Range
from consult.range.parts import Kind, Part
from consult.recall import recall
from consult.units import from_unit

if TYPE_CHECKING:
    from consult.range.parts import Span

_SCHEMA = Path(__file__).with_name("fitting.schema.json")
TESTS: tuple[Test, ...] = ("within", "at_most", "at_least")
_OWN = frozenset(
    (
        *("kind", "code", "name", "price", "lead_days", "guarantee", "find", "discontinued"),
        *("until", "features", "fits_with", "not_with"),
    )
)
"""What every part may have; all else is a number of its kind."""
_UNIT = {"length": "mm", "mass": "kg", "count": ""}
"""Answer -> the unit that it is counted in."""
_NAME = r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?"
_TERM = re.compile(
    rf"(?P<sign>[+-])? ?(?:(?P<figure>{NUMBER}) (?P<unit>mm|cm|m|in|kg)|"
    rf"(?P<name>{_NAME})(?: \* (?P<factor>{NUMBER}))?)(?: |$)"
)


_MOST = 4
_loaded: dict[str, Range] = {}
"""By text, as those of chairs are. When there are ``_MOST``, all are forgotten."""


def load_fitting(path: Path, texts: Texts | None = None) -> tuple[Range | None, list[Problem]]:
    """Read a fitting file; None where a problem is an error.

    Nothing a file can hold raises. A text of this path is read in place of the file.
    """
    marked, problems = load_marked(path, texts)
    if marked is None:
        return None, problems
    problems = [*problems, *schema_problems(marked, load_schema(_SCHEMA))]
    if not problems:
        problems = list(_problems(marked))
    if any(problem.severity == "error" for problem in problems):
        return None, sorted(problems, key=lambda problem: problem.where)
    built = recall(_loaded, marked.digest, _MOST, lambda: _built(marked))
    return built, sorted(problems, key=lambda problem: problem.where)


def declared_features(path: Path, texts: Texts | None = None) -> frozenset[str] | None:
    """The features that parts of a fitting file may have; None of a file with errors."""
    marked, _ = load_marked(path, texts)
    if marked is None or schema_problems(marked, load_schema(_SCHEMA)):
        return None
    return frozenset(
        feature for kind in marked.data["kinds"].values() for feature in kind.get("features", ())
    )


def sum_written(text: str) -> LinearSum | None:
    """A sum such as 'body.elbow_height_standing + heel - 20 mm'; None for anything else."""
    words, at = " ".join(text.split()), 0
    terms: list[tuple[float, str]] = []
    units: set[str] = set()
    fixed = 0.0
    while at < len(words):
        match = _TERM.match(words, at)
        if match is None or (at > 0) != bool(match["sign"]):
            return None
        sign = -1.0 if match["sign"] == "-" else 1.0
        if match["name"]:
            terms.append((sign * float(match["factor"] or 1), match["name"]))
        else:
            fixed += sign * from_unit(float(match["figure"]), match["unit"])
            units.add("kg" if match["unit"] == "kg" else "mm")
        at = match.end()
    return LinearSum(tuple(terms), fixed, frozenset(units)) if terms else None


def _problems(marked: Marked) -> Iterator[Problem]:
    data = marked.data
    kinds: Mapping[str, Any] = data["kinds"]
    for name, text in data.get("usual", {}).items():
        if measure(text) is None:
            yield no_measure(marked, text, ("usual", name))
    for name, quantity in data["quantities"].items():
        yield from _of_quantity(marked, name, quantity, kinds)
    codes: dict[str, str] = {}
    for at, part in enumerate(data["parts"]):
        if part["code"] in codes:
            yield Problem(
                marked.value("parts", at, "code"),
                f"The code '{part['code']}' is already taken by {codes[part['code']]}.",
                "Give one of the two parts another code.",
                "code-twice",
            )
        codes.setdefault(part["code"], f"'{part['name']}'")
        yield from _of_part(marked, at, part, kinds)
    for kind in kinds:
        if not any(item["kind"] == kind and not item.get("discontinued") for item in data["parts"]):
            message = f"No part of the kind '{kind}' is on sale, so nothing can be built."
            yield Problem(
                marked.key("kinds", kind), message, "Add one, or delete the kind.", "no-part"
            )
    for at, part in enumerate(data["parts"]):
        for key in ("fits_with", "not_with"):
            for index, code in enumerate(part.get(key, ())):
                if code not in codes:
                    where = marked.value("parts", at, key, index)
                    fix = nearest(code, codes) or "Write the code of another part."
                    yield Problem(where, f"There is no part '{code}'.", fix, "unknown-code")


def _of_quantity(
    marked: Marked, name: str, quantity: Mapping[str, Any], kinds: Mapping[str, Any]
) -> Iterator[Problem]:
    steps: Steps = ("quantities", name)
    tests = [test for test in TESTS if test in quantity]
    if len(tests) != 1:
        many = f"{len(tests)} are" if tests else "none is"
        message = f"'{name}' has to be tested in one way, and {many} named."
        yield Problem(marked.key(*steps), message, f"Write one of {listed(TESTS)}.", "test")
        return
    if tests[0] != "within" and ("below" in quantity or "above" in quantity):
        message = f"'{name}' is a limit, so there is nothing below or above that is acceptable."
        yield Problem(marked.key(*steps), message, "Delete below and above.", "test")
    for key in ("below", "above"):
        found_here = measure(quantity[key]) if key in quantity else ((0.0, 0.0), "mm")
        if found_here is None or found_here[1] != "mm":
            yield no_measure(marked, quantity[key], (*steps, key), "mm")
    for key in ("from", tests[0]):
        linear_sum = sum_written(quantity[key])
        if linear_sum is None:
            yield Problem(marked.value(*steps, key), *no_sum(quantity[key]), "sum")
            continue
        for used in linear_sum.names:
            if key == "from" and "." in used and not used.startswith(BODY):
                message = f"'{used}' is a number of a part, and what is asked of parts has none."
                fix = f"Move it to {tests[0]}."
                yield Problem(marked.value(*steps, key), message, fix, "sum")
            elif key != "from":
                kind, _, number = used.partition(".")
                has = numbers_of_kind(kinds.get(kind, {}))
                if number not in has:
                    every = [f"{k}.{n}" for k, of in kinds.items() for n in numbers_of_kind(of)]
                    fix = nearest(used, every) or f"There are {listed(every)}."
                    message = f"No kind of part has the number '{used}'."
                    yield Problem(marked.value(*steps, key), message, fix, "unknown-number")


def numbers_of_kind(kind: Mapping[str, Any]) -> dict[str, str]:
    """The numbers of a kind, and in which unit each is counted."""
    return {
        **dict.fromkeys(kind.get("lengths", ()), "mm"),
        **dict.fromkeys(kind.get("masses", ()), "kg"),
    }


def _of_part(
    marked: Marked, at: int, part: Mapping[str, Any], kinds: Mapping[str, Any]
) -> Iterator[Problem]:
    kind = kinds.get(part["kind"])
    if kind is None:
        fix = nearest(part["kind"], kinds) or f"There are {listed(kinds)}."
        message = f"There is no kind '{part['kind']}'."
        yield Problem(marked.value("parts", at, "kind"), message, fix, "unknown-kind")
        return
    numbers = numbers_of_kind(kind)
    price = marked.raw("parts", at, "price") or ""
    if re.fullmatch(r"[0-9]{1,3}\.[0-9]{3}", price):
        whole = price.replace(".", "")
        message = (
            f"The price {price} is read as {float(price):g}, because a point parts the decimals."
        )
        fix = f"Write {whole}, or {price[:-1]}."
        yield Problem(marked.value("parts", at, "price"), message, fix, "thousands")
    for name, unit in numbers.items():
        if name not in part:
            message = f"{part['code']} does not say its {name}."
            yield Problem(marked.value("parts", at), message, f"Add {name}:", "no-number")
            continue
        measured = measure(part[name])
        if measured is None or measured[1] != unit or measured[0][0] > measured[0][1]:
            yield no_measure(marked, part[name], ("parts", at, name), unit)
    for name in part:
        if name not in numbers and name not in _OWN:
            fix = nearest(name, [*numbers, *sorted(_OWN)])
            fix = fix or f"Its kind has {listed(numbers)}."
            message = f"A part of the kind '{part['kind']}' has no '{name}'."
            yield Problem(marked.key("parts", at, name), message, fix, "unknown-number")
    for index, feature in enumerate(part.get("features", ())):
        able = kind.get("features", ())
        if feature not in able:
            fix = nearest(feature, able) or f"Add it to the features of the kind '{part['kind']}'."
            message = f"A part of the kind '{part['kind']}' has no feature '{feature}'."
            where = marked.value("parts", at, "features", index)
            yield Problem(where, message, fix, "unknown-feature")


def _built(marked: Marked) -> Range:
    data = marked.data
    kinds: Collection[str] = data["kinds"]
    parts: dict[Kind, list[Part]] = {cast("Kind", kind): [] for kind in kinds}
    numbers: dict[str, dict[str, Span]] = {}
    for at, block in enumerate(data["parts"]):
        name = marked.raw("parts", at, "name") or ""
        parts[block["kind"]].append(part_of(block["kind"], block, name))
        numbers[block["code"]] = {
            number: _span(block[number]) for number in numbers_of_kind(data["kinds"][block["kind"]])
        }
    quantities = tuple(_quantity(marked, name) for name in data["quantities"])
    read = [name for quantity in quantities for name in quantity.dimensions]
    features = {kind: frozenset(of.get("features", ())) for kind, of in data["kinds"].items()}
    fitting = Fitting(
        thing=data["thing"],
        kinds=tuple(parts),
        quantities=quantities,
        usual={name: _span(text)[0] for name, text in data.get("usual", {}).items()},
        masses=frozenset(
            f"{kind}.{name}" for kind, of in data["kinds"].items() for name in of.get("masses", ())
        ),
        features=features,
        numbers=numbers,
        dimensions=tuple(dict.fromkeys(read)),
    )
    whole = {kind: tuple(of) for kind, of in parts.items()}
    return range_of(marked, data["fitting"], whole, fitting)


def _span(text: str) -> Span:
    measured = measure(text)
    assert measured is not None, "checked before"
    return measured[0]


def _quantity(marked: Marked, name: str) -> DeclaredQuantity:
    block = marked.data["quantities"][name]
    test = next(test for test in TESTS if test in block)
    figure, parts = sum_written(block["from"]), sum_written(block[test])
    assert figure is not None, "checked before"
    assert parts is not None, "checked before"
    source = block["source"]
    return DeclaredQuantity(
        name=name,
        label=str(block["label"]),
        short=str(block.get("short", block["label"])),
        figure=figure,
        test=test,
        parts=parts,
        below=_span(block["below"])[0] if "below" in block else 0.0,
        above=_span(block["above"])[0] if "above" in block else 0.0,
        reason=" ".join(str(block["reason"]).split()),
        source=(source,) if isinstance(source, str) else tuple(source),
    )


def _units(
    quantity: DeclaredQuantity,
    able: Mapping[str, str],
    dimensions: Mapping[str, str],
    kinds: Mapping[str, Any],
) -> set[str]:
    """mm, kg or both: what the sums of a quantity are counted in."""
    units = {*quantity.figure.units, *quantity.parts.units}
    units |= {able[name] for name in quantity.figure.names if name in able}
    units |= {"kg" if dimensions.get(name) == "kg" else "mm" for name in quantity.dimensions}
    for kind, _, number in (name.partition(".") for name in quantity.parts.names):
        units.add(numbers_of_kind(kinds[kind])[number])
    return units


def unknown_names(
    range_: Range,
    path: Path,
    questions: Mapping[str, str],
    dimensions: Mapping[str, str],
    texts: Texts | None = None,
) -> Iterator[Problem]:
    """What a fitting reads of a tree that the tree, or the body, does not have.

    ``questions`` are those of the tree, each with its kind of answer.
    """
    fitting = range_.fitting
    assert fitting is not None, "asked of a fitting"
    marked, _ = load_marked(path, texts)
    if marked is None:
        return
    able = {name: _UNIT[kind] for name, kind in questions.items() if kind in _UNIT}
    for name, text in marked.data.get("usual", {}).items():
        measured = measure(text)
        if name not in able:
            message = f"No question '{name}' of the tree answers with a length, mass or count."
            fix = nearest(name, able) or "Delete it."
            yield Problem(marked.key("usual", name), message, fix, "unknown-name")
        elif measured is not None and able[name] not in ("", measured[1]):
            yield no_measure(marked, text, ("usual", name), able[name])
    for quantity in fitting.quantities:
        where = marked.value("quantities", quantity.name, "from")
        units = _units(quantity, {**able, HEEL: "mm"}, dimensions, marked.data["kinds"])
        if {"mm", "kg"} <= units:
            message = f"'{quantity.name}' adds a length to a mass, or holds one against the other."
            yield Problem(where, message, "Use lengths only, or masses only.", "units")
        elif quantity.test == "within" and "kg" in units:
            message = f"'{quantity.name}' is a mass, and only a length is a figure to set."
            yield Problem(where, message, "Write at_most or at_least.", "units")
        elif quantity.test == "within" and not quantity.below and not quantity.above:
            message = f"'{quantity.name}' has nothing below or above it that is acceptable."
            fix = "Add below: or above:, because nobody sets a part to the millimetre."
            yield Problem(where, message, fix, "no-band", "warning")
        for name in quantity.figure.names:
            if name.startswith(BODY):
                bare = name.removeprefix(BODY)
                if bare not in dimensions and bare not in derivable():
                    fix = nearest(bare, [*dimensions, *derivable()])
                    yield Problem(
                        where, f"There is no body dimension '{bare}'.", fix, "unknown-name"
                    )
            elif name != HEEL and name not in able:
                message = f"No question '{name}' of the tree answers with a length, mass or count."
                fix = nearest(name, able) or "Ask for it, or leave it out."
                if name in dimensions or name in derivable():
                    message = f"'{name}' is a dimension of the body, not the name of a question."
                    fix = f"Write {BODY}{name}."
                yield Problem(where, message, fix, "unknown-name")
