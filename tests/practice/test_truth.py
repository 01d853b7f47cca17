"""What is true of a caller whose file says little."""

from __future__ import annotations

import statistics
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.understand import understand
from consult.practice.truth import drawn_body, usual_value
from consult.tree.shares import Amount
from tests.call.calls import TODAY, basis_of
from tests.practice.callers import SHIPPED, begun, listen, little, survey


def test_a_body_lies_within_its_bands() -> None:
    """Every dimension with a band is drawn within it, whatever the seed."""
    bands = {
        "popliteal_height": Amount("length", 340.0, 355.0),
        "stature": Amount("length", 1500.0, 1540.0),
    }
    for seed in range(200):
        body = drawn_body(survey(), "female", bands, ("test", seed))
        assert list(body) == list(survey().order)
        for name, band in bands.items():
            assert band.low <= body[name] <= band.high


def test_one_value_is_taken_as_it_stands() -> None:
    """A band of one value gives that value."""
    body = drawn_body(survey(), "male", {"weight": Amount("length", 93.4, 93.4)}, ("test",))
    assert body["weight"] == 93.4


def test_bodies_without_bands_are_those_of_the_survey() -> None:
    """Means and correlations of many bodies are those of the population file."""
    group = survey().groups["female"]
    drawn = [drawn_body(survey(), "female", {}, ("test", seed)) for seed in range(800)]
    values = np.array([list(body.values()) for body in drawn])
    error = np.sqrt(np.diag(group.covariance) / len(drawn))
    assert (np.abs(values.mean(axis=0) - group.mean) < 4 * error).all()
    sd = np.sqrt(np.diag(group.covariance))
    correlation = group.covariance / np.outer(sd, sd)
    assert np.abs(np.corrcoef(values.T) - correlation).max() < 0.15


def test_a_short_body_has_short_legs() -> None:
    """What no band names follows from what one does."""
    short = {"stature": Amount("length", 1480.0, 1500.0)}
    legs = [
        drawn_body(survey(), "female", short, ("test", seed))["popliteal_height"]
        for seed in range(100)
    ]
    group = survey().groups["female"]
    assert statistics.mean(legs) < float(group.mean[survey().index("popliteal_height")]) - 25


@given(st.integers(0, 10_000))
def test_the_same_key_draws_the_same_body(seed: int) -> None:
    """Values are whole tenths, so that no machine differs in them."""
    one = drawn_body(survey(), "male", {}, ("test", seed))
    assert one == drawn_body(survey(), "male", {}, ("test", seed))
    assert all(value == round(value, 1) for value in one.values())


def test_what_is_known_narrows_what_is_usual() -> None:
    """A tall person's lower leg is longer, and surer, than anybody's."""
    anybody = usual_value(survey(), "male", "popliteal_height", {})
    tall = usual_value(survey(), "male", "popliteal_height", {"stature": 1950.0})
    assert tall.mean > anybody.mean + 40
    assert tall.sd < anybody.sd


MAIN_TREES = ("seating", "follow_up", "team_order", "my_chair", "set_up")


@pytest.mark.parametrize("seed", range(12))
def test_nothing_unlisted_is_alarming(tmp_path: Path, seed: int) -> None:
    """Neither a stop nor a referral comes of an answer that the file does not list."""
    basis, persona = little(tmp_path, seed=seed)
    assert persona.truth["signs"] == persona.truth["sites"] == "none"
    assert persona.truth["since"] == "days"
    exercise = begun(basis, persona, seed)
    assert listen(exercise) == []
    assert not exercise.session.now.cautions


def test_every_question_has_an_answer_the_tree_takes(tmp_path: Path) -> None:
    """A file with nothing but a sex has something to say to everything."""
    basis, persona = little(tmp_path)
    assert list(persona.truth) == list(basis.tree.questions)
    for name, question in basis.tree.questions.items():
        understand(question, persona.truth[name], TODAY)


@pytest.mark.parametrize("tree", MAIN_TREES)
def test_every_main_tree_can_be_practised(tmp_path: Path, tree: str) -> None:
    """A caller with an empty truth is led through every tree without alarm or refusal."""
    from consult.practice.load import load_persona

    basis = basis_of(tree)
    file = tmp_path / "anybody.yaml"
    file.write_text(f"practice: anybody\ntitle: Anybody\ntree: {tree}\nsex: male\n", "utf-8")
    persona, problems = load_persona(file, basis.tree, basis.population, 5)
    assert persona is not None, problems
    exercise = begun(basis, persona, 5)
    assert listen(exercise) == []
    assert exercise.session.now.stopped is None
    assert not [one for one in exercise.session.now.cautions if one.caution.level == "refer"]


def test_the_true_body_stands_in_the_truth(tmp_path: Path) -> None:
    """A measure of the body is true as drawn, to the tenth."""
    _, persona = little(tmp_path, "body: {stature: 158.3 cm}\n")
    assert persona.truth["stature"] == "158.3 cm"
    assert persona.body["stature"] == 1583.0


def test_what_is_listed_is_true(tmp_path: Path) -> None:
    """What the file states stays as it is, several choices and a no among it."""
    _, persona = little(
        tmp_path, "truth: {consent: no, sites: [back, neck], hours: 7.5, when: '?'}\n"
    )
    assert persona.truth["consent"] == "no"
    assert persona.truth["sites"] == "back, neck"
    assert persona.measured["hours"] == 7.5
    assert persona.truth["when"] == "?"


def test_seeds_differ_and_names_too(tmp_path: Path) -> None:
    """Another seed is another body and other answers; the same seed is the same."""
    _, one = little(tmp_path, seed=1)
    _, other = little(tmp_path, seed=2)
    _, again = little(tmp_path, seed=1)
    assert one.body != other.body
    assert (one.body, one.truth, one.measured) == (again.body, again.truth, again.measured)


def test_careful_readings_are_near_the_body(tmp_path: Path) -> None:
    """A caller's own figure is off by no more than the population says, and seldom by nothing."""
    off = []
    for seed in range(25):
        basis, persona = little(tmp_path, seed=seed)
        for name in ("stature", "leg", "weight"):
            dimension = basis.tree.questions[name].measures or ""
            sd = basis.population.measurement_sd(dimension)
            off.append((persona.measured[name] - persona.body[dimension]) / sd)
    assert max(map(abs, off)) <= 1.0
    assert sum(abs(each) > 0.05 for each in off) > 60


def test_a_remembered_stature_is_overstated(tmp_path: Path) -> None:
    """Where the truth is that it is remembered, the figure has what people overstate in it."""
    from consult.practice.load import load_persona
    from tests.practice.callers import survey

    basis = basis_of("seating")
    said = "practice: anybody\ntitle: Anybody\ntree: seating\nsex: male\n"
    said += "truth: {stature_origin: remembered}\n"
    file = tmp_path / "anybody.yaml"
    file.write_text(said, "utf-8")
    persona, _ = load_persona(file, basis.tree, survey(), 3)
    assert persona is not None
    assert persona.measured["stature"] - persona.body["stature"] >= 25 - 12


def test_shipped_callers_exist() -> None:
    """There is somebody to practise with."""
    assert {"short_and_mixed", "falling_to_bits", "for_her_mother"} <= set(SHIPPED)
