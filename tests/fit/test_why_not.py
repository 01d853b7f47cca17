"""Why not this chair: the requirement it fails, by how much, in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.body.estimate import Estimate, estimate
from consult.body.population import load_population
from consult.fit.choose import choose
from consult.fit.range_load import load_range
from consult.fit.range_model import Range
from consult.fit.request import FitRequest
from consult.fit.why_not import Rejection, near_misses, why_not
from consult.fit.workplace import Desk, Workplace
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of

DEMO = Path(__file__).parents[2] / "trees" / "range.yaml"
HIGH_DESK = Workplace(Desk("fixed", 760.0, 25.0))


@pytest.fixture(scope="module")
def demo() -> Range:
    loaded, _ = load_range(DEMO)
    assert loaded is not None
    return loaded


def against(range_: Range, code: str, place: Workplace, who: Estimate) -> Rejection | None:
    like = choose(FitRequest(range_, who, place)).best
    return why_not(FitRequest(range_, who, place), [code], like=like)


# The made-up body: popliteal 400, buttock-popliteal 480, elbow 235, hips 380; heel 25. So the
# seat is 368 to 423 high, 400 to 440 deep, 400 wide or more; arms 215 to 255.
@pytest.mark.parametrize(
    ("kind", "fields", "requirement", "mm", "words"),
    [
        ("seat", {"depth": (460.0, 500.0)}, "seat_depth", 20, "too deep at its shortest."),
        ("seat", {"depth": (300.0, 370.0)}, "seat_depth", 30, "too shallow at its longest."),
        ("seat", {"width": 390.0}, "seat_width", 10, "too narrow."),
        ("gas_lift", {"seat_height": (450.0, 550.0)}, "seat_height", 27, "too high at its lowest."),
        ("gas_lift", {"seat_height": (300.0, 340.0)}, "seat_height", 28, "too low at its highest."),
        ("arms", {"height": (265.0, 300.0)}, "armrest_height", 10, "too high at their lowest."),
        ("arms", {"height": None}, "armrest_height", 30, "The chair has no armrests"),
        ("arms", {"between": (300.0, 360.0)}, "between_arms", 40, "too narrow at its widest."),
    ],
)
def test_what_fails_is_named_with_its_length(
    kind: str, fields: dict[str, object], requirement: str, mm: float, words: str
) -> None:
    """One part made wrong in one way, a body known to the millimetre."""
    odd = part(kind, "ODD", price=99.0, **fields)  # type: ignore[arg-type]
    range_ = range_of(part(kind, "GOOD"), odd)  # type: ignore[arg-type]
    found = against(range_, "ODD", Workplace(), body(sd=0.01))
    assert found is not None
    assert (found.requirement, found.mm) == (requirement, mm)
    assert words in found.say.text("metric")
    assert found.share == 1.0
    assert against(range_, "GOOD", Workplace(), body(sd=0.01)) is None


def test_a_lift_too_short_for_the_desk_is_told() -> None:
    """The desk calls for 525 mm; a lift that ends at 500 mm is 25 mm too low."""
    range_ = range_of(
        part("gas_lift", "GOOD"),
        part("gas_lift", "SHORT", price=99.0, seat_height=(300.0, 500.0)),
        part("footrest", "REST"),
    )
    found = against(range_, "SHORT", HIGH_DESK, body(sd=0.01))
    assert found is not None
    assert found.mm == 25
    assert "too low" in found.say.text("metric")


def test_no_footrest_for_a_high_desk_is_told() -> None:
    """The desk lifts the seat 102 mm above what the legs reach, and no footrest is sold."""
    who = body(sd=0.01)
    choice = choose(FitRequest(range_of(), who, HIGH_DESK))
    assert choice.best is not None
    found = why_not(FitRequest(range_of(), who, HIGH_DESK), choice.best)
    assert found is not None
    assert found.requirement == "footrest_height"
    assert found.mm == 102
    assert "no footrest" in found.say.text("metric")


def test_the_amount_is_that_of_the_median_body_that_fails() -> None:
    """A seat that ends at the mean limit fails half the bodies, by 0.67 standard deviations."""
    range_ = range_of(part("seat", "GOOD"), part("seat", "EDGE", price=99.0, depth=(440.0, 500.0)))
    found = against(range_, "EDGE", Workplace(), body(sd=20.0))
    assert found is not None
    assert found.share == pytest.approx(0.5, abs=0.05)
    assert found.mm == pytest.approx(0.674 * 20, abs=1.5)


def test_what_no_body_changes_comes_first(demo: Range) -> None:
    """Ratings before anything else, then parts not sold, not going together, lacking a must."""
    who, place = body(), Workplace()
    like = choose(FitRequest(demo, who, place)).best

    def said(code: str, needs: str = "", heard: float | None = None) -> str:
        musts = [(needs, "must", "")] if needs else []
        found = why_not(FitRequest(demo, who, place, musts, mass=heard), [code], like=like)  # type: ignore[arg-type]
        assert found is not None
        assert found.mm == 0
        return found.requirement

    assert said("SEAT-M", heard=140.0) == "rating"
    assert said("SEAT-M-FIXED") == "discontinued"
    assert said("ARMS-SWING") == "together"
    assert said("ARMS-NONE", "arms_height") == "feature"


def test_codes_that_make_no_chair_are_refused_in_words(demo: Range) -> None:
    """Unknown codes, two of one kind, and kinds left open."""
    who = body()
    like = choose(FitRequest(demo, who, Workplace())).best
    for asked, taken, words in (
        (["SEAT-X"], like, "no part with the code 'SEAT-X'. Did you mean"),
        (["SEAT-S", "SEAT-M"], like, "parts of one kind"),
        (["SEAT-S"], None, "the gas lift was not named"),
    ):
        with pytest.raises(ValueError, match=words):
            why_not(FitRequest(demo, who, Workplace()), asked, like=taken)


def test_near_misses_tell_what_puts_them_behind(demo: Range) -> None:
    """Each alternative fails bodies the best fits, or fits as likely and has nothing against it."""
    people = load_population()
    who = estimate(people, [people.measure("stature", 1570), people.measure("weight", 60)], None)
    choice = choose(FitRequest(demo, who, HIGH_DESK))
    found = near_misses(FitRequest(demo, who, HIGH_DESK), choice)
    assert set(found) == {"cheapest", "seat", "gas_lift", "arms"}
    assert choice.best is not None
    for name, (one, rejection) in found.items():
        if name != "cheapest":
            assert one.parts[name] != choice.best.parts[name]  # type: ignore[index]
        if rejection is None:
            assert one.p_fits >= choice.best.p_fits - choice.best.se
        else:
            assert one.p_fits < choice.best.p_fits
            assert rejection.mm > 0
            assert "<" not in rejection.say.text("metric")
    assert found["arms"][1] is None
    assert found["cheapest"][1] is not None


def test_no_chair_has_no_near_misses(demo: Range) -> None:
    """A caller too heavy for the range gets no chair and no alternatives."""
    who = body(weight=300.0)
    choice = choose(FitRequest(demo, who, Workplace()))
    assert near_misses(FitRequest(demo, who, Workplace()), choice) == {}
