"""The calculator on the command line."""

from __future__ import annotations

import json
import math
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

import consult.body
from tests.commands.runs import Run

SEVEN = (
    *("--sex", "female", "--stature", "5ft 2", "--popliteal-height", "37cm"),
    *("--buttock-popliteal-length", "46", "--elbow-rest-height", "22", "--mass", "9st 4"),
    *("--hip-breadth-sitting", "about 40 cm", "--thigh-clearance", "14.5"),
    *("--desk", "fixed", "--desk-height", "73cm", "--desk-thickness", "3"),
)
FIT = (
    "seat_height",
    "seat_depth",
    "armrest_height",
    "keyboard_height",
    "desk_height",
    "footrest_height",
    "screen_top",
    "seat_width",
)


def test_no_flags_at_all(run: Run) -> None:
    """With nothing known the answer is that of the population, and what is missing is named."""
    made = run("fit", "--json")
    assert (made.code, made.err) == (0, "")
    body, fit = made.json["body"], made.json["fit"]
    assert {one["origin"] for one in body.values()} == {"estimated from the population alone"}
    assert fit.keys() == set(FIT) - {"footrest_height"}
    assert made.json["missing"].keys() == {"footrest_height"}
    assert made.json["plausibility"] == []
    assert made.json["population"]["caution"]


def test_the_shape_of_the_json(run: Run) -> None:
    """Body and fit as mm and kg, with bands that hold their targets; a caution always."""
    made = run("fit", *SEVEN, "--json").json
    assert made.keys() >= {
        *("population", "body", "fit", "missing", "cautions", "advice", "plausibility"),
        *("choice", "rejected", "ask_next", "settled", "other_populations"),
    }
    assert made["fit"].keys() == set(FIT)
    for one in made["fit"].values():
        assert one["low"] <= one["target"] <= one["high"]
        assert one["sd"] >= 0
        assert one["reason"]
        assert all(each["title"] and each["says"] and each["have"] for each in one["sources"])
        assert one["sources"]
    for one in made["body"].values():
        assert one.keys() == {"mean", "sd", "low", "high", "origin"}
        assert one["low"] < one["mean"] < one["high"]
    assert "not medical advice" in made["cautions"][0]["say"]
    assert {one["topic"] for one in made["advice"]} == set(FIT)
    assert all(one["say"] and one["because"] and one["sources"] for one in made["advice"])


def test_the_example_of_seven_measures(run: Run) -> None:
    """Worked out by hand: legs and heel, thigh length less three fingers, the elbow itself."""
    made = run("fit", *SEVEN, "--json").json
    fit, body = made["fit"], made["body"]
    assert body["stature"]["origin"] == "measured"
    assert body["eye_height_sitting"]["origin"].startswith("estimated from stature, weight")
    assert body["popliteal_height"]["mean"] == pytest.approx(370, abs=12)
    assert fit["armrest_height"]["target"] == pytest.approx(body["elbow_rest_height"]["mean"])
    assert fit["seat_depth"]["target"] == pytest.approx(
        body["buttock_popliteal_length"]["mean"] - 60, abs=0.01
    )
    assert fit["seat_width"]["target"] == pytest.approx(
        body["hip_breadth_sitting"]["mean"] + 20, abs=0.01
    )
    # A desk of 73 cm is too high for legs of 37: the seat goes up, a footrest makes it good.
    for_legs = (body["popliteal_height"]["mean"] + 25) * math.cos(math.radians(5))
    assert fit["seat_height"]["target"] > for_legs
    assert fit["footrest_height"]["target"] == pytest.approx(
        fit["seat_height"]["target"] - for_legs, abs=0.02
    )
    assert "desk_too_high" in {one["name"] for one in made["cautions"]}


