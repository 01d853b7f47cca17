"""``consult callers`` on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.paths import trees_folder
from tests.call.calls import small
from tests.commands.runs import Run
from tests.content.callers.test_report import LITTLE

TEAM = str(trees_folder() / "team_order.yaml")
SEATING = str(trees_folder() / "seating.yaml")
FEW = ("--count", "8", "--seed", "3")
"""Of these callers some are stopped, and the others want the chair."""


def test_what_is_told(run: Run) -> None:
    """Lengths, then how often each piece came; nothing wrong is exit code 0."""
    made = run("callers", TEAM, "--count", "40")
    assert (made.code, made.err) == (0, "")
    lines = made.out.splitlines()
    assert lines[0] == "team_order 2026.12: 40 simulated callers (seed 1)."
    assert lines[1].startswith("Questions in a call: median ")
    assert any(line.split() == ["caller_name", "100"] for line in lines)
    assert lines[-1] == "No caller got stuck, and no caller was given contradictory advice."


@pytest.mark.any_day
def test_as_json(run: Run) -> None:
    """The same as data: counts, and shares from 0 to 1; the same seed tells the same."""
    made = run("callers", TEAM, "--count", "30", "--seed", "7", "--json")
    assert made.code == 0
    told = made.json
    assert (told["callers"], told["seed"], told["troubles"]) == (30, 7, [])
    assert told["lengths"]["shortest"] <= told["lengths"]["median"] <= told["lengths"]["longest"]
    by_name = {one["name"]: one for one in told["met"]}
    assert by_name["caller_name"] == {
        "part": "question",
        "name": "caller_name",
        "callers": 30,
        "share": 1.0,
    }
    unmet = {one["name"] for one in told["met_by_nobody"]}
    assert unmet == {name for name, one in by_name.items() if not one["callers"]}
    assert run("callers", TEAM, "--count", "30", "--seed", "7", "--json").json == told
    other = run("callers", TEAM, "--count", "30", "--seed", "8", "--json").json
    assert other["met"] != told["met"]


def test_contradictory_advice(run: Run, tmp_path: Path) -> None:
    """Exit code 1, loud, with a caller it happens to and what they said."""
    wide = LITTLE.replace("hours < 6", "hours < 60")
    small(tmp_path, wide)
    made = run("callers", str(tmp_path / "little.yaml"), "--count", "40")
    assert made.code == 1
    assert "!! contradiction: 'sleep_more' with 'sleep_less': " in made.out
    assert ", such as caller " in made.out
    assert "     hours: " in made.out
    assert "No caller got stuck" not in made.out
    (trouble,) = run("callers", str(tmp_path / "little.yaml"), "--count", "40", "--json").json[
        "troubles"
    ]
    assert trouble["kind"] == "contradiction"


def test_met_by_nobody(run: Run, tmp_path: Path) -> None:
    """What no caller came to is named with its place, and is no failure."""
    small(tmp_path, LITTLE.replace("hours > 5", "hours > 5000"))
    made = run("callers", str(tmp_path / "little.yaml"), "--count", "5")
    assert made.code == 0
    assert f"{tmp_path / 'little.yaml'}:38: advice 'sleep_less'" in made.out


@pytest.mark.any_day
def test_what_the_chair_came_to(run: Run) -> None:
    """Of those who want the chair: how long it took, whether it fits, what it has, the signs."""
    told = run("callers", SEATING, *FEW, "--json").json
    of = told["offered"]
    assert 0 < of["callers"] <= told["callers"] - told["stopped"] < told["callers"]
    for spread in ("to_chair", "questions", "minutes"):
        assert 0 < of[spread]["median"] <= of[spread]["ninety"]
    # The call goes on after the chair: where it goes, and how to reach the caller.
    assert of["to_chair"]["median"] < of["questions"]["median"]
    for kept in ("fits", "fits_in_full", "musts", "preferences"):
        assert 0 <= of[kept]["has"] <= of[kept]["of"]
    assert 0 < of["fits"]["of"] <= of["callers"]
    assert of["musts"]["of"] > 0
    # Nobody is offered a chair who has not heard the list of warning signs.
    assert of["heard_signs"] == of["callers"]

    out = run("callers", SEATING, *FEW).out.splitlines()
    start = next(at for at, line in enumerate(out) if line.startswith("Of "))
    assert out[start] == f"Of {of['callers']} callers who wanted the chair offered:"
    lines = [" ".join(line.split()) for line in out[start + 1 : start + 9]]
    assert lines == [
        *(
            f"{what} median {of[name]['median']:.1f}, nine in ten at most {of[name]['ninety']:.1f}"
            for what, name in (
                ("questions until the chair", "to_chair"),
                ("questions in all", "questions"),
                ("minutes", "minutes"),
            )
        ),
        *(
            f"{what} {100 * of[name]['has'] / of[name]['of']:.1f} of 100 ({of[name]['of']})"
            for what, name in (
                ("it fits body and desk", "fits"),
                ("so does that of the full call", "fits_in_full"),
                ("it has what is needed", "musts"),
                ("it has what is preferred", "preferences"),
            )
        ),
        "heard the warning signs first 100 of 100",
    ]


def test_no_chair_is_counted_where_none_is_worked_out(run: Run, tmp_path: Path) -> None:
    """A tree that works out no chair tells nothing of one."""
    small(tmp_path, LITTLE)
    tree = str(tmp_path / "little.yaml")
    made = run("callers", tree, "--count", "5")
    assert "who wanted the chair" not in made.out
    assert run("callers", tree, "--count", "5", "--json").json["offered"] is None


@pytest.mark.parametrize("count", ["0", "20001"])
def test_how_many(run: Run, count: str) -> None:
    """No callers, and more than anybody waits for, are bad use."""
    made = run("callers", TEAM, "--count", count)
    assert (made.code, made.out) == (2, "")
    assert made.err == "consult: --count takes a number from 1 to 20,000.\n"


def test_no_tree(run: Run, tmp_path: Path) -> None:
    """A file that is not there, a folder, and a file with errors are each told in words."""
    broken = tmp_path / "broken.yaml"
    broken.write_text("tree: broken\n", "utf-8")
    for path, words in (
        (tmp_path / "none.yaml", "is not there"),
        (tmp_path, "is a folder"),
        (broken, "broken.yaml"),
    ):
        made = run("callers", str(path))
        assert (made.code, made.out) == (2, "")
        assert words in made.err
