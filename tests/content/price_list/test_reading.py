"""A price list read into a range: a real one whole, every mistake of a bad one at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.content.price_list.columns import NEEDED_COLUMNS, guide
from consult.content.price_list.export import Decimal, price_list, row_of, template
from consult.content.price_list.reading import Head, PriceList, read_price_list
from consult.paths import shipped_trees
from consult.range.chairs import chairs_of
from consult.range.file import load_range
from consult.range.model import Range
from consult.range.parts import FEATURES, Kind, Part

HEAD = Head("boyne_seating", "Boyne Seating", "2026.11.29", "EUR")
LIST = Path(__file__).with_name("boyne.csv")


def read(text: str | bytes) -> PriceList:
    """A list of these characters."""
    content = text if isinstance(text, bytes) else text.encode()
    return read_price_list(Path("prices.csv"), content, HEAD)


def part(found: PriceList, code: str) -> Part:
    assert found.range is not None, found.problems
    return next(p for parts in found.range.parts.values() for p in parts if p.code == code)


def test_a_list_of_42_rows() -> None:
    """Decimal commas, signs, dashes, centimetres, quotes, slashes and synonyms: all is read."""
    found = read(LIST.read_bytes())
    assert found.problems == []
    assert found.rows == 42
    assert found.range is not None
    assert (found.range.maker, found.range.currency) == ("Boyne Seating", "EUR")
    small = part(found, "S/100-S")
    assert (small.price, small.depth, small.width) == (189.5, (360, 420), 460)
    assert part(found, "S/400-M").price == 1012
    assert part(found, "G-50").seat_height == (365, 455)
    assert part(found, "C-G").adds == -12
    assert part(found, "C-1/HD").adds == 10
    assert part(found, "A-1").not_with == {"S/100-L", "S/300-W"}
    assert part(found, "B-10").discontinued
    assert "firmness; flat lever" in part(found, "B-40").find


def test_the_text_is_a_range_file(tmp_path: Path) -> None:
    """What is written loads as what was read."""
    found = read(LIST.read_bytes())
    file = tmp_path / "range.yaml"
    file.write_text(found.text, "utf-8")
    assert load_range(file)[0] == found.range


def test_every_mistake_at_once_by_row_and_column() -> None:
    """Cells, kinds, codes and what does not go together, in the order of the rows."""
    text = LIST.read_text("utf-8").splitlines()
    text[2] = text[2].replace("€ 189,50", "18o")
    text[3] = text[3].replace("390–450", "450-390")
    text[8] = text[8].replace("Gas lift;", "Gaslift;", 1)
    text[9] = text[9].replace("G-60;", "g-60;")
    text[10] = text[10].replace("unloaded", "")
    text[14] = text[14].replace("heavy duty", "heavyduty")
    text[20] = text[20].replace("B-60 + B-60/N", "B-6O")
    found = read("\n".join(text))
    assert found.range is None
    told = [(one.where.line, one.where.column) for one in found.problems]
    assert {(3, 4), (4, 7), (9, 1), (11, 12), (15, 16)} <= set(told)
    assert told == sorted(told)
    words = " ".join(map(str, found.problems))
    assert "price: '18o' is not a number." in words
    assert "Did you mean 'gas lift'?" in words
    assert "stated: empty, but a row of the kind gas lift needs it." in words
    assert "Did you mean 'heavy duty'?" in words
    assert "capital letters" in words
    assert all(one.fix for one in found.problems)


def test_codes_that_nobody_sells_are_told_in_their_cell() -> None:
    """Once all cells can be read."""
    text = LIST.read_text("utf-8").replace("height;B-60 +", "height;B-6O +")
    told = [one for one in read(text).problems if one.severity == "error"]
    assert [(one.where.line, one.where.column, one.rule) for one in told] == [
        (22, 17, "unknown-code")
    ]
    double = LIST.read_text("utf-8").replace("G-70;", "G-60;")
    told = [one for one in read(double).problems if one.rule == "duplicate-code"]
    assert "in row 10" in told[0].message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "The file is empty."),
        ("kind;code\nseat;A\n", "no column 'name', 'price' and 'lead days'"),
        ("kind;code;name;price;lead days;colour\n", "'colour' is no column here."),
        ("kind;code;name;price;lead days;code\n", "stands there twice"),
        ("\0\0", "no table"),
        ("kind;code;name;price;lead days\nseat;A;B;1;1;;x\n", "more cells than there are columns"),
        ("kind;code;name;price;lead days\nback;A;B;1;1\n", "No row is of the kind seat"),
    ],
)
def test_what_is_no_list_is_told(text: str, words: str) -> None:
    """In a sentence, never a traceback."""
    found = read(text)
    assert found.range is None
    assert words in " ".join(map(str, found.problems))


@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_nothing_raises(content: bytes) -> None:
    """Whatever a file holds."""
    found = read(b"kind;code;name;price;lead days\n" + content)
    assert found.range is None
    assert found.problems


def test_other_spreadsheets() -> None:
    """Commas and tabs between columns, Western European letters, a byte order mark, CR LF."""
    text = LIST.read_text("utf-8")
    rows = [line.split(";") for line in text.replace("firmness; flat", "flat").splitlines()]
    tabbed = "\n".join("\t".join(row) for row in rows)
    assert read(tabbed).range is not None
    latin = text.replace("\u2013", "-").replace("€ ", "").encode("cp1252")
    assert read(latin).range is not None
    assert read(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()).range is not None


def test_units_of_a_heading() -> None:
    """A heading in brackets says what its bare numbers are."""
    text = LIST.read_text("utf-8").replace("Rating (kg)", "Rating (lb)")
    assert part(read(text), "S/100-M").rating == 59.0


@pytest.mark.parametrize("decimal", ["point", "comma"])
def test_export_reads_back_as_the_same_range(decimal: Decimal) -> None:
    """The list of 42 rows, and the shipped range."""
    shipped, _ = load_range(shipped_trees() / "range.yaml")
    assert shipped is not None
    for range_ in (read(LIST.read_bytes()).range, shipped):
        assert range_ is not None
        again = read(price_list(range_, decimal))
        assert again.range is not None, again.problems
        assert again.range.parts == range_.parts


degrees = st.integers(0, 100).map(lambda tenths: tenths / 10)
numbers = st.integers(1, 9000).map(lambda tenths: tenths / 10)
spans = st.tuples(numbers, numbers).map(lambda two: (min(two), max(two)))


@settings(deadline=None)
@given(
    st.data(),
    st.floats(0, 9999).map(lambda price: round(price, 2)),
    st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=20),
)
def test_any_part_comes_back(data: st.DataObject, price: float, name: str) -> None:
    """Row by row, whatever its numbers and its name are."""
    shipped, _ = load_range(shipped_trees() / "range.yaml")
    assert shipped is not None
    kind: Kind = data.draw(st.sampled_from(["seat", "gas_lift", "arms", "castors", "footrest"]))
    old = shipped.parts[kind][-1]
    able = [one for one, kinds in FEATURES.items() if kind in kinds and one != "seat_slide"]
    changes: dict[Kind, dict[str, object]] = {
        "seat": {
            "width": data.draw(numbers),
            "depth": (300.5, 400.0),
            "tilt": (-data.draw(degrees), data.draw(degrees)),
            "quantity_prices": ((5, round(price / 2, 2)),),
        },
        "gas_lift": {"rating": data.draw(numbers), "seat_height": (300.5, 481.2)},
        "arms": {"features": frozenset(data.draw(st.sets(st.sampled_from(able or ["no_arms"]))))},
        "castors": {"adds": data.draw(st.floats(-90, 90).map(lambda mm: round(mm, 1)))},
        "footrest": {"height": (20.5, 100.0)},
    }
    new = Part(**{**_fields(old), **changes[kind], "price": price, "name": name})  # type: ignore[arg-type]
    parts = {**shipped.parts, kind: (*shipped.parts[kind][:-1], new)}
    range_ = Range("r", "m", "1", "EUR", parts)
    again = read(price_list(range_))
    shape = {one.rule for one in again.problems if one.severity == "error"}
    # A drawn size may be none that a part has; the cells are read all the same.
    assert shape <= {"far-off", "length", "unlikely-length"} or again.range is not None
    if again.range is not None:
        assert again.range.parts[kind][-1] == new


def _fields(part_: Part) -> dict[str, object]:
    return {name: getattr(part_, name) for name in Part.__dataclass_fields__}


def test_the_template_is_read_once_its_examples_are_taken() -> None:
    """As it is it holds no part; without the marks every example row is right."""
    empty = read(template("EUR"))
    assert [one.rule for one in empty.problems] == ["no-rows"]
    filled = template("EUR").split("\n", 2)[2].replace("# ", "")
    found = read(filled)
    assert found.range is not None, found.problems
    assert found.rows == 20
    again = read(price_list(found.range))
    assert again.range is not None, again.problems
    assert again.range.parts == found.range.parts
    chairs = chairs_of(found.range)
    basic = found.range.on_sale("model")[0]
    assert 345 in {round(pence / 100) for pence in chairs.pence}
    assert (
        found.range.price_of(
            {
                part.kind: part
                for of in found.range.parts.values()
                for part in of
                if part.code in basic.made_of
            }
        )
        == 345
    )


def test_the_guide_names_every_column() -> None:
    """And what each holds."""
    text = guide()
    for name in (*NEEDED_COLUMNS, *row_of(part(read(LIST.read_bytes()), "G-60"))):
        assert name.replace("_", " ") in text