def test_against_a_reckoning_of_its_own(run: Run) -> None:
    """Mean, spread and interval as a conditional normal gives them, worked out anew from the data.

    The survey's own statistics are read from the file; everything else is the textbook formula,
    in covariance form with the library's normal, not the program's way of solving it.
    """
    made = run(
        *("fit", "--json", "--sex", "male", "--stature", "183 cm", "--elbow-rest-height", "25 cm"),
        *("--mass", "82"),
    ).json["body"]
    data = json.loads(
        (Path(consult.body.__file__).parent / "data" / "us_army_2012.json").read_text("utf-8")
    )
    order, man = data["order"], data["groups"]["male"]
    mean, sd = np.array(man["mean"]), np.array(man["sd"])
    correlation = np.array(man["correlation"])
    prior = np.diag(sd) @ ((correlation + correlation.T) / 2) @ np.diag(sd)
    told, spread = data["told_weight"], data["spread"]
    weight = 82.0 * (1 + told["more"])
    heard = {"stature": 1830.0, "elbow_rest_height": 250.0, "weight": weight}
    # What stature and weight leave open grows with weight, and other surveys differ besides.
    known = [order.index("stature"), order.index("weight")]
    slope = prior[:, known] @ np.linalg.inv(prior[np.ix_(known, known)])
    explained = slope @ prior[known]
    times = np.diag(
        [(weight / mean[known[1]]) ** spread["growth"].get(name, 0.0) for name in order]
    )
    apart = np.diag([spread["transfer"].get(name, 0.0) ** 2 for name in order])
    prior = explained + times @ (prior - explained) @ times + apart
    look = np.array([[float(name == heard_of) for name in order] for heard_of in heard])
    own = {name: data["dimensions"][name]["measurement_sd"] for name in heard}
    own["weight"] = math.hypot(own["weight"], told["sd"] * 82.0)
    error = np.diag([own[name] ** 2 for name in heard])
    inverse = np.linalg.inv(look @ prior @ look.T + error)
    gain = prior @ look.T @ inverse
    new_mean = mean + gain @ (np.array(list(heard.values())) - look @ mean)
    new_sd = np.sqrt(np.diag(prior - gain @ look @ prior))
    for at, name in enumerate(order):
        law = NormalDist(new_mean[at], new_sd[at])
        low, high = law.inv_cdf(0.05), law.inv_cdf(0.95)
        one = made[name]
        assert one["mean"] == pytest.approx(new_mean[at], abs=0.06), name
        assert one["sd"] == pytest.approx(new_sd[at], abs=0.06), name
        assert one["low"] == pytest.approx(low, abs=0.15), name
        assert one["high"] == pytest.approx(high, abs=0.15), name


def test_the_choice_of_a_chair(run: Run) -> None:
    """The chair, how often it fits, why not others and what to ask; all of them agree."""
    made = run("fit", *SEVEN, "--json").json
    choice, best = made["choice"], made["choice"]["best"]
    assert {"seat", "gas_lift", "back", "arms", "castors", "footrest"} <= {
        part["kind"] for part in best["parts"]
    }
    assert sum(part["price"] for part in best["parts"]) == pytest.approx(best["price"])
    assert 0 < best["p_fits"] <= min(one["p"] for one in best["per_requirement"].values())
    assert choice["none_because"] is None
    assert choice["tied_count"] < choice["eligible"]
    assert len(choice["tied"]) <= choice["tied_count"]
    names = [one["as"] for one in made["rejected"]]
    assert set(names) <= {"cheapest", "seat", "gas_lift", "arms"}
    assert names
    for one in made["rejected"]:
        assert one["p_fits"] <= best["p_fits"] + 3 * best["se"]
        assert (one["requirement"] is None) == (one["say"] is None)
    # Every measure that a caller can take was given; what is open of the desk gains little.
    assert {one["dimension"] for one in made["ask_next"]} <= {"desk_thickness", "heel"}
    assert made["settled"] is all(one["gain"] < 0.02 for one in made["ask_next"])


def test_what_to_ask_next_is_not_yet_taken(run: Run) -> None:
    """Gains come largest first, only of measures not given, and settled says whether any counts."""
    made = run("fit", "--stature", "170 cm", "--json").json
    gains = [one["gain"] for one in made["ask_next"]]
    assert gains == sorted(gains, reverse=True)
    assert all(gain >= 0 for gain in gains)
    assert "stature" not in {one["dimension"] for one in made["ask_next"]}
    assert made["settled"] == (gains[0] < made["settled_below"])


