"""Edits of the shipped trees that take safety away: refused by the check, or without a reason."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from consult.content.changes.folders import safety_lines
from consult.content.library.lost import compared
from consult.paths import shipped_trees
from consult.problems import Problem
from consult.range.file import load_range
from consult.tree.check import check_tree
from consult.tree.folder import main_trees

Edit = tuple[str, str, str]
"""File, a text in it, and what stands there instead."""

EMERGENCY = (
    "I have to stop here. What you describe needs urgent medical attention, and I can't assess"
    " it.\n      Please <contact>."
)
STROKE = "A drooping face, slurred speech, or one side suddenly weak or numb"
NO_STROKE = (
    ("safety.yaml", f"      stroke: {STROKE}\n", ""),
    ("safety.yaml", "      stroke: stroke\n", ""),
    ("safety.yaml", "stroke in warning_signs or ", ""),
)
REFUSED: dict[str, tuple[tuple[Edit, ...], str]] = {
    "a sign deleted from list and condition": (NO_STROKE, "floor-not-asked"),
    "a sign deleted from the condition": (NO_STROKE[2:], "no-caution"),
    "stop words emptied": (
        (("safety.yaml", EMERGENCY, "That is nothing to worry about."),),
        "floor-caution",
    ),
    "contact emergency to clinician": (
        (("safety.yaml", "contact: emergency", "contact: clinician"),),
        "floor-caution",
    ),
    "private dropped": ((("safety.yaml", "    private: health\n", ""),), "floor-key"),
    "health taken for a name": (
        (("safety.yaml", "    private: health\n", "    private: personal\n"),),
        "floor-key",
    ),
    "signs may be left unknown": (
        (("safety.yaml", "    unknown: refused\n", "    unknown: allowed\n"),),
        "floor-key",
    ),
    "the graver of two signs sent where the milder goes": (
        (
            ("safety.yaml", "      or weak_hand in warning_signs or ", "      or "),
            ("safety.yaml", "swollen_leg in", "weak_hand in warning_signs or swollen_leg in"),
        ),
        "floor-caution",
    ),
    "a buyer's urgent line sent to a clinician": (
        (("team_order.yaml", "contact: emergency", "contact: clinician"),),
        "floor-buyer",
    ),
    "stored dropped": ((("safety.yaml", "    stored: with_consent\n", ""),), "floor-key"),
    "cautioned dropped": ((("safety.yaml", "    cautioned: every_choice\n", ""),), "floor-key"),
    "signs may be unknown": ((("safety.yaml", "    unknown: refused\n", ""),), "floor-key"),
    "labels of none and a sign swapped": (
        (
            ("safety.yaml", "none: None of these", f"none: {STROKE}"),
            ("safety.yaml", f"stroke: {STROKE}", "stroke: None of these"),
        ),
        "floor-none",
    ),
    "a sign denied": (
        (("safety.yaml", "Chest pain, or short of breath", "No chest pain, not short of breath"),),
        "floor-label",
    ),
    "a sign renamed to something harmless": (
        (("safety.yaml", "Chest pain, or short of breath", "A cold"),),
        "floor-label",
    ),
    "no choice for none": ((("safety.yaml", "    exclusive: none\n", ""),), "floor-none"),
    "no choice for doubt": ((("safety.yaml", "    doubt: not_sure\n", ""),), "floor-doubt"),
    "doubt can wait": (
        (("safety.yaml", "contact: doubt", "contact: urgent"),),
        "floor-doubt",
    ),
    "999 to 99": (
        (("contacts.yaml", "emergency: call 999 or go to A&E", "emergency: call 99 or go to A&E"),),
        "no-number",
    ),
    "a stop weakened to refer": (
        (("safety.yaml", "emergency_sign\n    level: stop", "emergency_sign\n    level: refer"),),
        "floor-caution",
    ),
    "a sign only by itself": (
        (
            (
                "safety.yaml",
                "stroke in warning_signs or",
                "(stroke in warning_signs and not (swollen_leg in warning_signs)) or",
            ),
        ),
        "floor-caution",
    ),
    "a sign only where nothing else hurts": (
        (
            (
                "safety.yaml",
                "stroke in warning_signs or",
                "(stroke in warning_signs and not known(pain_sites)) or",
            ),
        ),
        "no-caution",
    ),
    "the list skipped": (
        (
            (
                "safety.yaml",
                "    stored: with_consent\n    next",
                "    stored: with_consent\n    skip_when: not known(warning_signs)\n    next",
            ),
        ),
        "floor-not-asked",
    ),
    "a way past the list": (
        (
            (
                "seating.yaml",
                "    sets: consent\n    next: the_safety",
                "    sets: consent\n"
                "    next:\n      - when: consent\n        go: the_safety\n      - otherwise: sex",
            ),
        ),
        "floor-not-asked",
    ),
    "the list no longer one of signs": (
        (("safety.yaml", "    signs:\n", "    sings:\n"),),
        "floor-not-asked",
    ),
    "a sitter taken for a buyer": (
        (("seating.yaml", "after_stop:", "advises: a_buyer\nafter_stop:"),),
        "floor-buyer",
    ),
    "a stop about health sends nobody": (
        (("care.yaml", "    contact: surgical_team\n", ""),),
        "floor-stop",
    ),
    "a buyer's urgent line without a stop": (
        (("team_order.yaml", "level: stop", "level: refer"),),
        "floor-buyer",
    ),
    "refusers sent to health": (
        (("aches.yaml", "ask_when: consent\n", "ask_when: known(consent)\n"),),
        "floor-consent",
    ),
}
NEEDS_REASON: dict[str, tuple[tuple[Edit, ...], str]] = {
    "stop words changed": (
        (("safety.yaml", EMERGENCY, "That is nothing to worry about. Please <contact>."),),
        "caution.emergency_sign",
    ),
    "words of a contact changed": (
        (("contacts.yaml", "ring your GP today for an urgent appointment, or ring 111", "rest"),),
        "contact.GB.urgent",
    ),
    "contact of a referral lowered": (
        (("care.yaml", "contact: midwife", "contact: clinician"),),
        "caution.pelvis_review",
    ),
    "health taken for nothing private": (
        (
            (
                "care.yaml",
                "    private: health\n    ask_when: consent and pregnant",
                "    ask_when: consent and pregnant",
            ),
        ),
        "question.pregnant_now",
    ),
    "a promise removed": (
        (
            (
                "safety.yaml",
                "  - name: doubt_stops\n    when: not_sure in warning_signs\n"
                "    then: stopped and caution.unsure_of_a_sign\n"
                "    because: Somebody unsure about an emergency sign needs help today.\n"
                "    source: common_practice\n",
                "",
            ),
        ),
        "promise.doubt_stops",
    ),
    "a seat that may be lowered again": (
        (("care.yaml", "    forbids: {seat: lower}\n", ""),),
        "caution.limits_to_be_asked",
    ),
    "a promise narrowed": (
        (("safety.yaml", "when: warning_signs != none\n", "when: stroke in warning_signs\n"),),
        "promise.signs_stop",
    ),
    "a rating 130 to 330": (
        (("range.yaml", "rating: 130", "rating: 330"),),
        "rating.",
    ),
    "the words of the list": (
        (("safety.yaml", "Stop me if any of this is true now.", "It is a formality."),),
        "question.warning_signs",
    ),
    "what is consented to": (
        (("seating.yaml", "May I ask about your health and note", "May I talk to you and note"),),
        "question.consent",
    ),
    "a question about limits left unanswered": (
        (
            (
                "care.yaml",
                "unknown: refused\n    choices:\n      none: None of these\n      belly",
                "choices:\n      none: None of these\n      belly",
            ),
        ),
        "question.pregnant_now",
    ),
    "another way after a stop": (
        (("seating.yaml", "after_stop: ", "after_stop: caller_name # "),),
        "tree.seating",
    ),
}
"""None of these is a mistake of the tree by itself; all of them may protect callers less."""


@pytest.fixture(scope="module")
def trees(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the shipped files: what a test leaves as it is need not be read anew for it."""
    return Path(shutil.copytree(shipped_trees(), tmp_path_factory.mktemp("all") / "trees"))


