"""Imports point one way: screens and commands on top, the call below, body and units at the bottom.

Imports for types only count too: a layer that has to name a type of the one above it is tangled.
"""

from __future__ import annotations

import ast
import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import consult

ROOT = Path(consult.__file__).parent
FILES = sorted(ROOT.rglob("*.py"))

_BOTTOM = {
    *("units", "hearing", "scale", "moves"),
    *("sentence", "problems", "visible", "paths", "durable", "retention"),
    "former",
    "recall",
}
_CORE = {"body", "marked", "range", "tree", "fit", *_BOTTOM}
_MAY_IMPORT = {
    **dict.fromkeys(_BOTTOM, _BOTTOM),
    "body": {"body", *_BOTTOM},
    "marked": {"marked", *_BOTTOM},
    "tree": {"tree", "marked", *_BOTTOM},
    "range": {"range", "body", "marked", *_BOTTOM},
    "fit": {"fit", "range", "body", *_BOTTOM},
    "picture": {"picture", "fit", "range", "body", *_BOTTOM},
    "call": {"call", *_CORE},
    "content": {"content", "picture", "call", *_CORE},
    "learning": {"learning", "picture", "call", *_CORE},
    "practice": {"practice", "content", "picture", "call", *_CORE},
    "summary": {"summary", "picture", "call", *_CORE},
    "records": {"records", "call", *_CORE},
    "ui": {"ui", "call", "content", "picture", "practice", "summary", "records", *_CORE},
    "commands": {
        *("commands", "ui", "call", "content", "picture", "practice", "summary", "records"),
        "learning",
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
    "fpdf": {"picture", "summary"},
    "fontTools": {"content", "summary"},
    "aiohttp": {"commands"},
    "yaml": {"marked", "call"},
    "jsonschema": {"marked"},
    "numpy": {"body", "content", "fit", "practice", "range"},
    "PIL": {"picture"},
    "fast_sugiyama": {"content"},
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


def statements(node: ast.AST) -> Iterator[ast.stmt]:
    """Every statement of a file; expressions have none in them, and are most of it."""
    for name in ("body", "orelse", "handlers", "finalbody", "cases"):
        for one in getattr(node, name, None) or ():
            if isinstance(one, ast.stmt):
                yield one
            yield from statements(one)


@cache
def imported(file: Path) -> frozenset[str]:
    """Every module a file imports, wherever in the file it does so."""
    found = set[str]()
    for node in statements(parsed(file)):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file} imports relatively"
            assert node.module is not None
            if node.module == "consult":
                found.update(
                    f"consult.{alias.name}" for alias in node.names if alias.name != "__version__"
                )
            else:
                found.add(node.module)
    return frozenset(found)


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


OF_COMMANDS = {"run", "arguments"}
"""What every command has."""


def _given(node: ast.stmt) -> list[str]:
    """The names that a line of a module gives to others."""
    match node:
        case ast.ClassDef(name=name) | ast.FunctionDef(name=name):
            return [name]
        case ast.AnnAssign(target=ast.Name(id=name)):
            return [name]
        case ast.Assign(targets=targets):
            return [target.id for target in targets if isinstance(target, ast.Name)]
    return []


def test_a_public_name_means_one_thing() -> None:
    """Of two things with one name nobody knows which is meant."""
    modules = defaultdict[str, set[str]](set)
    for file in FILES:
        for name in (name for node in parsed(file).body for name in _given(node)):
            if not name.startswith("_") and name not in OF_COMMANDS:
                modules[name].add(str(file))
    assert [sorted(files) for files in modules.values() if len(files) > 1] == []


def test_the_order_has_no_circle() -> None:
    """The table itself points one way: of two layers at most one may import the other."""
    for one, others in _MAY_IMPORT.items():
        for other in others - {one} - _BOTTOM:
            assert one not in _MAY_IMPORT[other], f"{one} and {other}"


_WALL = {
    *("date.today", "datetime.now", "datetime.today", "datetime.utcnow", "time.time"),
    *("time.time_ns", "time.ctime", "time.localtime", "time.gmtime", "time.strftime"),
}
"""What tells the day or the hour."""
_RUNNING = {"time.monotonic", "time.perf_counter", "time.process_time", "time.sleep"}
"""What tells only how long something takes, or lets time pass."""


_MAY_TELL = re.compile(r"\.(?:today|now|utcnow)\b|\bimport time\b|\bfrom time\b")
"""What a file has that has any of them: to read its code takes a hundred times as long."""


def clocks(file: Path) -> set[str]:
    """What a file has of ``_WALL`` and ``_RUNNING``, however it imports them."""
    if not _MAY_TELL.search(file.read_text("utf-8")):
        return set()
    nodes = list(ast.walk(parsed(file)))
    other = {
        alias.asname: alias.name
        for node in nodes
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in node.names
        if alias.asname
    }
    found = {
        f"time.{alias.name}"
        for node in nodes
        if isinstance(node, ast.ImportFrom) and node.module == "time"
        for alias in node.names
    }
    for node in nodes:
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name | ast.Attribute):
            of = node.value.id if isinstance(node.value, ast.Name) else node.value.attr
            found.add(f"{other.get(of, of)}.{node.attr}")
    return found & (_WALL | _RUNNING)


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ("datetime.now(UTC)", "datetime.now"),
        ("datetime.datetime.now()", "datetime.now"),
        ("from datetime import date as day\nday.today()", "date.today"),
        ("from time import time", "time.time"),
        ("clock=datetime.now", "datetime.now"),
        ("import time as t\nt.time()", "time.time"),
    ],
)
def test_a_clock_is_found(code: str, found: str, tmp_path: Path) -> None:
    """Under whatever name it is imported."""
    file = tmp_path / "reads.py"
    file.write_text(code)
    assert clocks(file) == {found}


def test_one_place_reads_the_clock() -> None:
    """Everything else is told what time it is; the core does not even wait."""
    assert {file for file in FILES if clocks(file) & _WALL} == {ROOT / "commands" / "clock.py"}
    running = {layer(file) for file in FILES if clocks(file) & _RUNNING}
    assert running <= {"records", "ui"}


def test_no_test_reads_the_clock() -> None:
    """Else it would be another test tomorrow; the program's clock is stopped for all of them."""
    folder = Path(__file__).parent
    files = {file for file in folder.rglob("*.py") if file.parent.name != "benchmarks"}
    assert len(files) > 100
    assert [file for file in files if clocks(file) & _WALL] == []
