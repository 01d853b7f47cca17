"""Ways that the safety floor shuts: past the signs to a chair, past a refusal to health."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.paths import shipped_trees
from consult.tree.check import check_tree

HEALTH = "private: health, next: end}"


def rules(folder: Path, *steps: str, top: str = "", first: str = "consent") -> list[str]:
    """The rules of the floor that a tree of these steps breaks, beside the shipped range."""
    for name in ("range.yaml", "contacts.yaml", "safety.yaml"):
        shutil.copy(shipped_trees() / name, folder)
    lines = [f"tree: t\ntitle: T\nversion: 1\nfirst: {first}\n{top}questions:"]
    file = folder / "t.yaml"
    file.write_text("\n".join([*lines, *(f"  {step}" for step in steps)]), "utf-8")
    found = (each for each in check_tree(file) if each.rule.startswith("floor"))
    return [f"{each.rule} {each.where.line}" for each in found]


def consent(following: str, *, unknown: str = "refused") -> str:
    return (
        f"consent: {{ask: May I?, answer: yes-no, unknown: {unknown}, sets: consent, {following}}}"
    )


@pytest.mark.parametrize(
    ("following", "unknown", "broken"),
    [
        ("next: ache", "refused", True),
        ("next: [{when: consent, go: ache}, {otherwise: end}]", "refused", False),
        ("next: [{when: consent, go: ache}, {otherwise: end}]", "allowed", False),
        ("next: [{when: not consent, go: end}, {otherwise: ache}]", "refused", False),
        # Who does not answer has not said yes.
        ("next: [{when: not consent, go: end}, {otherwise: ache}]", "allowed", True),
        ("next: [{when: known(consent), go: ache}, {otherwise: end}]", "refused", True),
        ("next: [{when: consent or other, go: ache}, {otherwise: end}]", "refused", True),
        ("next: [{when: consent and other, go: ache}, {otherwise: end}]", "refused", False),
        ("next: [{when: consent == no, go: ache}, {otherwise: end}]", "refused", True),
    ],
)
def test_health_after_a_yes(tmp_path: Path, following: str, unknown: str, broken: bool) -> None:
    """Followed through every route, for callers who say no and for those who do not answer."""
    found = rules(
        tmp_path,
        "other: {ask: Well?, answer: yes-no, next: consent}",
        consent(following, unknown=unknown),
        f"ache: {{ask: Does it ache?, answer: yes-no, {HEALTH}",
        first="other",
    )
    assert found == (["floor-consent 8"] if broken else [])


def test_skipped_by_those_who_refused(tmp_path: Path) -> None:
    """A question may be passed and not asked; what hangs on health is unknown to who refused."""
    ache = (
        "ache: {ask: Does it ache?, answer: yes-no, private: health, skip_when: not consent, "
        "next: leg}"
    )
    leg = f"leg: {{ask: Your leg?, answer: yes-no, skip_when: not known(ache), {HEALTH}"
    assert rules(tmp_path, consent("next: ache"), ache, leg) == []
    always = leg.replace("not known(ache)", "not ache")
    assert rules(tmp_path, consent("next: ache"), ache, always) == ["floor-consent 8"]


def test_a_second_consent_and_what_follows_a_stop(tmp_path: Path) -> None:
    """Where a call goes on after a stop is followed too."""
    found = rules(
        tmp_path,
        consent("next: [{when: consent, go: ache}, {otherwise: end}]"),
        f"ache: {{ask: Does it ache?, answer: yes-no, {HEALTH}",
        top="after_stop: ache\n",
    )
    assert found == ["floor-consent 8"]


MEASURE = (
    "tall: {ask: How tall?, coach: Stand., answer: length, unit: cm, expect: 140 to 205, "
    "measures: stature, next: end}"
)
DESK = (
    "desk: {ask: Which desk?, answer: choice, choices: {fixed: Fixed}, sets: desk_kind, next: end}"
)
NAME = "name: {ask: Who is it?, answer: text, sets: caller_name, next: end}"
LIST = "the_safety: {include: safety, next: tall}"


@pytest.mark.parametrize(
    ("steps", "first", "broken"),
    [
        ([MEASURE], "tall", True),
        ([DESK], "desk", True),
        ([NAME], "name", False),
        ([LIST, MEASURE], "the_safety", False),
        (["one: {ask: Well?, answer: yes-no, next: the_safety}", LIST, MEASURE], "one", False),
        (
            [
                "one: {ask: Well?, answer: yes-no, "
                "next: [{when: one, go: the_safety}, {otherwise: tall}]}",
                LIST,
                MEASURE,
            ],
            "one",
            True,
        ),
        # Who ends without a word about a chair need not hear the list.
        (
            [
                "one: {ask: Well?, answer: yes-no, "
                "next: [{when: one, go: the_safety}, {otherwise: end}]}",
                LIST,
                MEASURE,
            ],
            "one",
            False,
        ),
    ],
)
def test_signs_come_before_a_chair(
    tmp_path: Path, steps: list[str], first: str, broken: bool
) -> None:
    """On every way to a measure of the body, a desk or a chair."""
    found = rules(tmp_path, *steps, first=first)
    assert [each.split()[0] for each in found] == ["floor-not-asked"] * broken


def test_without_a_range_nobody_is_advised_on_a_chair(tmp_path: Path) -> None:
    """A tree by itself, as whoever begins one has it, may come to the list later."""
    rules(tmp_path, MEASURE, first="tall")
    (tmp_path / "range.yaml").unlink()
    assert [each for each in check_tree(tmp_path / "t.yaml") if each.severity == "error"] == []


@pytest.mark.parametrize(
    ("top", "steps", "said"),
    [
        (
            "advises: a_buyer\n",
            [NAME],
            ["cannot work out a chair for one person", "no stop for a caller"],
        ),
        ("advises: a_buyer\nworks_out: nothing\n", [NAME], ["no stop for a caller"]),
        (
            "advises: a_buyer\nworks_out: nothing\n",
            [MEASURE.replace("tall:", "name:")],
            ["no stop for a caller", "measures a body"],
        ),
    ],
)
def test_a_buyer(tmp_path: Path, top: str, steps: list[str], said: list[str]) -> None:
    """A tree without the list gives no advice to a body, and stops for somebody in need."""
    assert len(rules(tmp_path, *steps, top=top, first="name")) == len(said)
    told = " ".join(each.message for each in check_tree(tmp_path / "t.yaml"))
    for each in said:
        assert each in told
