"""A list of warning signs warns for each of its choices, whatever else is said or left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.problems import Problem
from consult.tree.check import check_tree
from consult.tree.condition import parse_condition
from consult.tree.constant import OPEN, TRUE, outcomes
from consult.tree.nodes import Value
from tests.long import every_case

QUESTIONS = frozenset({"signs", "other", "height"})


def problems(folder: Path, *cautions: str, listed: str = "") -> list[Problem]:
    """What the check says of three signs and these cautions, each "level: condition"."""
    listed = listed or (
        "answer: choices\n    choices: {none: None, a: A, b: B, c: C}\n    exclusive: none\n"
        "    cautioned: every_choice"
    )
    lines = [
        "tree: little\ntitle: Little\nversion: 1\nfirst: signs\nquestions:",
        f"  signs:\n    ask: Any of these?\n    {listed}\n    next: other",
        "  other: {ask: Well?, answer: yes-no, next: height}",
        "  height: {ask: How tall?, coach: Stand., answer: length, unit: cm, next: end}",
        "cautions:",
    ]
    for number, each in enumerate(cautions):
        level, _, when = each.partition(": ")
        lines += [f"  - name: c{number}", f"    level: {level}", f"    when: {when}"]
        lines += ["    say: Please ask somebody.", "    source: common_practice"]
    file = folder / "little.yaml"
    file.write_text("\n".join(lines), "utf-8")
    return [each for each in check_tree(file) if each.rule in ("no-caution", "cautioned")]


def forgotten(folder: Path, *cautions: str, listed: str = "") -> list[str]:
    """The choices that are told to raise no caution."""
    return [each.message.split("'")[1] for each in problems(folder, *cautions, listed=listed)]


@pytest.mark.parametrize(
    ("cautions", "missing"),
    [
        (["stop: signs != none"], ""),
        (["stop: a in signs or b in signs or c in signs"], ""),
        (["stop: a in signs", "refer: b in signs or c in signs"], ""),
        (["stop: a in signs", "note: b in signs or c in signs"], "bc"),
        (["note: signs != none"], "abc"),
        (["stop: other"], "abc"),
        (["stop: yes"], "abc"),
        (["stop: a in signs"], "bc"),
        (["refer: b in signs"], "ac"),
        # Ticked beside another one it is not exactly this one any more.
        (["stop: signs == a", "stop: signs == b", "stop: signs == c"], "abc"),
        (["stop: signs == a", "stop: b in signs or c in signs"], ""),
        (["stop: a in signs and b not in signs", "stop: b in signs or c in signs"], ""),
        (["stop: a in signs and b not in signs", "stop: c in signs"], "ab"),
        (["stop: a in signs and not (b in signs and c in signs)", "stop: b in signs"], "c"),
        (
            [
                "stop: signs != none and not (a in signs and b in signs and c in signs)",
                "stop: known(height) and height > 100",
            ],
            "abc",
        ),
        # Two that together leave nobody out do not count: each has to be sure.
        (["stop: signs != none and other", "stop: signs != none and not other"], "abc"),
        (["stop: signs != none and (other or not known(other))"], "abc"),
        (["stop: signs != none or other"], ""),
        (["stop: signs != none and not known(other)"], "abc"),
        (["stop: signs != none and known(signs)"], ""),
        (["stop: signs != none and height > 100"], "abc"),
        (["stop: signs != none and 1 < 2 < 3"], ""),
        (["stop: signs != none and 1 < height < 3"], "abc"),
        (["stop: a in signs", "stop: b in signs", "refer: c in signs"], ""),
        ([], "abc"),
    ],
)
def test_choices_that_warn_nobody(tmp_path: Path, cautions: list[str], missing: str) -> None:
    """Told once each, in the order of the file."""
    assert forgotten(tmp_path, *cautions) == list(missing)


def test_one_choice_alone(tmp_path: Path) -> None:
    """Where one is chosen, the others do not stand beside it; none is left out by its own name."""
    listed = "answer: choice\n    choices: {a: A, b: B}\n    cautioned: every_choice"
    assert forgotten(tmp_path, "stop: signs == a", listed=listed) == ["b"]
    assert forgotten(tmp_path, "stop: signs == a or signs == b", listed=listed) == []
    (told,) = problems(tmp_path, "stop: signs == a", listed=listed)
    assert told.fix.endswith("when: signs == b.")
    assert told.severity == "error"


def test_what_is_told(tmp_path: Path) -> None:
    """At the choice, with the condition that would do."""
    (told,) = problems(tmp_path, "stop: a in signs or b in signs")
    assert told.message == "'c' of 'signs' raises no caution, although every choice should."
    assert told.fix.endswith("when: c in signs.")
    assert (told.where.line, told.where.column) == (9, 39)


def test_no_exclusive_choice(tmp_path: Path) -> None:
    """Then every choice has to warn."""
    listed = "answer: choices\n    choices: {a: A, b: B}\n    cautioned: every_choice"
    assert forgotten(tmp_path, "stop: a in signs", listed=listed) == ["b"]


def test_only_where_it_is_asked_for(tmp_path: Path) -> None:
    """Other questions raise a caution or none; one without choices cannot promise any."""
    listed = "answer: choices\n    choices: {none: None, a: A}\n    exclusive: none"
    assert problems(tmp_path, listed=listed) == []
    (told,) = problems(tmp_path, listed="answer: yes-no\n    cautioned: every_choice")
    assert told.rule == "cautioned"
    assert "'signs' is answered by yes-no" in told.message
    assert told.fix == "Delete cautioned here."


@every_case(
    [
        ("other", {}, {True, False, None}),
        ("other", {"other": True}, TRUE),
        ("not other", {"other": True}, {False}),
        ("other", {"other": None}, {None}),
        ("known(other)", {}, OPEN),
        ("known(other)", {"other": None}, {False}),
        ("other or a in signs", {"other": True}, TRUE),
        ("other or a in signs", {"other": False}, OPEN),
        ("other and a in signs", {"other": False}, {False}),
        ("other and a in signs", {"other": None}, {False, None}),
        ("other or a in signs", {"other": None}, {True, None}),
        ("yes", {}, TRUE),
        ("1 < 2", {}, TRUE),
        ("100 < height < 200", {"height": 150.0}, TRUE),
        ("100 < height < 200", {"height": 250.0}, {False}),
        ("3 < 2 < height", {}, {False}),
        ("a in signs and other", {"signs": frozenset({"a"})}, OPEN),
    ]
)
def test_what_a_condition_can_come_to(
    text: str, fixed: dict[str, Value | None], found: set[bool | None]
) -> None:
    """Some answers are fixed, the others may be anything; never fewer values than there are."""
    node = parse_condition(text).resolve(QUESTIONS).node
    assert outcomes(node, fixed) == frozenset(found)
