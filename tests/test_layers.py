"""Imports point one way: screens and commands on top, the call below, body and units at the bottom.

Imports for types only count too: a layer that has to name a type of the one above it is tangled.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import consult

ROOT = Path(consult.__file__).parent
FILES = sorted(ROOT.rglob("*.py"))

_BOTTOM = {
    *("units", "spoken", "quantity", "phrase", "hearing", "scale"),
    *("sentence", "problems", "visible", "paths", "durable", "cells"),
}
_CORE = {"body", "marked", "tree", "fit", *_BOTTOM}
_MAY_IMPORT = {
    **dict.fromkeys(_BOTTOM, _BOTTOM),
    "body": {"body", *_BOTTOM},
    "marked": {"marked", *_BOTTOM},
    "tree": {"tree", "marked", *_BOTTOM},
    "fit": {"fit", "body", "marked", *_BOTTOM},
    "picture": {"picture", "fit", "body", *_BOTTOM},
    "call": {"call", *_CORE},
    "content": {"content", "picture", "call", *_CORE},
    "practice": {"practice", "content", "picture", "call", *_CORE},
    "summary": {"summary", "picture", "call", *_CORE},
    "records": {"records", "call", *_CORE},
    "ui": {"ui", "call", "content", "picture", "practice", "summary", "records", *_CORE},
    "commands": {
        *("commands", "ui", "call", "content", "picture", "practice", "summary", "records"),
        *_CORE,
    },
    "cli": {"commands", ""},
    "__main__": {"cli"},
    "": set(),
}
"""Layer -> the layers it may import; '' is the package itself."""

_LIBRARIES = {
    "textual": {"ui"},
    "rich": {"ui"},
    "sqlalchemy": {"records"},
    "cryptography": {"records"},
    "platformdirs": {"paths", "practice", "records"},
    "textual_serve": {"commands"},
    "jinja2": {"content", "summary"},
    "markupsafe": {"content", "summary"},
    "markdown_it": {"summary"},
    "fpdf": {"summary"},
    "fontTools": {"content", "summary"},
    "aiohttp": {"commands"},
    "yaml": {"marked", "call"},
    "jsonschema": {"marked", "body", "tree", "fit", "call"},
    "numpy": {"body", "content", "fit", "practice"},
    "PIL": {"picture"},
    "igraph": {"content"},
    "z3": {"content"},
}
"""Library -> the layers that may import it; nothing else outside the standard library."""


def layer(file: Path) -> str:
    """The folder under the package, or the name of a file beside it."""
    first = file.relative_to(ROOT).parts[0].removesuffix(".py")
    return "" if first == "__init__" else first


@cache
def parsed(file: Path) -> ast.Module:
    """The code of a file."""
    return ast.parse(file.read_text("utf-8"))


def imported(file: Path) -> Iterator[str]:
    """Every module a file imports, wherever in the file it does so."""
    for node in ast.walk(parsed(file)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file} imports relatively"
            assert node.module is not None
            if node.module == "consult":
                yield from (
                    f"consult.{alias.name}" for alias in node.names if alias.name != "__version__"
                )
            elif node.module.count(".") == 1 and node.module.startswith("consult."):
                yield node.module
            else:
                yield node.module


def test_every_layer_has_its_place() -> None:
    """A new folder or file beside them says first whom it may lean on."""
    assert {layer(file) for file in FILES} <= _MAY_IMPORT.keys()


def test_imports_point_one_way() -> None:
    """No file imports from a layer beside or above its own."""
    for file in FILES:
        found = {name.split(".")[1] for name in imported(file) if name.startswith("consult.")}
        assert found <= _MAY_IMPORT[layer(file)], file


def test_libraries_stay_where_they_belong() -> None:
    """Screens, database, YAML and arithmetic are each used in their own layers alone."""
    for file in FILES:
        found = {name.partition(".")[0] for name in imported(file)} - {"consult"}
        foreign = {name for name in found if name not in sys.stdlib_module_names}
        assert foreign <= _LIBRARIES.keys(), file
        for name in foreign:
            assert layer(file) in _LIBRARIES[name], f"{name} in {file}"


def test_the_order_has_no_circle() -> None:
    """The table itself points one way: of two layers at most one may import the other."""
    for one, others in _MAY_IMPORT.items():
        for other in others - {one} - _BOTTOM:
            assert one not in _MAY_IMPORT[other], f"{one} and {other}"


def reads_clock(node: ast.AST) -> bool:
    """Whether a piece of code is ``date.today``, ``datetime.now``, ``time.time`` or their like."""
    return (
        isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id in ("date", "datetime", "time")
        and node.attr in ("now", "today", "utcnow", "time", "monotonic")
    )


def test_the_core_knows_no_clock() -> None:
    """What is worked out of a call must not depend on when: nothing below reads the clock."""
    for file in FILES:
        if layer(file) in {"call", "picture", "summary", *_CORE}:
            assert not [node for node in ast.walk(parsed(file)) if reads_clock(node)], file