def test_too_heavy_for_every_chair(run: Run) -> None:
    """No chair rated below the mass said is offered, and the JSON says why there is none."""
    made = run("fit", "--mass", "185 kg", "--json").json
    assert made["choice"]["best"] is None
    assert "rated to carry" in made["choice"]["none_because"]
    assert made["rejected"] == []


def test_another_population(run: Run) -> None:
    """Another population gives another body, and the JSON says which one it was."""
    flags = ("fit", "--json", "--sex", "female", "--stature", "160")
    usual = run(*flags).json
    other = run(*flags, "--population", "british_adults").json
    assert (usual["population"]["id"], other["population"]["id"]) == (
        "us_army_2012",
        "british_adults",
    )
    for name in ("popliteal_height", "hip_breadth_sitting"):
        assert other["body"][name]["mean"] != usual["body"][name]["mean"]


def test_an_unknown_population_is_asked_back(run: Run) -> None:
    """A misspelt population leaves exit code 2, and the nearest name is offered."""
    made = run("fit", "--population", "british_adlts", "--json")
    assert (made.code, made.out) == (2, "")
    assert "Did you mean 'british_adults'?" in made.err


def test_other_populations_tell_what_they_would_change(run: Run) -> None:
    """What another population would move is just the difference of the two fits, mm."""
    flags = ("fit", "--json", "--sex", "female", "--stature", "160")
    usual = run(*flags).json
    (moved,) = usual["other_populations"]
    assert moved["population"] == "british_adults"
    other = run(*flags, "--population", "british_adults").json
    differences = {
        name: other["fit"][name]["target"] - one["target"] for name, one in usual["fit"].items()
    }
    assert moved["by"]
    for name, difference in differences.items():
        if abs(difference) >= 5.1:
            assert moved["by"][name] == pytest.approx(difference, abs=0.11)
        elif abs(difference) <= 4.9:
            assert name not in moved["by"]
    codes = [[part["code"] for part in one["choice"]["best"]["parts"]] for one in (usual, other)]
    assert moved["parts"] == (codes[1] if codes[0] != codes[1] else None)


def test_units_and_flags_do_not_change_the_figures(run: Run) -> None:
    """The same lengths said in inches, and shown in any units, give the same JSON figures."""
    metric = run("fit", "--json", "--stature", "157.48 cm", "--heel", "2.54").json
    imperial = run("fit", "--json", "--stature", "5' 2\"", "--heel", "1 in", "--units", "imperial")
    assert imperial.json["body"] == metric["body"]
    assert imperial.json["fit"] == metric["fit"]
    assert "in" in imperial.json["advice"][0]["say"]


@pytest.mark.parametrize(
    ("flag", "said", "words"),
    [
        ("--stature", "62", "Did they say 62 in"),
        ("--stature", "tall", "no number"),
        ("--stature", "", "Nothing was typed"),
        ("--stature", "5.2 ft", "Is that"),
        ("--stature", "\x1b[31m", "mean here"),
        ("--stature", "9" * 10_000, "too long"),
        ("--mass", "5 feet", "for a length"),
        ("--heel", "2 kg", "for a weight"),
        ("--desk-height", "between", "no number"),
        ("--popliteal-height", "0", "zero"),
    ],
)
def test_unclear_text_is_asked_back(run: Run, flag: str, said: str, words: str) -> None:
    """What cannot be read leaves exit code 2 and a question, named by its flag, on stderr."""
    made = run("fit", flag, said, "--json")
    assert (made.code, made.out) == (2, "")
    assert made.err.startswith(f"consult: {flag}: ")
    assert words in made.err
    assert made.err.count("\n") == 1
    assert "\x1b" not in made.err


