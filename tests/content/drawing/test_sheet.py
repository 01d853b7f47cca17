"""Places on the sheet: nothing overlaps, lines keep clear, texts fit."""

from __future__ import annotations

import time
from itertools import combinations, pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from consult.content.drawing.boxes import text_width
from consult.content.drawing.sheet import DrawingSheet, Placed, SheetPoint, laid_sheet
from consult.content.drawing.view import TreeView, view_of
from consult.paths import shipped_trees
from consult.tree.load import load_tree
from tests.call.topical import topical
from tests.content.drawing.made import big, question, tree

pytest.importorskip("fast_sugiyama")


def shipped(name: str, part: str | None = None) -> TreeView:
    found = load_tree(shipped_trees() / f"{name}.yaml")[0]
    assert found is not None
    return view_of(found, part)


def with_topics() -> TreeView:
    with TemporaryDirectory() as folder:
        return view_of(topical(Path(folder)).tree)


VIEWS = {
    "seating": lambda: shipped("seating"),
    "follow_up": lambda: shipped("follow_up"),
    "aches": lambda: shipped("seating", "aches"),
    "desk": lambda: shipped("seating", "desk"),
    "forty": lambda: view_of(big(40)),
    "forty others": lambda: view_of(big(40, seed=9)),
    "one": lambda: view_of(tree([question("only")])),
    "topics": with_topics,
}


@pytest.fixture(params=list(VIEWS), scope="module")
def view(request: pytest.FixtureRequest) -> TreeView:
    return VIEWS[request.param]()


@pytest.fixture(scope="module")
def sheet(view: TreeView) -> DrawingSheet:
    return laid_sheet(view)


def inside(point: SheetPoint, box: Placed, margin: float = 0.02) -> bool:
    x, y = point
    return (
        box.x + margin < x < box.x + box.box.wide - margin
        and box.y + margin < y < box.y + box.box.high - margin
    )


def beside(one: SheetPoint, other: SheetPoint, box: Placed) -> bool:
    """Whether a line comes as far across and as far down as a box, and so might cross it."""
    return (
        min(one[0], other[0]) < box.x + box.box.wide
        and max(one[0], other[0]) > box.x
        and min(one[1], other[1]) < box.y + box.box.high
        and max(one[1], other[1]) > box.y
    )


def along(one: SheetPoint, other: SheetPoint) -> list[SheetPoint]:
    """Points of a line, half a mm apart."""
    far = abs(one[0] - other[0]) + abs(one[1] - other[1])
    steps = int(far * 2) + 1
    return [
        (one[0] + (other[0] - one[0]) * at / steps, one[1] + (other[1] - one[1]) * at / steps)
        for at in range(steps + 1)
    ]


def test_no_box_overlaps_another(sheet: DrawingSheet) -> None:
    """Any two boxes, words of routes included, keep clear of each other."""
    for one, other in combinations(sheet.boxes, 2):
        beside = one.x + one.box.wide < other.x or other.x + other.box.wide < one.x
        below = one.y + one.box.high < other.y or other.y + other.box.high < one.y
        assert beside or below, f"{one.box.name} and {other.box.name}"


def test_no_line_crosses_a_box(sheet: DrawingSheet) -> None:
    """Lines end at boxes and never run through one."""
    for path in sheet.paths:
        for one, other in pairwise(path.points):
            near = [box for box in sheet.boxes if beside(one, other, box)]
            for point in along(one, other) if near else ():
                for box in near:
                    assert not inside(point, box), f"{path.link.name} and {box.box.name}"


def test_lines_end_at_their_boxes(sheet: DrawingSheet) -> None:
    """Each begins at the foot of one box and ends on the head of the other."""
    for path in sheet.paths:
        source, target = sheet.boxes[path.link.source], sheet.boxes[path.link.target]
        (x, y), (to_x, to_y) = path.points[0], path.points[-1]
        assert y == pytest.approx(source.y + source.box.high)
        assert source.x < x < source.x + source.box.wide
        assert to_y == pytest.approx(target.y)
        assert target.x < to_x < target.x + target.box.wide


def test_texts_fit_their_boxes(sheet: DrawingSheet) -> None:
    """No line of text is wider or lower than its box."""
    for placed in sheet.boxes:
        assert placed.box.lines
        for line in placed.box.lines:
            assert text_width(line.text, line.size, bold=line.bold) <= placed.box.wide - 4.0
            assert line.size * 0.7 < line.at < placed.box.high - line.size * 0.25


