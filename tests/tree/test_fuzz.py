"""Damaged files: whatever is done to a tree, its mistakes come back in words, and soon."""

from __future__ import annotations

import random
import re
import shutil
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.marked.marks import MAX_BYTES
from consult.paths import trees_folder
from consult.problems import Problem
from consult.tree.check import check_tree
from tests.long import examples

PUT = [
    *(
        "",
        "-",
        "- ",
        ":",
        ": ",
        "#",
        "'",
        '"',
        "[",
        "]",
        "{",
        "}",
        "&a",
        "*a",
        "!x",
        ">-",
        "|",
        "%",
    ),
    *("\t", "\n", "\r", "\u00a0", "\ufeff", "\u2028", "~", "true", "no", "1e999", "<<: *a", "---"),
    *(
        "<contact>",
        "<x",
        "((((",
        "x == y",
        "known(",
        "9" * 400,
        "end",
        "none",
        "\U0001f4a9",
        "\u202e",
    ),
]
WORDS = re.compile(r"Traceback|NoneType|object at 0x|\bdict\b|KeyError|Exception")
SLOW = 5.0
"""Seconds that no check may take, on the slowest of machines."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the shipped trees to spoil."""
    return Path(shutil.copytree(trees_folder(), tmp_path_factory.mktemp("fuzz") / "trees"))


def checked(path: Path, content: bytes) -> list[Problem]:
    """The problems of the file with that content; the file is then as it was."""
    before = path.read_bytes() if path.exists() else None
    root = path.with_name("follow_up.yaml" if path.name != "seating.yaml" else path.name)
    try:
        path.write_bytes(content)
        start = time.process_time()
        found = check_tree(root if before is not None else path)
        assert time.process_time() - start < SLOW
    finally:
        if before is not None:
            path.write_bytes(before)
    for problem in found:
        assert problem.message
        assert problem.where.line >= 1
        assert problem.where.column >= 1
        assert not WORDS.search(str(problem))
    return found


@pytest.mark.parametrize("seed", range(3))
def test_flipped_bytes(folder: Path, seed: int) -> None:
    """Some bytes of a shipped tree changed, cut out or doubled at random."""
    chance = random.Random(seed)
    for _ in range(12):
        path = folder / chance.choice(["follow_up.yaml", "aches.yaml", "closing.yaml"])
        content = bytearray(path.read_bytes())
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(content))
            kind = chance.randrange(3)
            if kind == 0:
                content[at] ^= 1 << chance.randrange(8)
            elif kind == 1:
                del content[at : at + chance.randint(1, 60)]
            else:
                content[at:at] = content[at : at + chance.randint(1, 200)]
        checked(path, bytes(content))


@given(st.data())
@settings(
    max_examples=examples(25),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_spoilt_lines(folder: Path, data: st.DataObject) -> None:
    """A line of a shipped tree broken up, moved, indented otherwise, or mixed with odd signs."""
    path = folder / data.draw(st.sampled_from(["aches.yaml", "closing.yaml"]))
    lines = path.read_text("utf-8").splitlines()
    at = data.draw(st.integers(0, len(lines) - 1))
    line = lines[at]
    cut = data.draw(st.integers(0, len(line)))
    put = data.draw(st.sampled_from(PUT) | st.text(max_size=5))
    how = data.draw(st.integers(0, 4))
    if how == 0:
        lines[at] = line[:cut] + put + line[cut:]
    elif how == 1:
        lines[at] = put
    elif how == 2:
        lines.insert(data.draw(st.integers(0, len(lines))), lines.pop(at))
    elif how == 3:
        lines[at] = " " * data.draw(st.integers(0, 9)) + line.lstrip()
    else:
        lines.insert(at, line)
    checked(path, "\n".join(lines).encode("utf-8", "surrogatepass"))


_DOUBLED = "\n".join(
    ["a0: &a0 [x, x]", *(f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 60))]
)
_HEAD = "tree: t\ntitle: A\nversion: 1\nfirst: one\nquestions:\n"


def _ask(text: bytes) -> bytes:
    return _HEAD.encode() + b"  one: {ask: " + text + b", answer: text, next: end}"


@pytest.mark.parametrize(
    ("content", "rule"),
    [
        (b"#" * 10_000_000, "large-file"),
        (b"a: [" + b"[" * 9_000_000, "large-file"),
        (b"[" * 1_000_000, None),
        (b"{a: " * 400_000, None),
        (b"- " * 900_000, None),
        (b"\n".join(b" " * n + b"a:" for n in range(1500)), None),
        (_DOUBLED.encode(), "no-references"),
        (b"a: &a [*a]", "no-references"),
        (b"a: " + b"9" * 1_000_000, None),
        (_ask(b"word " * 200_000), "long-ask"),
        (_ask(b"<a" * 300_000), None),
        (_ask(b"." * 900_000), None),
        (_ask(b"A?, skip_when: " + b"(" * 500_000), "condition"),
    ],
)
def test_huge(tmp_path: Path, content: bytes, rule: str | None) -> None:
    """Files that are huge, deep, or that double themselves are refused in words at once."""
    found = checked(tmp_path / "t.yaml", content)
    assert rule is None or rule in {problem.rule for problem in found}


def test_many_of_everything(tmp_path: Path) -> None:
    """Hundreds of routes, choices and names in one question are looked through or left alone."""
    choices = ", ".join(f"c{number}: C {number}" for number in range(400))
    routes = "".join(
        f"      - {{when: c{number} in one and two < {number}, go: two}}\n" for number in range(400)
    )
    ranges = "".join(f"      - {{when: two < {number}, go: end}}\n" for number in range(400))
    text = (
        f"{_HEAD}  one:\n    ask: A?\n    answer: choices\n    choices: {{{choices}}}\n    next:\n"
        f"{routes}      - otherwise: two\n"
        f"  two:\n    ask: B?\n    answer: count\n    next:\n{ranges}      - otherwise: end\n"
    )
    assert len(text) < MAX_BYTES
    # No count is below nought, and nothing is said of the routes there are too many of.
    assert {problem.rule for problem in checked(tmp_path / "t.yaml", text.encode())} <= {
        "always-false"
    }
