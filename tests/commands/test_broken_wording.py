"""Templates that cannot be filled: every command that writes a paper tells the file and line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.paths import demo_folder, shipped_trees
from consult.records.store import Store
from tests.commands.runs import Run
from tests.records.samples import begin

DEMO = str(sorted(demo_folder().glob("01_*.yaml"))[0])
BROKEN = {
    "unknown": b"# ok\n\n{{ s.nonsense }}\n",
    "cut short": b"# ok\n\n{{ s.title\n",
    "endless": b"# ok\n\n{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}\n",
    "long": b"# ok\n\n{{ 'x' * 10**9 }}\n",
    "nested": b"# ok\n\n{% for a in range(9999) %}{% for b in range(9999) %}" + 2 * b"{% endfor %}",
    "not text": b"# ok\n\n\xff\n",
}


@pytest.fixture
def trees(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of trees that calls are led with."""
    folder = tmp_path / "trees"
    shutil.copytree(shipped_trees(), folder)
    monkeypatch.setenv("CONSULT_TREES", str(folder))
    return folder


def test_file_and_line(run: Run, records: Store, trees: Path, tmp_path: Path) -> None:
    """With exit code 2, no paper and no bare error; one of them by every command."""
    broken, out = trees / "summary" / "caller.md.j2", tmp_path / "paper.txt"
    reference = begin(records).reference
    commands = (
        ("replay", DEMO, "--summary", "text"),
        ("replay", DEMO, "--summary", "pdf", "--out", str(out)),
        ("replay", DEMO, "--summary", "eml", "--out", str(out)),
        ("records", "document", reference, "--form", "html", "--out", str(out)),
    )
    for name, template in BROKEN.items():
        broken.write_bytes(template)
        for words in commands if name == "unknown" else commands[-1:]:
            made = run(*words)
            assert made.code == 2, (name, words)
            assert made.err.startswith(f"{broken}:3:"), (name, words)
            assert made.out == ""
            assert not out.exists()
        # That the check finds each is tried below the commands.
        if name in ("unknown", "not text"):
            checked = run("check", str(broken))
            assert checked.code == 1
            assert checked.out.startswith(f"{broken}:3:")
            employer = run("replay", DEMO, "--summary", "text", "--for", "employer")
            assert employer.code == (2 if name == "not text" else 0)


def test_a_template_that_is_not_there(run: Run, trees: Path) -> None:
    """Ours stands in: a folder of trees need not have every one."""
    whole = run("replay", DEMO, "--summary", "text")
    shutil.rmtree(trees / "summary")
    assert run("replay", DEMO, "--summary", "text") == whole
    assert whole.code == 0