@pytest.fixture(scope="module")
def for_sitters(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Two copies of the shipped files with one main tree alone, as each is compared."""
    others = [file.name for file in main_trees(shipped_trees()).values() if file.stem != "seating"]
    folder = tmp_path_factory.mktemp("sitters")
    old, new = (
        shutil.copytree(shipped_trees(), folder / name, ignore=lambda *_: others)
        for name in ("old", "new")
    )
    return Path(old), Path(new)


@contextmanager
def edited(trees: Path, edits: tuple[Edit, ...]) -> Iterator[None]:
    """The first place of each text is replaced, as long as the block lasts."""
    before = {name: (trees / name).read_text("utf-8") for name, _, _ in edits}
    try:
        for name, old, other in edits:
            text = (trees / name).read_text("utf-8")
            assert old in text, old
            (trees / name).write_text(text.replace(old, other, 1), "utf-8")
        yield
    finally:
        for name, text in before.items():
            (trees / name).write_text(text, "utf-8")


def problems(folder: Path, tree: str = "seating") -> list[Problem]:
    """The errors of a tree: that for sitters takes in every file here but the one for buyers."""
    return [each for each in check_tree(folder / f"{tree}.yaml") if each.severity == "error"]


@pytest.mark.parametrize("name", REFUSED)
def test_the_check_refuses(name: str, trees: Path) -> None:
    """Said in plain words, in a place that can be mended; so no call can be led with it."""
    edits, rule = REFUSED[name]
    tree = "team_order" if edits[0][0] == "team_order.yaml" else "seating"
    with edited(trees, edits):
        found = problems(trees, tree)
    assert rule in {each.rule for each in found}
    for each in found:
        assert each.message.endswith((".", "?"))
        assert each.fix


@pytest.mark.parametrize("name", NEEDS_REASON)
def test_publishing_needs_a_reason(name: str, for_sitters: tuple[Path, Path]) -> None:
    """The check has nothing against it; what it touches is named, and listed before all else."""
    edits, what = NEEDS_REASON[name]
    old, new = for_sitters
    with edited(new, edits):
        assert [str(each) for each in problems(new)] == []
        assert load_range(new / "range.yaml")[0] is not None
        judged = compared(old, new)
    weaker = {each.what for each in judged.weaker}
    assert any(each.startswith(what) for each in weaker), weaker
    assert judged.changes[0].is_safety
    lines = safety_lines(judged.changes, weaker)
    assert any(line.startswith("!! ") for line in lines)


def test_the_shipped_trees_keep_to_the_floor() -> None:
    """And compared with themselves nothing is weaker."""
    assert [problems(shipped_trees(), tree) for tree in ("seating", "team_order")] == [[], []]
    judged = compared(shipped_trees(), shipped_trees())
    assert (judged.changes, judged.weaker) == ((), ())
    (line,) = safety_lines(judged.changes)
    assert line.startswith("No changes in warning signs")


STRONGER: dict[str, tuple[Edit, ...]] = {
    "a graver contact": (("safety.yaml", "contact: doubt", "contact: emergency"),),
    "a stop for a referral": (("care.yaml", "level: refer", "level: stop"),),
    "a lower rating": (("range.yaml", "rating: 180", "rating: 150"),),
    "a better question about the desk": (
        ("desk.yaml", "    ask: ", "    ask: Now to your desk. "),
    ),
}


@pytest.mark.parametrize("name", STRONGER)
def test_what_is_surely_no_weaker_needs_none(name: str, for_sitters: tuple[Path, Path]) -> None:
    """So that a reason stays something that people read."""
    old, new = for_sitters
    with edited(new, STRONGER[name]):
        assert compared(old, new).weaker == ()
