"""Reading a range file: the demo range, every kind of mistake and where it is, last days."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from consult.call.basis import Basis
from consult.call.state import request_of, state
from consult.paths import trees_folder
from consult.range.chairs import which_go_together
from consult.range.file import RANGE_SCHEMA, load_range
from consult.range.model import Range
from consult.range.parts import (
    CHAIR_KINDS,
    FEATURES,
    Kind,
    Part,
    arms_above_loaded_seat,
    loaded_seat_height,
)
from tests.long import examples
from tests.ui.desk import demo as demo_call
from tests.ui.desk import demo_basis

DEMO = Path(__file__).parents[2] / "trees" / "range.yaml"
BROKEN = sorted((Path(__file__).parent / "broken").glob("*.yaml"))
_EXPECT = re.compile(r"# expect: (\d+):(\d+) (error|warning) ([a-z-]+)\n")


@pytest.fixture(scope="module")
def demo() -> Range:
    loaded, problems = load_range(DEMO)
    assert problems == []
    assert loaded is not None
    return loaded


def _part(loaded: Range, code: str) -> Part:
    return next(part for kind in loaded.parts.values() for part in kind if part.code == code)


def _messages(name: str) -> list[str]:
    path = Path(__file__).parent / "broken" / f"{name}.yaml"
    return [f"{problem.message} {problem.fix}" for problem in load_range(path)[1]]


def test_the_same_text_is_one_range(tmp_path: Path) -> None:
    """So that what was worked out of it serves the next tree beside it, but not another's."""
    text = DEMO.read_text(encoding="utf-8")
    texts = {tmp_path / "one": text, tmp_path / "two": text, tmp_path / "three": text + "# More.\n"}
    one, same, other = (load_range(path, texts)[0] for path in texts)
    assert one is not None
    assert one is same
    assert one is not other


def test_the_demo_range_has_every_size_it_should(demo: Range) -> None:
    """Three seats, four lifts, three backs, two lumbars, four arms and none, and the extras."""
    counts = [len(demo.on_sale(kind)) for kind in CHAIR_KINDS]
    assert counts == [3, 4, 3, 2, 5, 4, 1]
    assert len(demo.on_sale("footrest")) == 2
    assert len(demo.on_sale("desk_raiser")) == 1
    assert sum(part.height is None for part in demo.on_sale("arms")) == 1
    assert (demo.name, demo.maker) == ("tarnbeck", "Tarnbeck Seating")
    assert (demo.version, demo.currency) == ("2026.11", "GBP")


def test_the_demo_range_builds_as_many_chairs_as_counted_by_hand(demo: Range) -> None:
    """216 with the small seat, 448 with the medium and 352 with the large one."""
    # Small: 3 lifts; middle back takes 4 arms, tilting back 5. Medium: 4 lifts; 4, 5 and 5 arms.
    # Large: 4 lifts, no fixed arms; 3, 4 and 4 arms. Each with 2 lumbars and 4 sets of castors.
    by_seat = which_go_together(demo).sum(axis=(1, 2, 3, 4, 5, 6)).tolist()
    assert by_seat == [3 * 9 * 8, 4 * 14 * 8, 4 * 11 * 8]


def test_every_feature_is_sold_somewhere_in_the_demo_range(demo: Range) -> None:
    """Whatever a tree may need, some part on sale has it."""
    sold = {
        feature for kind in CHAIR_KINDS for part in demo.on_sale(kind) for feature in part.features
    }
    assert sold == set(FEATURES)


def test_discontinued_parts_are_kept_but_not_on_sale(demo: Range) -> None:
    """An older chair can still be looked up; it is not offered."""
    old = _part(demo, "SEAT-M-FIXED")
    assert old.discontinued
    assert old not in demo.on_sale("seat")
    assert old.depth == (420.0, 420.0)


def test_an_unloaded_lift_loses_the_foam_and_gains_the_castors(demo: Range) -> None:
    """420 to 540 unloaded, foam sinking 25, castors adding 10: 405 to 525 with somebody on it."""
    span = loaded_seat_height(
        _part(demo, "SEAT-M"), _part(demo, "LIFT-STD"), _part(demo, "CAST-HARD-HD")
    )
    assert span == (405.0, 525.0)


