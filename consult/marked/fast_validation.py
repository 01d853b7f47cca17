"""Whether a file surely follows its schema, in a small part of the time a full report takes.

An editor checks after every key, and nearly every text it checks is right. Only the words of JSON
Schema that our schemas use are understood; of any other, and of whatever does not follow, the
full validator has to say.
"""

from __future__ import annotations

import hashlib
import json
import operator as op
import re
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import Any

Accepts = Callable[[Any], bool]

_IDLE = frozenset(("$schema", "$id", "title", "description", "$defs", "$comment", "default"))
_BLOCK = ("properties", "patternProperties", "additionalProperties")
_TYPES: dict[str, Accepts] = {
    "string": lambda value: isinstance(value, str),
    "number": lambda value: isinstance(value, (int, float)) and not isinstance(value, bool),
    "integer": lambda value: isinstance(value, int) and not isinstance(value, bool),
    "boolean": lambda value: isinstance(value, bool),
    "array": lambda value: isinstance(value, list),
    "object": lambda value: isinstance(value, dict),
    "null": lambda value: value is None,
}
_SIZED: Mapping[str, Any] = {"Length": str, "Items": list, "Properties": dict}
_BOUNDS = {"minimum": op.ge, "maximum": op.le, "exclusiveMinimum": op.gt}


class _StrangeError(Exception):
    """The schema has a word that is not understood here."""


def surely_follows(data: Any, schema: Mapping[str, Any]) -> bool:
    """Whether ``data`` follows ``schema``; False too where that cannot be said."""
    try:
        return _compiled(_Held(schema))(data)
    except (_StrangeError, RecursionError):
        return False


class _Held:
    """A schema as a key: the same one, not one that reads alike."""

    def __init__(self, schema: Mapping[str, Any]) -> None:
        self.schema = schema

    def __hash__(self) -> int:
        return id(self.schema)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and self.schema is other.schema


@lru_cache(maxsize=32)
def _compiled(held: _Held) -> Accepts:
    return _Compiler(held.schema).accepts(held.schema)


