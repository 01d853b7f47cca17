"""``consult draw``: files written where they were asked for, and plain words where not."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from consult.cli import main
from consult.content.drawing import layers
from consult.paths import shipped_trees

needs_library = pytest.mark.skipif(not layers.layout_installed(), reason="no layout library")

MAIN = ["follow_up", "my_chair", "seating", "set_up", "team_order"]


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CONSULT_TREES", str(shipped_trees()))


@pytest.fixture
def without(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if the layout library were not installed."""
    for module in ("content.drawing.layers", "content.drawing.page", "commands.draw"):
        monkeypatch.setattr(f"consult.{module}.layout_installed", lambda: False)


@needs_library
@pytest.mark.parametrize("named", ["desk", str(shipped_trees() / "desk.yaml")])
def test_a_drawing(named: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By path or by name; it says where it wrote, and what it wrote is SVG."""
    assert main(["draw", named]) == 0
    assert capsys.readouterr().out == "Written: desk.svg\n"
    assert ElementTree.parse(tmp_path / "desk.svg").getroot().tag.endswith("svg")


@needs_library
def test_a_part_of_a_tree(tmp_path: Path) -> None:
    """A part may be named beside its tree, and the file to write."""
    assert main(["draw", "follow_up", "--part", "closing", "--out", "some.svg"]) == 0
    assert "<title" in (tmp_path / "some.svg").read_text("utf-8")


@needs_library
def test_seating_is_meant_where_nothing_is_named(tmp_path: Path) -> None:
    """Without a tree the main one is drawn."""
    assert main(["draw"]) == 0
    assert (tmp_path / "seating.svg").is_file()


@needs_library
def test_a_page_with_the_drawing_in_it(tmp_path: Path) -> None:
    """The page holds the drawing and whom to contact."""
    assert main(["draw", "safety", "--walk"]) == 0
    page = (tmp_path / "safety.html").read_text("utf-8")
    assert "<svg" in page
    assert "call 999" in page


@needs_library
def test_all(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One command makes page and drawing of every main tree."""
    assert main(["draw", "--all", "out/trees"]) == 0
    names = [f"{tree}.{form}" for tree in MAIN for form in ("html", "svg")]
    assert sorted(path.name for path in (tmp_path / "out" / "trees").iterdir()) == names
    assert capsys.readouterr().out.count("Written: ") == len(names)


@pytest.mark.usefixtures("without")
def test_without_the_library_it_says_what_to_install(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A plain sentence, exit code 2, and nothing written."""
    assert main(["draw", "desk"]) == 2
    assert "pip install 'consult[content]'" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("without")
def test_without_the_library_there_are_pages(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The page is written without the drawing, and that is said."""
    assert main(["draw", "desk", "--walk"]) == 0
    assert "without its drawing" in capsys.readouterr().err
    assert "<svg" not in (tmp_path / "desk.html").read_text("utf-8")
    assert main(["draw", "--all", "out"]) == 2
    made = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert made == [f"{tree}.html" for tree in MAIN]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nowhere"], "There is no tree file nowhere."),
        (["contacts"], "is not a tree"),
        (["desk", "--part", "dusk"], "The tree has no part 'dusk'."),
        (["desk", "--out", "no/such/folder.svg"], "There is no folder"),
        (["--all", "out", "--walk"], "--all draws every tree"),
        (["desk", "--all", "out"], "--all draws every tree"),
    ],
)
@needs_library
def test_bad_use(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What cannot be done is said in words, with exit code 2."""
    assert main(["draw", *arguments]) == 2
    assert said in capsys.readouterr().err


@needs_library
def test_a_tree_with_errors(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its problems are told, as check tells them."""
    (tmp_path / "odd.yaml").write_text("tree: odd\nfirst: [1\n", "utf-8")
    assert main(["draw", "odd.yaml"]) == 2
    told = capsys.readouterr().err
    assert "odd.yaml:" in told
    assert "cannot be drawn" in told