def test_a_loaded_lift_is_taken_at_its_word(demo: Range) -> None:
    """415 to 520 loaded stays so whatever the foam."""
    span = loaded_seat_height(
        _part(demo, "SEAT-M"), _part(demo, "LIFT-HD"), _part(demo, "CAST-SOFT")
    )
    assert span == (415.0, 520.0)


def test_arms_stand_higher_above_a_seat_that_has_sunk(demo: Range) -> None:
    """170 to 270 unloaded is 195 to 295 above foam that sank 25; no arms have no height."""
    seat = _part(demo, "SEAT-M")
    assert arms_above_loaded_seat(seat, _part(demo, "ARMS-ADJ")) == (195.0, 295.0)
    assert arms_above_loaded_seat(seat, _part(demo, "ARMS-NONE")) is None


def test_the_reach_covers_the_lowest_and_the_highest_chair(demo: Range) -> None:
    """365 less 25 of foam at the bottom; 630 less 20 with 10 of castors at the top."""
    reach = demo.reach()
    assert reach.seat_height == (340.0, 620.0)
    assert reach.footrest_height == (40.0, 190.0)


def test_fits_with_rules_only_over_the_kinds_it_names(demo: Range) -> None:
    """Swing-away arms name two backs: other backs are out, seats and castors are free."""
    swing = _part(demo, "ARMS-SWING")
    assert demo.compatible(swing, _part(demo, "BACK-HIGH"))
    assert not demo.compatible(_part(demo, "BACK-MID"), swing)
    assert demo.compatible(swing, _part(demo, "SEAT-S"))


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_each_broken_file_is_told_at_its_place(path: Path) -> None:
    """One mistake gives one problem, at the line and column its first line announces."""
    expected = _EXPECT.match(path.read_text(encoding="utf-8"))
    assert expected is not None
    loaded, problems = load_range(path)
    found = [
        (problem.where.line, problem.where.column, problem.severity, problem.rule)
        for problem in problems
    ]
    assert found == [(int(expected[1]), int(expected[2]), expected[3], expected[4])]
    assert (loaded is None) == (expected[3] == "error")
    assert problems[0].where.file == str(path)
    assert problems[0].fix or problems[0].rule == "missing-name"


def test_an_unknown_code_or_feature_names_the_nearest() -> None:
    """The likely meaning is offered."""
    assert "Did you mean 'S-1'?" in _messages("unknown_code")[0]
    assert "Did you mean 'hard_castors'?" in _messages("unknown_feature")[0]


def test_a_backwards_range_is_offered_the_right_way_round() -> None:
    """What to write instead stands in the message."""
    assert "Write 380 to 430." in _messages("backwards_range")[0]


def test_a_missing_file_is_a_problem_and_no_exception(tmp_path: Path) -> None:
    """The name of the file that is not there is said."""
    loaded, problems = load_range(tmp_path / "none.yaml")
    assert loaded is None
    assert [problem.rule for problem in problems] == ["missing-file"]


def test_too_many_chairs_to_compare_is_said(tmp_path: Path) -> None:
    """A range that no call could wait for is refused with its size."""
    text = BROKEN[0].with_name("centimetres.yaml").read_text(encoding="utf-8")
    for section, start in (("castors", "C-1"), ("backs", "B-1"), ("lumbars", "U-1")):
        head, line = re.search(rf"({section}:\n)(.*\n)", text).groups()  # type: ignore[union-attr]
        copies = "".join(line.replace(start, f"{start}{at}") for at in range(70))
        text = text.replace(head + line, head + copies)
    path = tmp_path / "wide.yaml"
    path.write_text(text, encoding="utf-8")
    loaded, problems = load_range(path)
    assert loaded is None
    assert "too-many-chairs" in [problem.rule for problem in problems]