def test_everything_is_on_the_sheet(sheet: DrawingSheet) -> None:
    """Boxes, lines and bands lie on the paper."""
    points = [point for path in sheet.paths for point in path.points]
    for placed in sheet.boxes:
        points += [(placed.x, placed.y), (placed.x + placed.box.wide, placed.y + placed.box.high)]
    for band in sheet.bands:
        points += [(band.x, band.y), (band.x + band.wide, band.y + band.high)]
    assert all(0 < x < sheet.wide and 0 < y < sheet.high for x, y in points)


def test_every_question_and_route_is_there_once(view: TreeView, sheet: DrawingSheet) -> None:
    """Each question is one box; each route is one line, or two with its words between."""
    names = [one.box.name for one in sheet.boxes if one.box.shape == "question"]
    assert sorted(names) == sorted(view.questions)
    arrows = [one.link.name for one in sheet.paths if one.link.kind == "route" and one.link.arrow]
    routes = [
        f"{name}.{at}" for name, one in view.questions.items() for at in range(len(one.routes))
    ]
    assert sorted(arrows) == sorted(routes)
    words = [one.box.name for one in sheet.boxes if one.box.shape == "label"]
    with_words = [
        f"{name}.{at}"
        for name, one in view.questions.items()
        for at, route in enumerate(one.routes)
        if route.when is not None or len(one.routes) > 1
    ]
    assert sorted(words) == sorted(with_words)


def test_each_route_leads_where_the_tree_says(view: TreeView, sheet: DrawingSheet) -> None:
    """Following the lines of a route from its question ends at the question it goes to."""
    for path in sheet.paths:
        if path.link.kind != "route" or not path.link.arrow:
            continue
        name, _, at = path.link.name.partition(".")
        goes = view.place(view.questions[name].routes[int(at)].go)
        target = path.link.target
        if sheet.boxes[target].box.shape == "topic":
            # Into a topic the way leads through the topic's own box.
            target = next(one.link.target for one in sheet.paths if one.link.source == target)
        assert sheet.boxes[target].box.name == goes
        source = sheet.boxes[path.link.source].box
        assert source.name in (name, path.link.name)


def test_bands_hold_their_own_and_no_others(view: TreeView, sheet: DrawingSheet) -> None:
    """Each question of a sub-tree is on a band of its name, and no question on another's."""
    for placed in sheet.boxes:
        if placed.box.shape != "question":
            continue
        behind = {
            band.title
            for band in sheet.bands
            if band.x < placed.x + placed.box.wide
            and placed.x < band.x + band.wide
            and band.y < placed.y + placed.box.high
            and placed.y < band.y + band.high
        }
        group = view.group(placed.box.name)
        assert behind == ({group} if group else set())


def test_three_hundred_questions_in_ten_seconds() -> None:
    """A tree far larger than any call is drawn while one waits, and is still sound."""
    began = time.process_time()
    found = laid_sheet(view_of(big(300)))
    assert time.process_time() - began < 10
    assert sum(one.box.shape == "question" for one in found.boxes) == 300
    rows = sorted(found.boxes, key=lambda one: one.x)
    for at, one in enumerate(rows):
        for other in rows[at + 1 :]:
            if other.x > one.x + one.box.wide:
                break
            assert one.y + one.box.high < other.y or other.y + other.box.high < one.y


def test_small_trees_are_one_column_on_one_sheet() -> None:
    """What fits a sheet of A3 unfolded is not folded: lines run straight down."""
    found = laid_sheet(shipped("seating", "aches"))
    assert max(found.wide, found.high) < 400
    assert min(found.wide, found.high) < 277


def test_large_trees_are_about_as_wide_as_a_sheet() -> None:
    """Forty questions come out at about half their size on A3, where they can be read; the longest
    tree still has the shape of a sheet."""
    found = laid_sheet(view_of(big(40)))
    long, short = max(found.wide, found.high), min(found.wide, found.high)
    assert min(400 / long, 277 / short) > 0.45
    found = laid_sheet(shipped("seating"))
    assert 1 < found.wide / found.high < 2


def test_circles_are_drawn_too() -> None:
    """A tree that goes round in a circle, which no check lets pass, still has a drawing."""
    round_ = tree([question("a", next="b"), question("b", routes=[("b", "a"), (None, "end")])])
    found = laid_sheet(view_of(round_))
    back = next(one for one in found.paths if one.link.name == "b.0" and one.link.arrow)
    assert found.boxes[back.link.target].box.name == "a"


def test_the_library_is_needed_only_for_places() -> None:
    """No module of the drawing imports the layout library when it is itself imported."""
    folder = Path(__file__).parents[3] / "consult" / "content" / "drawing"
    for file in folder.glob("*.py"):
        assert not any(
            line.startswith("import fast_sugiyama") for line in file.read_text().splitlines()
        )
