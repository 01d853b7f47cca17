"""Example files: every good one is sound, every broken one is told as its first lines say.

A broken file begins with ``# expect: LINE:COLUMN rule`` for each problem, in order; a problem in a
file beside it has that file's name before the line.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from consult.tree.check import check_tree
from consult.tree.contacts import load_contacts
from consult.tree.load import load_tree
from consult.tree.model import SETS, plain_name
from consult.tree.nodes import Value
from consult.tree.quantities import BODY_DIMENSIONS
from tests.long import every_case

HERE = Path(__file__).parent
BROKEN = sorted(
    path for path in (HERE / "broken").rglob("*.yaml") if path.read_text().startswith("# expect:")
)
WHOLE = HERE / "good" / "whole.yaml"


@every_case(BROKEN)
def test_broken(path: Path) -> None:
    """The check tells exactly the expected problems, each in its place, in plain words."""
    expected = re.findall(r"^# expect: (.+)$", path.read_text(), re.MULTILINE)
    problems = check_tree(path)
    told = []
    for problem in problems:
        where = problem.where
        file = "" if where.file == str(path) else f"{Path(where.file).name}:"
        told.append(f"{file}{where.line}:{where.column} {problem.rule}")
        assert problem.message.endswith((".", "?"))
        assert not re.search(r"\b(dict|str|NoneType|\$ref|anyOf|None)\b", str(problem))
    assert told == expected


def test_enough_broken_files() -> None:
    """The folder was found."""
    assert len(BROKEN) >= 60


@pytest.mark.parametrize("name", ["whole", "desk"])
def test_good(name: str) -> None:
    """A good file has not even a warning."""
    assert check_tree(HERE / "good" / f"{name}.yaml") == []


@pytest.mark.parametrize(
    ("file", "words"),
    [
        ("unknown_key", "Did you mean 'ask'?"),
        ("list_for_text", "This is a list in 'ask', not text"),
        ("colon", "This text contains ': '"),
        ("loop", "one -> two -> one"),
        ("cond_wrong_choice", "'pain_sites' has no choice 'lowr_back'. Did you mean 'lower_back'?"),
        ("cond_in_choice", "Write kind == fixed."),
        ("called_twice", "'LEG' is already a short name of 'lower_leg' at "),
        ("called_form", "Short names are letters, digits, spaces and hyphens"),
        ("cond_units", "'two' (in cm) and 'three' (in mm) have different units."),
    ],
)
def test_words(file: str, words: str) -> None:
    """What is said names the thing and what would be right."""
    said = " ".join(str(problem) for problem in check_tree(HERE / "broken" / f"{file}.yaml"))
    assert words in said


def test_flattened() -> None:
    """Include steps vanish; their ends and routes lead straight on."""
    tree = load_tree(WHOLE)[0]
    assert tree is not None
    assert "the_desk" not in tree.questions
    assert [route.go for route in tree.questions["pain_sites"].routes] == [
        "warning_signs",
        "desk_kind",
    ]
    assert [route.go for route in tree.questions["desk_height"].routes] == ["lower_leg"]
    assert tree.questions["desk_kind"].routes[0].go == "lower_leg"
    assert tree.after_stop == "follow_up"
    assert [Path(file).name for file in tree.files] == ["whole.yaml", "desk.yaml"]


def test_values() -> None:
    """Versions and labels stay as written, usual values are in mm, kg or plain."""
    tree = load_tree(WHOLE)[0]
    assert tree is not None
    assert tree.version == "2026.10"
    assert tree.questions["pain_sites"].choices["off"] == "12"
    assert tree.questions["lower_leg"].expect == (320.0, 520.0)
    # 14 lb a stone, 0.45359237 kg a pound: Weights and Measures Act 1985.
    assert tree.questions["weight"].expect == pytest.approx((7 * 6.35029318, 25.5 * 6.35029318))
    assert tree.questions["hours"].expect == (1.0, 14.0)
    assert tree.questions["lower_leg"].where.line == 39


def test_names() -> None:
    """A question is known by its own name first, then by its short ones, in small letters."""
    tree = load_tree(WHOLE)[0]
    assert tree is not None
    leg, weight, hours = (tree.questions[name] for name in ("lower_leg", "weight", "hours"))
    assert leg.called == ("Leg", "lower leg", "popliteal height", "knee-crease")
    assert leg.names == ("lower leg", "leg", "popliteal height", "knee crease")
    assert weight.names == ("weight", "weighs")
    assert hours.names == ("hours",)


@pytest.mark.parametrize("text", ["desk_height", " Desk   HEIGHT", "desk-height:", "/desk\theight"])
def test_plain_name(text: str) -> None:
    """Case, and whatever stands between words, make no other name."""
    assert plain_name(text) == "desk height"


def test_conditions_of_a_tree() -> None:
    """A loaded condition tells questions from choices by itself."""
    tree = load_tree(WHOLE)[0]
    assert tree is not None
    when = tree.advice[0].when
    known: dict[str, Value] = {"pain_sites": frozenset({"lower_back"}), "desk_height": 70.0}
    other: dict[str, Value] = {"pain_sites": frozenset({"neck"})}
    nothing: dict[str, Value] = {}
    assert when.evaluate(known.get) is True
    assert when.evaluate(nothing.get) is None
    assert when.evaluate(other.get) is False


def test_broken_gives_no_tree() -> None:
    """A tree with an error is not handed out, one with warnings is."""
    assert load_tree(HERE / "broken" / "loop.yaml")[0] is None
    assert load_tree(HERE / "broken" / "no_coach.yaml")[0] is not None


def test_features() -> None:
    """With the range's features given, a need may name no other."""
    assert check_tree(WHOLE, frozenset({"deep_foam"})) == []
    (problem,) = check_tree(WHOLE, frozenset({"deep_foams"}))
    assert problem.fix == "Did you mean 'deep_foams'?"


def test_schema_agrees_with_the_code() -> None:
    """The published schema lists the same facts and dimensions as the code."""
    schema = json.loads(
        (HERE.parents[1] / "consult" / "tree" / "tree.schema.json").read_text(encoding="utf-8")
    )
    question = schema["$defs"]["question"]["properties"]
    assert set(question["sets"]["enum"]) == set(SETS)
    assert set(question["measures"]["enum"]) == set(BODY_DIMENSIONS)


def test_contacts() -> None:
    """A caller's own country comes first, then 'other'; Norway is a country, not a 'no'."""
    contacts, problems = load_contacts(HERE / "good" / "contacts.yaml")
    assert problems == []
    assert contacts is not None
    assert contacts.words("NO", "emergency") == "ring 113"
    assert contacts.words("FR", "clinician") == "ask a doctor"
    assert contacts.words("GB", "nobody") == ""
    assert contacts.keys() == {"emergency", "clinician"}


def test_contacts_with_a_gap(tmp_path: Path) -> None:
    """A country that lacks words is told, since another country's number would be said."""
    path = tmp_path / "contacts.yaml"
    path.write_text(
        "contacts: contacts\ndefault: GB\ncountries:\n"
        "  GB: {name: United Kingdom, emergency: call 999}\n  NO: {name: Norway}\n"
    )
    contacts, problems = load_contacts(path)
    assert contacts is not None
    assert [(p.where.line, p.severity, p.rule) for p in problems] == [(5, "warning", "no-words")]
