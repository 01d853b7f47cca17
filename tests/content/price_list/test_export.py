"""The parts of another product as a table for a spreadsheet, and back."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.price_list.export import into_product, product_list
from consult.paths import shipped_trees
from consult.range.fitting_file import load_fitting
from consult.range.model import Range

EXAMPLE = shipped_trees() / "examples" / "desk_fitting" / "fitting.yaml"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file that declares desks."""
    path = tmp_path / "fitting.yaml"
    path.write_bytes(EXAMPLE.read_bytes())
    return path


def desks(path: Path) -> Range:
    """What a file declares."""
    range_, problems = load_fitting(path)
    assert range_ is not None, problems
    return range_


@pytest.mark.parametrize("decimal", ["point", "comma"])
def test_a_table_reads_back_as_the_same_parts(file: Path, decimal: str) -> None:
    """With its lengths and weights, in points or commas; the rest of the file stays to the byte."""
    before = desks(file)
    table = product_list(before, decimal)  # type: ignore[arg-type]
    assert "FRAME-TWO;Two-stage frame;340;5;68" in table
    found = into_product(file.with_name("parts.csv"), table.encode(), file)
    assert found.problems == []
    assert (found.range, found.rows) == (before, 8)
    head = EXAMPLE.read_text("utf-8").partition("\nparts:")[0]
    assert found.text.startswith(f"{head}\nparts:\n")


def test_a_price_a_part_and_a_unit_are_taken(file: Path) -> None:
    """Another price, a part more, a length in inches under a heading that says so."""
    table = product_list(desks(file)).replace(";340;", ";349.50;")
    table = table.replace(";width;", ";width (in);").replace(";120 cm;", ";48;")
    lines = table.splitlines()
    lines.append(lines[1].replace("FRAME-TWO", "FRAME-ONE"))
    found = into_product(file.with_name("parts.csv"), "\n".join(lines).encode(), file)
    assert found.problems == []
    assert found.range is not None
    parts = {part.code: part for of_kind in found.range.parts.values() for part in of_kind}
    assert (parts["FRAME-TWO"].price, parts["FRAME-ONE"].price) == (349.5, 349.5)
    assert found.range.fitting is not None
    assert found.range.fitting.numbers["TOP-120"]["width"] == pytest.approx((1219.0, 1219.0), abs=1)


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "said"),
    [
        (";340;", ";3x9;", 2, 4, "price: '3x9' is not a number."),
        ("control;HAND-PLAIN", "controll;HAND-PLAIN", 8, 1, "'controll' is no kind of part."),
        ("68.5 - 116 cm", "", 2, 6, "height: empty, but a row of the kind frame needs it."),
        ("80 kg", "80 cm", 2, 7, "load: '80 cm': 'cm' is no unit known here."),
        ("FRAME-THREE", "FRAME-TWO", 3, 2, "The code 'FRAME-TWO' is already taken"),
        ("remembers heights", "seat slide", 9, 11, "features: 'seat slide' is no feature known"),
        (";2.5 cm;17 kg", ";;17 kg", 5, 9, "thickness: empty, but a row of the kind top needs it."),
        ("17 kg;", "17 kg;x", 5, 11, "features: 'x' is no feature known here."),
        ("top;TOP-120;Top of 120 cm;95;5;", "top;TOP-120;Top of 120 cm;95;5;3", 5, 6, "has none."),
    ],
)
def test_a_mistake_is_told_at_its_cell(
    file: Path, old: str, new: str, line: int, column: int, said: str
) -> None:
    """By row and column of the table, and nothing is written."""
    table = product_list(desks(file))
    assert old in table
    found = into_product(file.with_name("p.csv"), table.replace(old, new, 1).encode(), file)
    first = found.problems[0]
    assert (first.where.line, first.where.column) == (line, column)
    assert said in first.message
    assert found.range is None