def test_an_odd_measure_is_doubted(run: Run) -> None:
    """A lower leg that belongs to another body is named, set aside, and used once confirmed."""
    odd = ("fit", "--json", "--sex", "female", "--stature", "155", "--popliteal-height", "52")
    doubted = run(*odd).json
    assert [one["dimension"] for one in doubted["plausibility"]] == ["popliteal_height"]
    assert doubted["plausibility"][0]["level"] == "set aside"
    assert doubted["body"]["popliteal_height"]["origin"] == "estimated from stature"
    for name in ("popliteal_height", "popliteal-height", "Popliteal-Height"):
        stood = run(*odd, "--confirm", name).json
        assert stood["plausibility"][0]["confirmed"] is True
        assert stood["body"]["popliteal_height"]["origin"] == "measured"
    assert run(*odd, "--confirm", "stature", "--confirm", "mass").code == 0


def test_a_confirmation_of_nothing_is_refused(run: Run) -> None:
    """A misspelt measure to confirm is a mistake, not silence; the nearest name is offered."""
    made = run("fit", "--confirm", "popliteal_heigth")
    assert made.code == 2
    assert "Did you mean 'popliteal_height'?" in made.err


@pytest.mark.parametrize(
    "flags",
    [
        ("--desk", "none"),
        ("--desk", "adjustable"),
        ("--desk", "adjustable", "--desk-lowest", "65", "--desk-highest", "125"),
        ("--desk", "fixed"),
        ("--desk", "fixed", "--desk-height", "55", "--desk-thickness", "2.5"),
        ("--desk", "fixed", "--desk-height", "1.3 m"),
        ("--desk-height", "73"),
        ("--close-to-desk", "--desk", "fixed", "--desk-height", "66", "--desk-thickness", "4"),
        ("--lenses", "varifocal"),
        ("--heel", "0"),
        ("--hand-breadth", "8"),
        ("--eye-height-sitting", "29 in"),
        ("--sex", "unknown", "--units", "both"),
        ("--mass", "25 stone"),
    ],
)
def test_every_flag_is_optional(run: Run, flags: tuple[str, ...]) -> None:
    """Any flags by themselves give an answer: what cannot be worked out is absent and named."""
    made = run("fit", "--json", *flags)
    assert (made.code, made.err) == (0, "")
    for name in FIT:
        assert (name in made.json["fit"]) != (name in made.json["missing"])
    for one in made.json["fit"].values():
        assert one["low"] <= one["target"] <= one["high"]
    text = run("fit", *flags)
    assert text.code == 0
    assert "Seat height" in text.out


def test_the_text_says_what_the_json_says(run: Run) -> None:
    """The text gives the set-up, the body, the doubts, whose body it is and its limits."""
    text = run("fit", *SEVEN, "--units", "imperial").out
    for words in (
        "Set-up",
        "Footrest height",
        "Body",
        "lower leg",
        "US Army",
        "not medical advice",
    ):
        assert words in text
    assert max(map(len, text.splitlines())) <= 80
    assert " in" in text


@pytest.mark.parametrize(
    "flags", [("--sex", "x"), ("--lenses", "thick"), ("--units", "ells"), ("--nonsense",), ("x",)]
)
def test_bad_use(run: Run, flags: tuple[str, ...]) -> None:
    """A flag or choice that does not exist leaves exit code 2 and the usage."""
    made = run("fit", *flags)
    assert made.code == 2
    assert "usage: consult" in made.err


def test_desk_reach_crossed(run: Run) -> None:
    """A lowest setting above the highest is asked back, not worked with."""
    done = run("fit", "--desk", "adjustable", "--desk-lowest", "80", "--desk-highest", "70")
    assert done.code == 2
    assert "Swap the two." in done.err


def test_request(run: Run) -> None:
    """What speaks against the parts a caller asks for is told with the millimetres."""
    body = ("--sex", "female", "--stature", "155")
    told = json.loads(run("fit", "--json", *body, "--request", "seat-l").out)["request"]
    assert told["requirement"] == "seat_depth"
    assert told["mm"] > 0
    done = run("fit", *body, "--request", "SEAT-X")
    assert done.code == 2
    assert "SEAT-X" in done.err
