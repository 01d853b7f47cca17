"""Naming what a call is about, in place of the file of its tree."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.commands.installation import tree_about
from consult.content.library.files import main_tree_names, read_files
from consult.paths import shipped_trees, trees_folder
from consult.problems import CannotDoError
from tests.commands.runs import Run

# -- naming what a call is about, in place of the file of its tree --------------------------------

MAINS = [Path(file).stem for file in main_tree_names(read_files(shipped_trees()))]


@pytest.mark.parametrize("name", MAINS)
def test_every_main_tree_has_its_name(name: str, run: Run) -> None:
    """Each main tree that comes with the program is found by its name, and named in the help."""
    assert tree_about(name) == trees_folder() / f"{name}.yaml"
    told = " ".join(run("call", "--help").out.split())
    assert name in told


@pytest.mark.parametrize("said", ["my_chair", "My Chair", " my-chair ", "MY  CHAIR"])
def test_a_name_is_heard_however_it_is_written(said: str) -> None:
    """Capitals, blanks and hyphens make no difference."""
    assert tree_about(said) == trees_folder() / "my_chair.yaml"


def test_a_name_that_is_nearly_right(run: Run) -> None:
    """The nearest name is offered, and all there are; the exit code says bad use."""
    made = run("call", "--about", "my_chairs")
    assert made.code == 2
    assert "Did you mean 'my_chair'?" in made.err
    assert all(name in made.err for name in MAINS)


@pytest.mark.parametrize("said", ["closing", "range", "../trees/seating", "[b]", "zebra " * 2000])
def test_what_no_call_is_about(said: str, run: Run) -> None:
    """Sub-trees, other files and nonsense are no names, and are no paths either."""
    with pytest.raises(CannotDoError, match="The kinds are"):
        tree_about(said)
    assert run("call", "--about", said).code == 2


@pytest.mark.parametrize(
    "more", [("--tree", "a.yaml"), ("--open", "7K3-M2Q"), ("--from", "a.yaml")], ids=" ".join
)
def test_one_way_to_name_it(more: tuple[str, str], run: Run, tmp_path: Path) -> None:
    """With a tree, a kept call or a call file, a second name is refused rather than ignored."""
    made = run("call", "--about", "set_up", *more, "--records", str(tmp_path / "calls.db"))
    assert made.code == 2
    assert "--about" in made.err


def test_a_folder_of_ones_own(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Names are those of the folder that calls are led with; an empty one is said to be so."""
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    assert "There is no tree in" in run("call", "--about", "seating").err
    (tmp_path / "corner.yaml").write_text("tree: corner\nfirst: light\n", "utf-8")
    assert tree_about("Corner") == tmp_path / "corner.yaml"
