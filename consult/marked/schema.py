"""What a JSON Schema finds wrong with a file, in plain sentences with their place.

Nothing here knows about trees: range files, contacts and transcripts use it with schemas of their
own. A pattern that fails is explained by the ``description`` standing beside it.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from functools import cache, reduce
from itertools import islice
from operator import getitem
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.marked.fast_validation import (
    add_validated,
    digest_of,
    is_validated,
    surely_follows,
)
from consult.marked.marks import Marked, Steps, load_marked
from consult.marked.plain import block_at
from consult.problems import Problem, listed, nearest, shortened
from consult.visible import visible

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError

    from consult.marked.marks import Texts

_NAME_MOST = 60
_FIGURE = re.compile(r"[£$€]? ?([0-9]+(?:[.,][0-9]+)?) ?(?:%|[A-Za-z ]+|[£$€])?")
"""A number with something that belongs elsewhere: £340, 5 days, 20%."""
"""Characters past which a text was not meant as a name."""
MOST_PROBLEMS = 200
"""Problems told at once; past that, a file is not the kind it was taken for."""

_TYPES = {
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "array": "a list",
    "object": "a block of names and values",
    "null": "nothing",
}
_BOUNDS = {
    "minimum": "at least",
    "maximum": "at most",
    "exclusiveMinimum": "more than",
    "exclusiveMaximum": "less than",
}
_SIZES = {
    "minLength": ("too short", "characters, at least"),
    "maxLength": ("too long", "characters, at most"),
    "minItems": ("too short", "items, at least"),
    "maxItems": ("too long", "items, at most"),
    "minProperties": ("too short", "names, at least"),
    "maxProperties": ("too long", "names, at most"),
}


_COMPARES = re.compile(r"==|!=|<|>| in | and | or ")


@cache
def load_schema(path: Path) -> Mapping[str, Any]:
    """A schema that ships with the program."""
    schema: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return schema


def load_followed(
    path: Path, schema: Path, texts: Texts | None = None
) -> tuple[Marked | None, list[Problem]]:
    """Read one file and hold it against its schema; None where a problem is an error.

    A text of this path is read in place of the file.
    """
    marked, problems = load_marked(path, texts)
    if marked is None:
        return None, problems
    problems = [*problems, *schema_problems(marked, load_schema(schema))]
    wrong = any(problem.severity == "error" for problem in problems)
    return None if wrong else marked, problems


def schema_problems(marked: Marked, schema: Mapping[str, Any]) -> list[Problem]:
    """Everything in the file that the schema does not allow, at most ``MOST`` of it."""
    against = digest_of(schema)
    if is_validated(marked.digest, against):
        return []
    if surely_follows(marked.data, schema):
        add_validated(marked.digest, against)
        return []
    errors = _validator(schema).iter_errors(marked.data)
    all_problems = (problem for error in errors for problem in _problems(error, marked, ()))
    problems = list(dict.fromkeys(islice(all_problems, MOST_PROBLEMS)))
    if not problems:
        add_validated(marked.digest, against)
    return problems


def _validator(schema: Mapping[str, Any]) -> Any:
    """Looks closely only at what does not surely follow: one slip in a file costs no long wait."""
    # A tenth of a second that a start with files that are right does without.
    from jsonschema import Draft202012Validator
    from jsonschema.validators import extend

    closely: Any = Draft202012Validator.VALIDATORS["$ref"]
    parts: dict[str, Mapping[str, Any]] = {}

    def ref(validator: Any, name: str, instance: Any, inside: Any) -> Iterator[ValidationError]:
        part = parts.setdefault(name, {"$ref": name, "$defs": schema.get("$defs", {})})
        if not surely_follows(instance, part):
            yield from closely(validator, name, instance, inside) or ()

    made: Any = extend
    return made(Draft202012Validator, {"$ref": ref})(schema)


def _problems(error: ValidationError, marked: Marked, above: Steps) -> Iterator[Problem]:
    steps: Steps = (*above, *error.relative_path)
    here = marked.value(*steps)
    instance: Any = error.instance
    wanted: Any = error.validator_value
    kind = error.validator
    schema: Any = error.schema
    described = str(schema.get("description", "")) if isinstance(schema, dict) else ""
    if "propertyNames" in list(error.relative_schema_path)[:-1]:
        # The schema looks at a name here, whose place is that of the key.
        here = marked.key(*steps, instance)
        if kind == "pattern" and _after_comma(
            instance, reduce(getitem, steps, marked.data)[instance]
        ):
            yield Problem(here, *_comma(instance), "comma")
            return
    if kind in ("anyOf", "oneOf") and error.context:
        yield from _closest(error, marked, steps)
    elif kind == "additionalProperties" and wanted is False:
        yield from _unknown_names(error, marked, steps)
    elif kind == "required":
        # One error a missing name, which it quotes at its beginning.
        missing = next(name for name in wanted if error.message.startswith(repr(name)))
        if missing in _meant(error):
            return
        place = marked.key(*steps) if steps else here
        yield Problem(place, f"'{missing}' is missing{_of(steps)}.", "", "missing-name")
    elif kind in ("enum", "const"):
        allowed = wanted if kind == "enum" else [wanted]
        options = [
            str(value).lower() if isinstance(value, bool) else str(value) for value in allowed
        ]
        raw = marked.raw(*steps)
        if raw is None or not isinstance(instance, (str, int, float)):
            yield _wrong_type(instance, [listed(options)], marked, steps)
            return
        fix = nearest(raw, options) or f"It is {listed(options)}."
        message = f"'{shortened(raw)}' is not allowed here{_of(steps)}."
        yield Problem(here, message, fix, "wrong-word")
    elif kind == "type":
        types = [wanted] if isinstance(wanted, str) else list(wanted)
        number = isinstance(instance, (int, float)) and not isinstance(instance, bool)
        if number and described.startswith("A number and its unit"):
            message = f"{marked.raw(*steps)} has no unit{_of(steps)}."
            yield Problem(here, message, described, "no-unit")
            return
        yield _wrong_type(instance, [_TYPES[json_type] for json_type in types], marked, steps)
    elif kind == "pattern":
        fix = described or f"It follows the pattern {wanted}."
        letter = _odd_letter(str(instance)) if str(wanted).startswith("^[a-z]") else ""
        message = letter or f"'{shortened(str(instance))}' is not written correctly."
        yield Problem(here, message, fix, "wrong-form")
    elif kind in _BOUNDS:
        message = f"{shortened(str(instance))} is out of bounds{_of(steps)}."
        yield Problem(here, message, f"It is {_BOUNDS[kind]} {wanted}.", "out-of-bounds")
    elif kind in _SIZES and not instance:
        message = f"It is empty{_of(steps)}."
        if marked.hollow(*steps) == ">":
            message = f"There is no text below the > or |{_of(steps)} that is indented further."
            described = "Indent the text by two spaces more than the name."
        yield Problem(here, message, described, "empty")
    elif kind in _SIZES:
        what, unit = _SIZES[kind]
        yield Problem(here, f"This is {what}{_of(steps)}.", f"In {unit}: {wanted}.", "size")
    else:
        message = f"This is not allowed here{_of(steps)}."
        yield Problem(here, message, described or shortened(error.message), "shape")


def _meant(error: ValidationError) -> set[str]:
    """Names that stand in the block misspelt: saying that they are missing too helps nobody."""
    schema: Any = error.schema
    instance: Any = error.instance
    valid = list(schema.get("properties", {}))
    free = [free_name for free_name in valid if free_name not in instance]
    strange = [name for name in list(instance)[:MOST_PROBLEMS] if name not in valid]
    return {
        free_name
        for name in strange
        for free_name in free
        if nearest(name, free).endswith(f"'{free_name}'?")
    }


def _unknown_names(error: ValidationError, marked: Marked, steps: Steps) -> Iterator[Problem]:
    schema: Any = error.schema
    valid = list(schema.get("properties", {}))
    patterns = list(schema.get("patternProperties", {}))
    instance: Any = error.instance
    for name in instance:
        if name in valid or any(re.search(pattern, name) for pattern in patterns):
            continue
        free = [free_name for free_name in valid if free_name not in instance]
        fix = (
            _in_place(name, free)
            or nearest(name, free)
            or (f"It may have {listed(free)}." if free else "Delete it.")
        )
        message = f"'{shortened(name)}' is not a known name here{_of(steps)}."
        if _after_comma(name, instance[name]):
            message, fix = _comma(name)
        if home := _home_of(instance[name], instance):
            message = f"'{shortened(name)}' is not indented like what belongs to '{home}'."
            fix = "Indent it, and the lines that belong to it, by two spaces more."
        yield Problem(marked.key(*steps, name), message, fix, "unknown-name")


def _after_comma(name: Any, value: Any) -> bool:
    """Whether a name is the rest of a text whose comma stands inside of { }."""
    return value is None and isinstance(name, str) and not re.fullmatch(r"[a-z][a-z0-9_]*", name)


def _comma(name: str) -> tuple[str, str]:
    message = f"The comma before '{shortened(name)}' begins another entry of what stands in {{ }}."
    return message, "Put a text with a comma in quotes; a number has a decimal point: 68.5."


def _home_of(value: Any, beside: Mapping[str, Any]) -> str:
    """The block beside a strange one that has such things in it: of the same names, in the main."""
    for name, block in beside.items():
        inside = block.values() if isinstance(block, dict) and isinstance(value, dict) else ()
        if any(
            isinstance(entry, dict) and len(entry.keys() & value.keys()) > 1 for entry in inside
        ):
            return name
    return ""


def _in_place(name: str, free: list[str]) -> str:
    """What would be right for a condition that stands where its name belongs."""
    route = "when" in free or "otherwise" in free
    fix = "Write when: before it, and go: on the next line."
    return fix if route and _COMPARES.search(name) else ""


def _closest(error: ValidationError, marked: Marked, steps: Steps) -> Iterator[Problem]:
    """Of several shapes none of which fits, the complaints of the one that was meant."""
    schemas: Any = error.validator_value
    branches: list[list[ValidationError]] = [[] for _ in schemas]
    for inner in error.context or ():
        branches[int(inner.relative_schema_path[0])].append(inner)
    other_types = [
        [
            validation_error
            for validation_error in branch
            if validation_error.validator == "type" and not validation_error.relative_path
        ]
        for branch in branches
    ]
    fitting = [index for index, others in enumerate(other_types) if not others]
    if not fitting:
        values: list[Any] = [
            validation_error.validator_value
            for others in other_types
            for validation_error in others
        ]
        types = [
            name for value in values for name in ([value] if isinstance(value, str) else value)
        ]
        words = [_TYPES[name] for name in dict.fromkeys(types)]
        yield _wrong_type(error.instance, words, marked, steps)
        return
    meant = min(fitting, key=lambda index: (_strangeness(branches[index]), index))
    for branch in branches[meant]:
        yield from _problems(branch, marked, steps)


def _strangeness(errors: Iterable[ValidationError]) -> tuple[int, int]:
    """Names that do not belong and names that are missing say most about what was not meant."""
    strange = 0
    rest = 0
    for error in errors:
        instance: Any = error.instance
        if error.relative_path:
            rest += 1
        elif error.validator == "additionalProperties":
            schema: Any = error.schema
            valid = list(schema.get("properties", {}))
            others = [name for name in list(instance)[:MOST_PROBLEMS] if name not in valid]
            # A name that is nearly one of them was meant.
            strange += sum(not nearest(name, valid) for name in others)
            rest += 1
        elif error.validator == "required" and {error.message.split("'")[1]} & _meant(error):
            rest += 1
        else:
            strange += 1
    return strange, rest


def _odd_letter(text: str) -> str:
    """A letter in a name that only looks like another, or is not seen at all."""
    odd = next((char for char in text if not char.isascii()), "") if len(text) < _NAME_MOST else ""
    if not odd:
        return ""
    name = unicodedata.name(odd, "an unnamed character").lower()
    shown = f" '{odd}'" if odd.isprintable() and unicodedata.category(odd) != "Cf" else ""
    return f"'{visible(text)}' has a letter that names cannot have:{shown} ({name})."


def _nothing(types: list[str], marked: Marked, steps: Steps) -> Problem:
    """What is wrong where a value is missing though its name is there."""
    message = f"There is nothing here{_of(steps)}."
    fix = f"Write {listed(types)}."
    if marked.hollow(*steps) == "#":
        message = f"What follows '#' is a comment, so there is nothing here{_of(steps)}."
        fix = f"Put the text in quotes if it begins with '#'. {fix}"
    elif set(types) <= {_TYPES["object"], _TYPES["array"]}:
        message = f"There is nothing here{_of(steps)} that is indented further."
        fix = f"Indent the lines that belong to it by two spaces more. {fix}"
    return Problem(marked.value(*steps), message, fix, "empty")


def _wrong_type(instance: Any, types: list[str], marked: Marked, steps: Steps) -> Problem:
    here = marked.value(*steps)
    wanted = listed(types)
    if instance is None:
        return _nothing(types, marked, steps)
    actual = _type_of(instance)
    message = f"This is {actual}{_of(steps)}, not {wanted}."
    fix = f"Write {wanted}."
    if isinstance(instance, list) and types == [_TYPES["object"]]:
        fix = "Take the dashes out, and write 'name: value' on each line."
    elif types == [_TYPES["object"]] and steps and steps[-1] in _names_beside(marked, steps):
        message = f"'{steps[-1]}' is not indented like the lines above it{_of(steps[:-1])}."
        fix = "Indent it by two spaces more."
    elif types == [_TYPES["object"]]:
        fix = "Write 'name: value' on lines of their own below it, each further in."
    elif isinstance(instance, dict) and _TYPES["array"] in types:
        fix = "Put a dash before the first name of each thing in the list."
    if types == [_TYPES["array"]] and isinstance(instance, str):
        fix = f"Write it in square brackets: [{shortened(instance)}]."
    figure = _FIGURE.fullmatch(instance) if isinstance(instance, str) else None
    if figure and {*types} & {_TYPES["number"], _TYPES["integer"]}:
        message = f"'{instance}'{_of(steps)} is more than a number."
        if "," in figure[1] and figure[0] == figure[1]:
            message = f"'{instance}'{_of(steps)} has a comma, and a number has a decimal point."
        fix = f"Write {figure[1].replace(',', '.')}."
    if "text" in types and isinstance(instance, (bool, int, float)):
        fix = "Put it in quotes if it is meant as text."
        if isinstance(instance, bool):
            fix = (
                f"Write {'yes' if instance else 'no'}, or put it in quotes if it is meant as text."
            )
    return Problem(here, message, fix, "wrong-type")


def _names_beside(marked: Marked, steps: Steps) -> set[str]:
    """The names inside the blocks beside a value."""
    beside = block_at(marked.data, *steps[:-1]).values()
    return {name for block in beside for name in block_at(block)}


def _type_of(instance: Any) -> str:
    if isinstance(instance, bool):
        return "true or false"
    if isinstance(instance, (int, float)):
        return "a number"
    if isinstance(instance, str):
        return "text"
    return "a list" if isinstance(instance, list) else "a block of names and values"


def _of(steps: Steps) -> str:
    """Which piece is meant: " in 'stature'", nothing at the top of a file."""
    if not steps:
        return ""
    last = steps[-1]
    if isinstance(last, str):
        return f" in '{shortened(last)}'"
    owner = next((step for step in reversed(steps) if isinstance(step, str)), "the list")
    return f" in item {last + 1} of '{shortened(owner)}'"
