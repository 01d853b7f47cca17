"""The benchmarks run and tell what became slower; how fast anything is, no test asserts."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from tests.benchmarks.__main__ import FAMILIES, main, read_figures, slower
from tests.benchmarks.measure import QUICK, Family, Figure, Size, order_of

TINY = replace(QUICK, rounds=1, few=1, questions=(3,), grown=(1,))


def figure(
    ratio: float, name: str = "load", reference: str = "YAML", spread: float = 0.01
) -> Figure:
    """Its quartiles are so much of it away."""
    low, high = (1 - spread) * ratio, (1 + spread) * ratio
    return Figure("trees", name, reference, ratio, low, high, 1, 1, 1, 9)


def test_one_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It prints ratios to a named reference and the machine, and writes them to be compared."""
    file = tmp_path / "figures.json"
    assert main(["conditions", "trees", "--json", str(file)], TINY) == 0
    printed = capsys.readouterr().out
    written = json.loads(file.read_text("utf-8"))
    assert written["machine"]["cores"] >= 1
    names = {(one["family"], one["name"]) for one in written["figures"]}
    assert ("conditions", "one choice") in names
    assert ("trees", "check, first, 3 questions") in names
    assert all(one["ratio"] > 0 and one["reference"] for one in written["figures"])
    assert all(name in printed for _, name in names)
    assert {one.key for one in read_figures(file)} == {f"{one}: {name}" for one, name in names}


def test_what_became_slower() -> None:
    """Only what grew by more than a tenth, beyond the spread of both runs, with the same
    reference."""
    before = [
        figure(2.0),
        figure(2.0, "check"),
        figure(2.0, "find"),
        figure(2.0, "list", "SQL"),
        figure(2.0, "purge", spread=0.4),
    ]
    now = [
        figure(3.0),
        figure(2.15, "check"),
        figure(1.0, "find"),
        figure(9.0, "list", "other"),
        figure(3.0, "purge", spread=0.4),
    ]
    assert [line.split(":")[0].split()[0] for line in slower(before, now)] == ["slower", "quicker"]
    assert "trees: load: 2x -> 3x YAML" in slower(before, now)[0]
    assert slower(before, before) == []


def test_slower_fails(tmp_path: Path) -> None:
    """With --compare the exit code tells."""
    file = tmp_path / "before.json"
    main(["conditions", "--json", str(file)], TINY)
    told = json.loads(file.read_text("utf-8"))
    for one in told["figures"]:
        one.update(ratio=1e-9, low=1e-9, high=1e-9)
    file.write_text(json.dumps(told), "utf-8")
    assert main(["conditions", "--compare", str(file)], TINY) == 1


def test_unknown_family(capsys: pytest.CaptureFixture[str]) -> None:
    """It says which there are."""
    with pytest.raises(SystemExit):
        main(["speed"])
    told = capsys.readouterr().err
    assert all(name in told for name in FAMILIES)


def test_in_turn() -> None:
    """Reference and work are done one after the other in every round."""
    done: list[str] = []

    def count() -> float:
        """A clock that goes on a second at each look."""
        ticks.append(0)
        return float(len(ticks))

    ticks: list[int] = []
    family = Family("f", Size(rounds=2))
    family.against("bare", lambda: done.append("bare"), {"work": lambda: done.append("work")},
                   clock=count)  # fmt: skip
    assert done[2:] == ["bare", "work", "bare", "work"]
    assert (family.figures[0].ratio, family.figures[0].rounds) == (1.0, 2)


def test_order() -> None:
    """Ten times the time for ten times as much is linear, a hundred times is quadratic."""
    assert order_of([1, 10, 100], [1.0, 5.0, 50.0]) == pytest.approx(1.0)
    assert order_of([10, 100], [1.0, 100.0]) == pytest.approx(2.0)
