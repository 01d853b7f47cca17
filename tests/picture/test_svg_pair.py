"""Today and as advised, beside each other; and what is known of today."""

from __future__ import annotations

import pytest

from consult.body.estimate import Estimate
from consult.fit.assess import assess
from consult.fit.workplace import Desk, Present, Workplace
from consult.picture.model import Scene
from consult.picture.scene import scene
from consult.picture.svg import described, pair, pair_description
from consult.picture.svg_shapes import svg_text
from consult.summary.pictures import Now, scene_now
from consult.units import format_length
from tests.fit.bodies import body
from tests.picture.scenes import SHORT
from tests.picture.svg_read import length, parts, read, texts

HIGH = Workplace(Desk("fixed", 760.0, 30.0))


def both(
    present: Present, workplace: Workplace = HIGH, person: Estimate = SHORT
) -> tuple[Now, Scene]:
    fit = assess(person, workplace)
    after = scene(person, workplace, fit, None)
    assert after is not None
    return scene_now(person, workplace, fit, after, present), after


def written(now: Now, after: Scene) -> str:
    paper = pair(now.scene, after, "metric", unknown=now.unknown)
    said = pair_description(now.scene, after, "metric", now.unknown)
    return svg_text(paper.shapes, paper.size, title="Now and then", description=said)


def test_the_chair_of_today_has_its_own_numbers() -> None:
    """Seat, depth, armrests and desk as told; the person sits on that seat."""
    now, _ = both(Present(520.0, 470.0, 180.0))
    lengths = {one.name: one.mm for one in now.scene.dimensions}
    assert lengths["seat height"] == 520
    assert lengths["seat depth"] == 470
    assert lengths["armrest above seat"] == 180
    assert lengths["desk top"] == 760
    assert lengths["knee gap"] == pytest.approx(430 - 470)
    assert lengths["eye height"] == pytest.approx(520 + 680)
    assert now.unknown == frozenset()
    assert (now.scene.footrest, now.scene.screen) == (None, None)


def test_what_does_not_suit_today_is_said() -> None:
    """By how much, by the fit's own bands: feet that hang, a deep seat, low armrests."""
    now, _ = both(Present(520.0, 470.0, 100.0))
    fit = assess(SHORT, HIGH)
    depth, arms = fit.requirements["seat_depth"], fit.requirements["armrest_height"]
    assert [one.text.text("metric") for one in now.scene.problems] == [
        f"The armrests are {format_length(arms.low - 100, 'metric')} too low.",
        f"The seat is {format_length(470 - depth.high, 'metric')} too deep.",
        f"The feet hang {format_length(now.scene.joints.heel[1], 'metric')} above the floor.",
    ]
    other, _ = both(Present(300.0, 250.0, 320.0))
    assert [one.text.template for one in other.scene.problems] == [
        "The armrests are <amount> too high.",
        "The seat is <amount> too short.",
    ]


def test_nothing_is_said_of_what_is_not_known() -> None:
    """Unknown numbers are named as such, borrowed for the picture, and never judged."""
    now, after = both(Present(), Workplace(), body())
    assert now.unknown == {"seat height", "seat depth", "armrest above seat", "desk top"}
    assert now.scene.chair.seat == after.chair.seat
    assert now.scene.chair.arm is None
    assert not now.scene.table.stands
    assert now.scene.problems == ()
    said = texts(written(now, after), "table: ")
    assert said.count("not known") == 4
    legend = " ".join(texts(written(now, after), "legend"))
    assert "Dashed on the left: not known." in legend
    assert "Dashed on the right: the desk that would suit." in legend


def test_unknown_parts_are_dashed() -> None:
    """The seat of unknown depth has dashed lines in one picture only."""

    def dashed(now: Now, after: Scene) -> int:
        chairs = parts(written(now, after), "polygon", "chair")
        return sum(one.get("stroke-dasharray") is not None for one in chairs)

    assert dashed(*both(Present(500.0, None, 200.0))) > 0
    assert dashed(*both(Present(500.0, 400.0, 200.0))) == 0


def test_one_scale_and_one_floor() -> None:
    """Both seat heights are drawn at one scale, from one floor line."""
    now, after = both(Present(520.0, 470.0, 180.0))
    drawing = written(now, after)
    scale = pair(now.scene, after, "metric").scale
    lines = parts(drawing, "polyline", "dimension: seat height")
    assert [length(one) / scale for one in lines] == pytest.approx([520, after.chair.seat], abs=0.5)
    assert len(parts(drawing, "polyline", "floor")) == 1
    feet = {(one.get("points") or "").split()[0].split(",")[1] for one in lines}
    assert len(feet) == 1


def test_the_table_has_the_numbers_of_both() -> None:
    """Letter, name, now, as advised; a footrest there is none of today."""
    now, after = both(Present(520.0, 470.0, 180.0))
    drawing = written(now, after)
    advised = format_length(after.chair.seat, "metric")
    assert texts(drawing, "table: Seat height") == ["A", "Seat height", "52 cm", advised]
    assert after.footrest is not None
    rest = format_length(after.footrest.top, "metric")
    assert texts(drawing, "table: Footrest") == ["E", "Footrest height", "none", rest]
    assert texts(drawing, "caption") == ["Now", "Set up as advised"]


def test_signs_are_numbered_through_both() -> None:
    """No number twice, and each says of which picture it is."""
    now, after = both(Present(520.0, 470.0, 180.0))
    drawing = written(now, after)
    count = len(now.scene.problems) + len(after.problems)
    assert sorted(set(texts(drawing, "sign"))) == [str(n) for n in range(1, count + 1)]
    said = texts(drawing, "legend")
    assert sum(one.startswith("Now: ") for one in said) == len(now.scene.problems)
    assert sum(one.startswith("Set up as advised: ") for one in said) == len(after.problems)


def test_it_is_read_aloud() -> None:
    """The description has the numbers of today, what is not known, and all of the advice."""
    now, after = both(Present(520.0, None, 180.0))
    root = read(written(now, after))
    said = "".join(root[1].itertext())
    assert "seat height 52 cm" in said
    assert "seat depth not known" in said
    assert "The feet hang" in said
    assert said.endswith(described(after, "metric"))