def test_the_schema_is_a_schema_and_explains_itself() -> None:
    """Draft 2020-12, with a description at every name an editor may offer."""
    schema = json.loads(RANGE_SCHEMA.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    for shape in schema["$defs"].values():
        for name, piece in shape.get("properties", {}).items():
            target = piece.get("$ref", "").removeprefix("#/$defs/")
            said = piece.get("description") or schema["$defs"][target].get("description")
            assert said, name


_JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["code", "fits_with", "features", "depth", "price", "height"]), inner
        )
    ),
    max_leaves=8,
)


@settings(max_examples=examples(30), deadline=None)
@given(section=st.sampled_from(["seats", "arms", "castors", "unit", "range"]), junk=_JUNK)
def test_no_content_raises(
    tmp_path_factory: pytest.TempPathFactory, section: str, junk: object
) -> None:
    """Whatever stands in a section, the answer is problems."""
    path = tmp_path_factory.getbasetemp() / "junk.yaml"
    text = DEMO.read_text(encoding="utf-8").replace(f"\n{section}:", f"\nwas_{section}:")
    path.write_text(f"{text}\n{section}: {json.dumps(junk)}\n", encoding="utf-8")
    loaded, problems = load_range(path)
    assert loaded is None
    assert problems


LAST = date(2026, 11, 25)
RANGE = trees_folder() / "range.yaml"


def ending(code: str, day: date = LAST) -> Basis:
    """The demo with a last day for one part."""
    basis = demo_basis()
    assert basis.range is not None
    parts = {
        kind: tuple(replace(part, until=day) if part.code == code else part for part in of)
        for kind, of in basis.range.parts.items()
    }
    return replace(basis, range=replace(basis.range, parts=parts))


def chosen_on(basis: Basis, day: date, kind: Kind = "seat") -> str:
    """The part that the first demo call is advised on a day."""
    now = state(basis, replace(demo_call("01").call, today=day))
    assert now.picked is not None
    return now.picked.parts[kind].code


@pytest.mark.parametrize("kind", ["seat", "footrest"])
def test_a_part_is_offered_up_to_its_last_day(kind: Kind) -> None:
    """On the day of the call, not on that of the machine; the next day another is offered."""
    code = chosen_on(demo_basis(), LAST, kind)
    basis = ending(code)
    assert chosen_on(basis, LAST, kind) == code
    assert chosen_on(basis, LAST + timedelta(days=1), kind) != code
    later = replace(demo_call("01").call, today=LAST + timedelta(days=1))
    assert basis.range is not None
    why = request_of(basis.range, state(basis, later))
    assert code not in {part.code for part in why.range.on_sale(kind)}


def test_a_range_without_a_last_day_is_itself() -> None:
    """Nothing is worked out anew; and a range that changed is worked out once a set of parts."""
    basis = demo_basis()
    assert basis.on(date.max) is basis
    assert basis.range is not None
    code = chosen_on(basis, LAST)
    of_day = ending(code).range
    assert of_day is not None
    assert of_day.on(LAST) is of_day
    assert of_day.on(date.max) is of_day.on(LAST + timedelta(days=1)) is not of_day
    assert [part.code for part in of_day.on(date.max).on_sale("seat")] == [
        part.code for part in of_day.on_sale("seat") if part.code != code
    ]


def rules(*changes: tuple[str, str]) -> dict[str, int]:
    """Problems of the demo range with last days after these lines, and the line of each."""
    text = RANGE.read_text("utf-8")
    for code, day in changes:
        assert f"code: {code}\n" in text
        text = text.replace(f"code: {code}\n", f"code: {code}\n    until: {day}\n")
    return {one.rule: one.where.line for one in load_range(RANGE, {RANGE: text})[1]}


def test_what_cannot_be_a_last_day() -> None:
    """No day of the calendar; the only strong part; the last of its kind."""
    assert rules(("SEAT-S", "2027-03-31")) == {}
    assert list(rules(("SEAT-S", "2027-02-30"))) == ["unknown-day"]
    assert "weaker-later" in rules(("SEAT-L", "2027-03-31"))
    every = [part.code for part in _range().on_sale("gas_lift")]
    assert "no-chair-later" in rules(*((code, "2027-03-31") for code in every))


def _range() -> Range:
    found, problems = load_range(Path(RANGE))
    assert found is not None, problems
    return found