class _Compiler:
    def __init__(self, root: Mapping[str, Any]) -> None:
        self.root = root
        self.named: dict[str, Accepts] = {}

    def accepts(self, schema: Mapping[str, Any]) -> Accepts:
        tests = [
            self.word(word, wanted, schema) for word, wanted in schema.items() if word not in _IDLE
        ]
        used = tuple(test for test in tests if test is not None)
        if len(used) == 1:
            return used[0]

        def all_of(value: Any) -> bool:
            return all(test(value) for test in used)

        return all_of

    def word(self, word: str, wanted: Any, schema: Mapping[str, Any]) -> Accepts | None:
        """What one word of a schema asks; None where another word asks it."""
        match word:
            case "type":
                listed = [wanted] if isinstance(wanted, str) else wanted
                types = tuple(_TYPES[listed_type] for listed_type in listed)
                return types[0] if len(types) == 1 else _any_of(types)
            case "enum" if all(isinstance(option, str) for option in wanted):
                options = frozenset(wanted)
                return lambda value: isinstance(value, str) and value in options
            case "enum" | "const":
                return _one_of(wanted if word == "enum" else [wanted])
            case "pattern":
                pattern = re.compile(wanted)
                return lambda value: not isinstance(value, str) or bool(pattern.search(value))
            case "minLength" | "minItems" | "minProperties":
                kind = _SIZED[word[3:]]
                return lambda value: not isinstance(value, kind) or len(value) >= wanted
            case "maxLength" | "maxItems" | "maxProperties":
                kind = _SIZED[word[3:]]
                return lambda value: not isinstance(value, kind) or len(value) <= wanted
            case "minimum" | "maximum" | "exclusiveMinimum":
                number, holds = _TYPES["number"], _BOUNDS[word]
                return lambda value: not number(value) or holds(value, wanted)
            case "dependentRequired":
                return lambda value: (
                    not isinstance(value, dict)
                    or all(value.keys() >= set(wanted[name]) for name in wanted if name in value)
                )
            case "items":
                item = self.accepts(wanted)
                return lambda value: not isinstance(value, list) or all(map(item, value))
            case "anyOf":
                return _any_of(tuple(self.accepts(choice) for choice in wanted))
            case "required":
                names = tuple(wanted)
                return lambda value: (
                    not isinstance(value, dict) or all(name in value for name in names)
                )
            case "propertyNames":
                name = self.accepts(wanted)
                return lambda value: not isinstance(value, dict) or all(map(name, value))
            case _ if word in _BLOCK:
                # They are one question: whichever stands first asks it.
                first = next(key for key in schema if key in _BLOCK)
                return self.block(schema) if word == first else None
            case "$ref":
                return self.reference(wanted)
        raise _StrangeError(word)

    def block(self, schema: Mapping[str, Any]) -> Accepts:
        own = {name: self.accepts(inner) for name, inner in schema.get("properties", {}).items()}
        like = [
            (re.compile(pattern), self.accepts(inner))
            for pattern, inner in schema.get("patternProperties", {}).items()
        ]
        beside = schema.get("additionalProperties", True)
        others = self.accepts(beside) if isinstance(beside, dict) else (lambda _: bool(beside))

        def test(value: Any) -> bool:
            if not isinstance(value, dict):
                return True
            return all(own.get(name, others)(inner) for name, inner in value.items())

        def test_like(value: Any) -> bool:
            if not isinstance(value, dict):
                return True
            for name, inner in value.items():
                tests = [accepts for pattern, accepts in like if pattern.search(name)]
                if name in own or not tests:
                    tests.append(own.get(name, others))
                if not all(test(inner) for test in tests):
                    return False
            return True

        return test_like if like else test

    def reference(self, to: str) -> Accepts:
        prefix = "#/$defs/"
        if not to.startswith(prefix):
            raise _StrangeError(to)
        if to not in self.named:
            # Set first, so that a definition may name itself.
            self.named[to] = lambda value: self.named[to](value)
            self.named[to] = self.accepts(self.root["$defs"][to.removeprefix(prefix)])
        return self.named[to]


def _one_of(wanted: list[Any]) -> Accepts:
    """Text, numbers and truth values, which are not numbers here."""
    if not all(option is None or isinstance(option, (str, int, float)) for option in wanted):
        raise _StrangeError("enum")
    options = [(isinstance(option, bool), option) for option in wanted]
    return lambda value: (isinstance(value, bool), value) in options


def _any_of(tests: tuple[Accepts, ...]) -> Accepts:
    def test(value: Any) -> bool:
        return any(accepts(value) for accepts in tests)

    return test


# -- what was found valid before ------------------------------------------------------------------
# Known by the digest of a text together with what it was held against: changed by a letter, either
# is new. It lasts as long as the program runs; ``records.validation_cache`` takes it on to the next
# run.

_validated: dict[str, None] = {}
"""In the order they were found or taken over."""


def is_validated(digest: str, against: str) -> bool:
    """Whether a text of this digest was found to follow a schema, or a check."""
    return _key(digest, against) in _validated


def add_validated(digest: str, against: str) -> None:
    """Remember that it does."""
    _validated[_key(digest, against)] = None


def take_over(keys: Iterable[str]) -> None:
    """Remember what an earlier run found."""
    _validated.update(dict.fromkeys(keys))


def validated() -> tuple[str, ...]:
    """What is worth remembering for the next run."""
    return tuple(_validated)


def digest_of(schema: Mapping[str, Any]) -> str:
    """What a schema is known by here."""
    return _digest(_Held(schema))


@lru_cache(maxsize=32)
def _digest(held: _Held) -> str:
    return hashlib.sha256(json.dumps(held.schema, sort_keys=True).encode()).hexdigest()


def _key(digest: str, against: str) -> str:
    return hashlib.sha256(f"{digest} {against}".encode()).hexdigest()
