"""``consult replay --coverage`` on the command line."""

from __future__ import annotations

from pathlib import Path

from consult.paths import demo_folder
from tests.commands.runs import Run

TEAM = sorted(
    str(file)
    for file in demo_folder().glob("*.yaml")
    if "\ntree: team_order\n" in file.read_text("utf-8")
)
HEAD = "transcript: A call\ntree: team_order\ntoday: 2026-11-25\n"
SHORT = HEAD + "answers:\n  - caller_name: Ada\n  - team_size: 4\n  - places: 1\n"


def test_everything_is_reached(run: Run) -> None:
    """The demo calls for teams leave nothing of their tree out: exit code 0, calls by name."""
    made = run("replay", "--coverage", *TEAM)
    assert (made.code, made.err) == (0, "")
    first, *lines = made.out.splitlines()
    assert first.startswith(f"team_order 2026.12: {len(TEAM)} calls, ")
    assert "    sharers                     35_team_two_shifts" in lines
    assert any(line.endswith("and 3 more") for line in lines if "team_size" in line)
    assert "reached by none" not in made.out


def test_something_is_reached_by_none(run: Run, tmp_path: Path) -> None:
    """It is named with its place, and the exit code is 1."""
    file = tmp_path / "short.yaml"
    file.write_text(SHORT, "utf-8")
    made = run("replay", "--coverage", str(file))
    assert (made.code, made.err) == (1, "")
    told = made.out.partition("  reached by none\n")[2].splitlines()
    assert any(line.endswith(": caution 'rated_for_all'") for line in told)
    assert all("team_order.yaml:" in line or "closing.yaml:" in line for line in told)
    assert not any("'places'" in line for line in told)


def test_as_json(run: Run, tmp_path: Path) -> None:
    """The same as data, every piece with its calls."""
    file = tmp_path / "short.yaml"
    file.write_text(SHORT, "utf-8")
    made = run("replay", "--coverage", "--json", str(file))
    assert made.code == 1
    (tree,) = made.json["trees"]
    assert (tree["tree"], tree["calls"]) == ("team_order", ["short"])
    by_name = {(one["part"], one["name"]): one["calls"] for one in tree["pieces"]}
    assert by_name["question", "places"] == ["short"]
    assert by_name["advice", "local_rules"] == []
    missed = {(one["part"], one["name"]) for one in tree["missed"]}
    assert missed == {key for key, calls in by_name.items() if not calls}


def test_files_of_the_same_name(run: Run, tmp_path: Path) -> None:
    """Files that differ in their folders only are told apart by the whole path."""
    files = []
    for folder in ("one", "two"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "short.yaml").write_text(SHORT, "utf-8")
        files.append(str(tmp_path / folder / "short.yaml"))
    made = run("replay", "--coverage", "--json", *files)
    assert made.json["trees"][0]["calls"] == files


def test_a_file_that_cannot_be_used(run: Run, tmp_path: Path) -> None:
    """It is told in words, exit code 2; the others are counted all the same."""
    file = tmp_path / "bad.yaml"
    file.write_text("a: [", "utf-8")
    made = run("replay", "--coverage", str(file), *TEAM)
    assert made.code == 2
    assert str(file) in made.err
    assert made.out.startswith("team_order ")


def test_not_with_a_summary(run: Run) -> None:
    """Coverage writes no paper, and says so."""
    made = run("replay", "--coverage", "--summary", "text", *TEAM)
    assert (made.code, made.out) == (2, "")
    assert "--coverage" in made.err
