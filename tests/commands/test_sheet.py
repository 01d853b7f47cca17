"""``consult sheet``: written where it was asked for, and plain words where not."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.runs import Run


def blanks(out: str) -> list[str]:
    """The names of what is to be measured."""
    return [line.partition(":")[0] for line in out.splitlines() if "____" in line]


def test_text_of_the_seating_tree(run: Run) -> None:
    """Without options all that a call may ask for, as text, in centimetres."""
    made = run("sheet")
    assert (made.code, made.err) == (0, "")
    assert made.out.startswith("Measuring sheet\n===")
    assert {"height", "leg", "thigh", "desk", "heels"} <= set(blanks(made.out))
    assert "leg: ________ cm" in made.out


@pytest.mark.parametrize(
    "place", [("--units", "imperial", "sheet"), ("sheet", "--units", "imperial")]
)
def test_units(run: Run, place: tuple[str, ...]) -> None:
    """Before the command or after it."""
    assert "leg: ________ in" in run(*place).out


def test_another_tree(run: Run) -> None:
    """By its name; only what that tree asks for."""
    assert blanks(run("sheet", "--tree", "set_up").out) == ["desk"]
    assert blanks(run("sheet", "--tree", "set-up").out) == ["desk"]


def test_what_is_known_is_left_out(run: Run) -> None:
    """Told in one line, as at a call."""
    known = "height 165, weight 55, leg 40, desk type none"
    found = blanks(run("sheet", "--known", known).out)
    assert "thigh" in found
    assert not {"height", "leg", "desk", "lowest", "thickness"} & set(found)
    assert run("sheet", "--known", f"/{known}").out == run("sheet", "--known", known).out


@pytest.mark.parametrize(
    ("form", "begins"),
    [("text", b"Measuring"), ("html", b"<!DOCTYPE html>"), ("pdf", b"%PDF-"), ("eml", b"Subject")],
)
def test_forms(run: Run, tmp_path: Path, form: str, begins: bytes) -> None:
    """Each is written where it says, as what it is."""
    out = tmp_path / "sheet"
    made = run("sheet", "--form", form, "--out", str(out), "--paper", "Letter")
    assert (made.code, made.out, made.err) == (0, "", "")
    assert out.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--tree", "nowhere"), "consult has no kind of call called 'nowhere'."),
        (("--tree", "my_chair"), "nothing left to measure"),
        (("--known", "desk"), "there is no answer after “desk”"),
        (("--known", "leg 41, dsek 3"), "“dsek 3”"),
        (("--known", "leg 700"), "700 cm is far too long"),
        (("--out", "no/such/folder/sheet.txt"), "There is no folder"),
        (("--units", "both"), "invalid choice"),
    ],
)
def test_bad_use(run: Run, arguments: tuple[str, ...], said: str) -> None:
    """What cannot be done is said in words, with exit code 2, and nothing is written."""
    made = run("sheet", *arguments)
    assert (made.code, made.out) == (2, "")
    assert said in made.err


def test_both_units_at_once(run: Run) -> None:
    """Said before the command too: a tape is read in one."""
    made = run("--units", "both", "sheet")
    assert made.code == 2
    assert "one unit" in made.err
